namespace Recipes.Imaging;

public static partial class Find
{
    private const double LargestSpeck = 1000;

    /// <summary>
    /// Specks and pinholes smaller than an area that stand alone, told apart into dirt and what may be a pattern. One judgment
    /// for both, so that a check and a recipe that ask alike are told alike.
    /// </summary>
    /// <remarks>
    /// Ink is 8-connected, since a thin slanted stroke holds together at its corners and must be measured as one; holes are
    /// 4-connected, as they must be then, or a hole would leak through a corner that ink closes (Rosenfeld 1970). Near is
    /// within twice the side of a square of the area, about 0.5 mm for 0.06 mm2. What is near something of at least the area,
    /// of its own kind, belongs to it, and so does what is near that: dots on letters, accents, periods, counters, strokes
    /// that anti-aliasing broke up. Small things near each other are one thing. A hole is measured with the mixes around it.
    /// Dots at even distances, more than eight that hang together or lie dense, and more than forty in all are a pattern; what
    /// is hardly seen on its ground, within 23 levels, never is. At most 1,000 px2 are a speck or a pinhole, whatever the area: what 0.06 mm2
    /// are at 1,650 ppi. A file may state any resolution, and the work grows with the square of the area.
    /// </remarks>
    /// <param name="art">Flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="areaPx">The area in px2, 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">The area is negative or not a number.</exception>
    public static Dirt Dirt(Plane<Rgba8> art, InkRules rules, double areaPx)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(rules);
        return new DirtSearch(art, rules).Below(Math.Min(LargestSpeck, Limit(areaPx, nameof(areaPx))));
    }
}
