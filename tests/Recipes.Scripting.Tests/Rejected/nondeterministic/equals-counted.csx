// R2003
int asked = 0;
record Key(string Name, Action Ask)
{
    public virtual bool Equals(Key other)
    {
        Ask();
        return Name == other.Name;
    }

    public override int GetHashCode() => Name.Length;
}

var seen = new HashSet<Key>();
for (int i = 0; i < 100; i++)
{
    seen.Add(new Key($"{i}", () => asked++));
}

Report.Note($"{asked % 2}");
