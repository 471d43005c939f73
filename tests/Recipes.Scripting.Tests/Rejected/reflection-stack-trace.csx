// R2002
try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    Report.Note(e.StackTrace);
}
