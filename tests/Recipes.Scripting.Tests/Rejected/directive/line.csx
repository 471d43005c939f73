// R2003 source
#line 100 "other.csx"
Report.Note("x");
