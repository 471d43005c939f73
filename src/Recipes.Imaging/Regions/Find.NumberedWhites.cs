namespace Recipes.Imaging;

public static partial class Find
{
    /// <summary>The class of a white that art surrounds.</summary>
    public const string EnclosedWhite = "enclosed-white";

    /// <summary>The class of white that reaches the picture's edge and holds no corner of it.</summary>
    public const string EdgeWhite = "edge-white";

    /// <summary>
    /// The pure white of art in one numbered list: first what art surrounds, as <see cref="Region.Enclosed"/> finds it, each
    /// 4-connected part by itself in reading order; then the white that runs off the picture.
    /// </summary>
    /// <remarks>
    /// White that runs off is what a 4-connected walk, inside the picture as it came, joins through transparent pixels and pixels
    /// whose three channels are all at least 255 minus <paramref name="near"/>, where that touches the picture's edge and holds none of
    /// its corners, or only one while other paper holds more: the belly of a bird that is cropped, and the paper between two cropped letters alike. A cut-out
    /// has none.
    /// Through checkers that were saved into the picture the walk goes as through paper.
    /// </remarks>
    /// <param name="art">Flattened art.</param>
    /// <param name="ground">What the figure lies on.</param>
    /// <param name="near">Levels, 0 to 255.</param>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="near"/> is not 0 to 255.</exception>
    public static Islands NumberedWhites(Plane<Rgba8> art, Ground ground, int near)
    {
        ArgumentNullException.ThrowIfNull(ground);
        var white = PureWhite(art).On(ground);
        var passable = white.Passable(near);
        if (!ground.IsCutOut && Checkers(art, ground.Edge) is { } checkers)
        {
            // Squares of them are ground as a whole, and no whites of the art.
            passable = passable.Union(new PaperShades(art, checkers.Dark, new PaperTolerance(near, near, 0), checkers.Light)
                .Of(PaperShade.Pale, PaperShade.Paper, PaperShade.Exact));
        }

        var walk = ConnectedRegions.Of(passable.Coverage);
        var enclosed = white.Except(passable.With(walk.Keep(passable.Coverage, walk.OnBorder())));
        if (!ground.IsCutOut && ground.Edge != new Box(0, 0, art.Width, art.Height))
        {
            // Around the picture the canvas joins everything that touches its edge.
            passable = passable.Except(Outside(art, ground.Edge));
            walk = ConnectedRegions.Of(passable.Coverage);
        }

        bool[] cropped = ground.IsCutOut ? new bool[walk.Count + 1] : AtEdge(walk, ground.Edge, asks: true).Cropped;
        if (!cropped.Contains(true))
        {
            return new Islands(enclosed, diagonal: false, EnclosedWhite);
        }

        var all = enclosed.Union(white.Intersect(passable.With(walk.Keep(passable.Coverage, cropped))));
        return Numbered(all, ConnectedRegions.Of(all.Coverage), part =>
        {
            int at = walk.NumberAt(part.FirstX, part.FirstY);
            return cropped[at] ? at : 0;
        });
    }

    // Which numbers touch the picture's edge, and which of these hold none of its corners. Where one part, the paper, holds most of
    // them, a part in the last corner is a figure that runs off there.
    private static (bool[] Reached, bool[] Cropped) AtEdge(ConnectedRegions walk, Box edge, bool asks = false)
    {
        var reached = new bool[walk.Count + 1];
        for (int x = edge.X; x < edge.Right; x++)
        {
            reached[walk.NumberAt(x, edge.Y)] = reached[walk.NumberAt(x, edge.Bottom - 1)] = true;
        }

        for (int y = edge.Y; y < edge.Bottom; y++)
        {
            reached[walk.NumberAt(edge.X, y)] = reached[walk.NumberAt(edge.Right - 1, y)] = true;
        }

        reached[0] = false;
        var corners = new int[walk.Count + 1];
        foreach (var (x, y) in (ReadOnlySpan<(int, int)>)
            [(edge.X, edge.Y), (edge.Right - 1, edge.Y), (edge.X, edge.Bottom - 1), (edge.Right - 1, edge.Bottom - 1)])
        {
            corners[walk.NumberAt(x, y)]++;
        }

        corners[0] = 0;
        // Two parts that hold two corners each may be paper on both sides of a figure, or paper and a figure that fills a side: they are cleaned,
        // and it is asked whether the lesser one prints.
        int paper = corners.Max() >= 2 ? 2 : 1, most = !asks || paper < 2 || corners.Count(count => count >= 2) < 2 ? 0
            : Enumerable.Range(1, walk.Count).Where(number => corners[number] >= 2).MaxBy(number => (OnEdge(walk, number, edge), -number));
        return (reached, [.. reached.Select((touches, number) => touches && (corners[number] < paper || (most > 0 && number != most)))]);
    }

    private static int OnEdge(ConnectedRegions walk, int number, Box edge)
    {
        int count = 0;
        for (int x = edge.X; x < edge.Right; x++)
        {
            count += (walk.NumberAt(x, edge.Y) == number ? 1 : 0) + (walk.NumberAt(x, edge.Bottom - 1) == number ? 1 : 0);
        }

        for (int y = edge.Y; y < edge.Bottom; y++)
        {
            count += (walk.NumberAt(edge.X, y) == number ? 1 : 0) + (walk.NumberAt(edge.Right - 1, y) == number ? 1 : 0);
        }

        return count;
    }

    // Parts of one place that runs off are one island; all others are islands of their own, and come first.
    private static Islands Numbered(Region region, ConnectedRegions parts, Func<Island, int> place)
    {
        int[] places = [0, .. Enumerable.Range(1, parts.Count).Select(number => place(parts[number]))], groups = new int[places.Length];
        int count = 0;
        for (int part = 1; part < places.Length; part++)
        {
            groups[part] = places[part] == 0 ? ++count : 0;
        }

        int enclosed = count;
        var known = new Dictionary<int, int>();
        for (int part = 1; part < places.Length; part++)
        {
            if (places[part] != 0)
            {
                groups[part] = known.TryGetValue(places[part], out int number) ? number : known[places[part]] = ++count;
            }
        }

        return new Islands(region, parts, groups, ["", .. Enumerable.Range(1, count).Select(number => number <= enclosed ? EnclosedWhite : EdgeWhite)]);
    }
}
