// R2003
abstract record Part
{
    public abstract override int GetHashCode();
}

record Beak(string Name) : Part;
Part part = new Beak("orange");
int n = part.GetHashCode();
