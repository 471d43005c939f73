// R2003
#r "nuget: Some.Package"
