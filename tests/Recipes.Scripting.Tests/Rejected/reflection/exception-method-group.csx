// R2003
Exception last = null;
Exception Last() => last;
try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    last = e;
}

Func<object> told = Last;
Report.Note($"{told()}");
