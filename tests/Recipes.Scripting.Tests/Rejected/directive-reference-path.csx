// R2003
#r "/tmp/other.dll"
Report.Note("x");
