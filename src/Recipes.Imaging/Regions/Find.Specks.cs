namespace Recipes.Imaging;

public static partial class Find
{
    // How far from larger ink a speck must lie, in sides of a square of the area: about 0.5 mm for 0.06 mm2. The dot of an
    // i and the period of text so small that they are specks by size lie nearer to their letters. Ours; no source.
    private const double Alone = 2;

    /// <summary>
    /// Printed islands smaller than an area that stand alone on bare ground: nothing printed of at least that area lies within
    /// twice the side of a square of it. So periods, dots on letters and details beside the art stay out.
    /// </summary>
    /// <remarks>
    /// Islands of ink are 8-connected, since a thin slanted stroke holds together at its corners and must be measured as one;
    /// holes are 4-connected, as they must be then, or a hole would leak through a corner that ink closes (Rosenfeld 1970).
    /// </remarks>
    /// <param name="art">Flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="areaPx">The area in px2, 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">The area is negative or not a number.</exception>
    public static Region Specks(Plane<Rgba8> art, InkRules rules, double areaPx)
    {
        areaPx = Limit(areaPx, nameof(areaPx));
        var islands = Found(art, new PrintsTest(rules, true)).Islands(diagonal: true);
        return StandingAlone(islands, island => island.Count < areaPx, island => island.Count >= areaPx, areaPx);
    }

    /// <summary>
    /// Bare holes smaller than an area in printed art, 4-connected, away from the border of the image. Holes near a larger
    /// hole stay out, as specks near larger ink do: they may be the period of lettering left bare.
    /// </summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="areaPx">The area in px2, 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">The area is negative or not a number.</exception>
    public static Region Pinholes(Plane<Rgba8> art, InkRules rules, double areaPx)
    {
        areaPx = Limit(areaPx, nameof(areaPx));
        var islands = Found(art, new PrintsTest(rules, false)).Islands();
        return StandingAlone(islands, island => island.Count < areaPx && !Touches(island), island => island.Count >= areaPx && !Touches(island), areaPx);

        bool Touches(Island island) => island.Bounds is var box && (box.X == 0 || box.Y == 0 || box.Right == art.Width || box.Bottom == art.Height);
    }

    private static Region StandingAlone(Islands islands, Func<Island, bool> small, Func<Island, bool> large, double areaPx)
    {
        var specks = islands.Pick(small);
        if (specks.IsEmpty)
        {
            return specks;
        }

        var near = islands.Touching(islands.Pick(large).Spread(Alone * Math.Sqrt(areaPx)));
        return islands.Pick(island => small(island) && !near[island.Number]);
    }
}
