// R2003
abstract record Part
{
    public abstract int Number { get; }

    public override int GetHashCode() => Number;
}

record Beak(string Name) : Part
{
    public override int Number => Name.Length;
}

Part part = new Beak("orange");
int n = part.GetHashCode();
