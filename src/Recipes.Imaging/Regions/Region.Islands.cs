namespace Recipes.Imaging;

public sealed partial class Region
{
    /// <summary>The 4-connected parts, numbered from 1 in reading order of their first pixels.</summary>
    public Islands Islands() => Islands(diagonal: false);

    /// <summary>The parts that hang together, at corners too where <paramref name="diagonal"/> (8-connected), numbered likewise.</summary>
    public Islands Islands(bool diagonal) => new(this, diagonal);

    /// <summary>The islands that touch the border of the image.</summary>
    public Region OnBorder() => Islands().OnBorder();

    /// <summary>The islands of at least so many px; everything at 0.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The area is negative or not a number.</exception>
    public Region AtLeast(double areaPx)
    {
        double smallest = Measure(areaPx, nameof(areaPx));
        return smallest <= 1 ? this : Islands().AtLeast(smallest);
    }

    /// <summary>This region with another coverage; itself where that is its own.</summary>
    internal Region With(Plane<byte> coverage) => ReferenceEquals(coverage, Coverage) ? this : new Region(coverage, FoundIn, ground);

    // Six decimals decide, since lengths come from divisions that round differently.
    private static double Measure(double value, string name) => value >= 0
        ? Math.Round(value, 6)
        : throw new ArgumentOutOfRangeException(name, value, "A length or area is 0 or more.");
}
