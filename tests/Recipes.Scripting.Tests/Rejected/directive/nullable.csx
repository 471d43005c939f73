// R2003 source
#nullable enable
Report.Note("x");
