// R2003
extern alias Other;
Report.Note("x");
