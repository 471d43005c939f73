// R2003
interface IHash
{
    int GetHashCode();
}

record Beak(string Name) : IHash;
int n = ((IHash)new Beak("orange")).GetHashCode();
