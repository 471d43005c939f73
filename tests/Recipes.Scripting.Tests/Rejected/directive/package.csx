// R2003 no-assembly
#r "nuget: Some.Package"
