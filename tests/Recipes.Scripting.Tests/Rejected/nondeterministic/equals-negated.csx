// R2003
record struct Beak(string Name)
{
    private string name = Name;

    public bool Equals(Beak other)
    {
        if (EqualityComparer<string>.Default.Equals(name, other.name))
        {
            return false;
        }

        return true;
    }
}

int n = Enumerable.Range(0, 200000).Select(i => new Beak($"{i}")).Distinct().Count();
