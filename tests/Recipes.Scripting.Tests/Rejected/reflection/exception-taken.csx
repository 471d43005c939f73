// R2003
delegate void Take(FormatException e);
void Say(object told) => Report.Note($"{told}");
Take take = Say;
try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    take(e);
}
