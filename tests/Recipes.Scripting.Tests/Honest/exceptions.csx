// note: FormatException, too small, done
var said = new List<string>();
try
{
    int.Parse("beak");
}
catch (FormatException)
{
    said.Add("FormatException");
}

try
{
    throw new InvalidOperationException("too small");
}
catch (InvalidOperationException) when (said.Count > 0)
{
    said.Add("too small");
}
finally
{
    said.Add("done");
}

Report.Note(string.Join(", ", said));
