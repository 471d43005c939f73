// R2003
try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    Report.Note(((object)e).ToString());
}
