// R2003 source
try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    Report.Note(((object)e).ToString());
}
