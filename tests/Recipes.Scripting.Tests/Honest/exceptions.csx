// note: FormatException, too small, done
class TooSmall : Exception
{
    public TooSmall(string message) : base(message) { }
}

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
    throw new TooSmall("too small");
}
catch (TooSmall e) when (e.Message.Length > 3)
{
    said.Add(e.Message);
}
finally
{
    said.Add("done");
}

Report.Note(string.Join(", ", said));
