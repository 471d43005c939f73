// R2003
try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    object[] seen = new[] { e };
    Report.Note(string.Join(", ", seen));
}
