// R2003
try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    if (e is object told)
    {
        Report.Note($"{told}");
    }
}
