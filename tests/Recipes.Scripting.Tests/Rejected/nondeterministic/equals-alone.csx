// R2003
record Beak(string Name)
{
    public virtual bool Equals(Beak other) => true;
}

int n = new HashSet<Beak> { new("a"), new("b") }.Count;
