// R2003 no-assembly
extern alias Other;
Report.Note("x");
