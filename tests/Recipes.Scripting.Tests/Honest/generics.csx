// note: 9 beak 4
T Largest<T>(IEnumerable<T> all) where T : IComparable<T>
{
    T best = all.First();
    foreach (T one in all)
    {
        best = one.CompareTo(best) > 0 ? one : best;
    }

    return best;
}

class Pair<T>(T first, T second) : IEnumerable<T>
{
    public IEnumerator<T> GetEnumerator()
    {
        yield return first;
        yield return second;
    }

    System.Collections.IEnumerator System.Collections.IEnumerable.GetEnumerator() => GetEnumerator();
}

Report.Note($"{Largest([3, 9, 1])} {Largest(new Pair<string>("beak", "art"))} {new Pair<int>(1, 3).Sum()}");
