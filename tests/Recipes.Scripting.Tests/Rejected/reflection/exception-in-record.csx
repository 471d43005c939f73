// R2003
record Held(FormatException Thrown);
try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    Report.Note($"{new Held(e)}");
}
