// R2003
try
{
    Report.Note("x");
}
catch (SystemException)
{
}
