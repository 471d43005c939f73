// R2003
try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    e.Data.Add("a", 1);
}
