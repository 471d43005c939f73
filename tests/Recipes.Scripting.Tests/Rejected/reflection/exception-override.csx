// R2003
abstract class Held
{
    public abstract object Get();
}

class Caught(FormatException e) : Held
{
    public override FormatException Get() => e;
}

try
{
    int.Parse("beak");
}
catch (FormatException e)
{
    Held held = new Caught(e);
    Report.Note($"{held.Get()}");
}
