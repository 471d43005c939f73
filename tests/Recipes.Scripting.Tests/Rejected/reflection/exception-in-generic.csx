// R2003
string Told<T>(T one) => one.ToString();
try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    Report.Note(Told(e));
}
