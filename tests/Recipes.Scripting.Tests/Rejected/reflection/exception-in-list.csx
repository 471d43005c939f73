// R2003
var seen = new List<Exception>();
try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    seen.Add(e);
}

Report.Note(string.Join(", ", seen));
