// R2003
lock ("wing")
{
    Report.Note("x");
}
