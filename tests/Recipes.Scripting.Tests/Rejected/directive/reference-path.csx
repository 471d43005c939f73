// R2003 no-assembly
#r "/tmp/other.dll"
Report.Note("x");
