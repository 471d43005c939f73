// note: 12 | 1,5
interface ICounted<T> where T : ICounted<T>
{
    static abstract T Zero { get; }
    static abstract T operator +(T a, T b);
}

readonly struct Dots(int count) : ICounted<Dots>
{
    public int Count { get; } = count;
    public static Dots Zero => new(0);
    public static Dots operator +(Dots a, Dots b) => new(a.Count + b.Count);
}

T Total<T>(IEnumerable<T> all) where T : struct, ICounted<T>
{
    T total = T.Zero;
    foreach (T one in all)
    {
        total += one;
    }

    return total;
}

(T Low, T High) Ends<T>(params T[] all) where T : IComparable<T> => (all.Min(), all.Max());
var (low, high) = Ends(5, 1, 3);
Report.Note($"{Total([new Dots(3), new Dots(4), new Dots(5)]).Count} | {low},{high}");
