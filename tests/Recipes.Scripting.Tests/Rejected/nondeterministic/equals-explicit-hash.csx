// R2003
interface IHash
{
    int GetHashCode();
}

record Beak(string Name) : IHash
{
    public virtual bool Equals(Beak other) => true;
    int IHash.GetHashCode() => 0;
}

int n = Enumerable.Range(0, 200000).Select(i => new Beak($"{i}")).Distinct().Count();
