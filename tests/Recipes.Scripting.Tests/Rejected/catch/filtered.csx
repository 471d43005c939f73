// R2003
try
{
    Report.Note("x");
}
catch (Exception e) when (e.Message == "")
{
}
