// R2003 source
#pragma warning disable
Report.Note("x");
