namespace Recipes.Imaging;

public static partial class Find
{
    // Compression noise reaches one 16x16 block from an edge, so what is even and thicker than a block is drawing.
    private const int Block = 16;

    // As far as noise reaches within such a block, corner to corner, and a px of the resampling of its color.
    private const double NoiseReach = 24;

    // An edge passes from pale to art within so many px; a slower passage is a fade. Ours.
    private const int EdgeWidth = 4;

    // As far as halved color smears the edge of a pale shape, px.
    private const int SoftEdge = 3;

    // Noise that the ring cuts off leaves fewer px beyond it than a stroke or a fade does, and its islands are no larger. Ours.
    private const int FewPx = 12, CrumbPx = 48;

    /// <summary>
    /// The background as a walk from the picture's edge reaches it: dust on the paper included, pale shapes, fades and
    /// highlights not. Pixels of the paper's very color and clear ones are part of the result.
    /// </summary>
    /// <remarks>
    /// Art without paper, cut out or full frame, has clear pixels for its background and nothing else. A pixel's distance from
    /// the paper is the largest in any channel. The walk is 4-connected, begins at the edge of the picture as it came, and passes
    /// clear pixels; paper within <see cref="PaperTolerance.Background"/>; and, in the ring around edges of the art, pale pixels
    /// within <see cref="PaperTolerance.NearArt"/> where their color ends in that ring. Never passed are whites made printable;
    /// pale drawing, that is what is <see cref="Region.Flat"/> in islands over 16 px thick somewhere; and connected pale color that
    /// goes on beyond the ring: a slow passage from art to paper is no edge, so around a fade there is no ring.
    /// </remarks>
    /// <param name="art">Flattened art.</param>
    /// <param name="ground">What the figure lies on.</param>
    /// <param name="printedWhite">Whites that an earlier step made printable, which never change back; none where null.</param>
    /// <param name="tolerance">How far from the paper's color the background may be.</param>
    /// <exception cref="ArgumentException"><paramref name="printedWhite"/> differs from the art in size.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Levels are not 0 to 255, or the ring is negative or not a number.</exception>
    public static PaperWalk Background(Plane<Rgba8> art, Ground ground, Region? printedWhite, PaperTolerance tolerance) =>
        Background(art, ground, printedWhite, tolerance, null);

    /// <summary>The same, on checkers where they are named.</summary>
    internal static PaperWalk Background(Plane<Rgba8> art, Ground ground, Region? printedWhite, PaperTolerance tolerance, Checkers? checkers)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(ground);
        ArgumentNullException.ThrowIfNull(tolerance);
        ArgumentOutOfRangeException.ThrowIfNegative(tolerance.Background);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(tolerance.Background, 255);
        ArgumentOutOfRangeException.ThrowIfNegative(tolerance.NearArt);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(tolerance.NearArt, 255);
        double ringPx = Limit(tolerance.RingPx, nameof(tolerance));
        var none = new Region(Plane<byte>.OneValue(art.Width, art.Height, 0), art);
        if (checkers is null && !ground.HasPaper)
        {
            return new PaperWalk(Transparent(art).OnBorder(), none, none);
        }

        tolerance = tolerance with { Background = Math.Min(tolerance.NearArt, tolerance.Background + Noise(art, ground)) };
        var shades = new PaperShades(art, checkers?.Dark ?? ground.Paper, tolerance, checkers?.Light);
        var kept = PaleDrawing(shades.Of(PaperShade.Pale, PaperShade.LightArt));
        if (!kept.IsEmpty)
        {
            kept = WithSoftEdge(kept, art, ground.Paper, tolerance, shades);
        }

        if (printedWhite is not null)
        {
            kept = kept.Union(Covered(printedWhite));
        }

        var light = shades.Of(PaperShade.Pale, PaperShade.Paper, PaperShade.Exact, PaperShade.Clear);
        var edges = shades.Of(PaperShade.Art).Intersect(light.With(Surroundings.Of(light.Coverage, EdgeWidth))).Union(kept);
        // Along an edge of clean art, 4 px deep, hardly a px is off the paper's color; noise and fades leave more.
        bool dusty = shades.Of(PaperShade.Paper, PaperShade.Pale).Count * 3 > edges.Count;
        var pale = shades.Of(PaperShade.Pale).Except(kept);
        var ring = ringPx < 1 ? none : dusty ? edges.Spread(Math.Max(ringPx, NoiseReach)) : edges.Spread(ringPx, where: pale);
        var strokes = RunningOn(pale, ring);
        var fade = strokes.IsEmpty ? strokes : Fades(strokes, ground.Paper, shades, ringPx, dusty ? ring : null).Except(kept);
        var mixes = strokes.IsEmpty ? strokes : Edges(art, ground.Paper, tolerance, shades).Intersect(strokes).Except(fade);
        var stays = kept.Union(strokes.Except(mixes)).Union(fade);
        var passable = pale.Intersect(ring).Union(mixes).Union(shades.Of(PaperShade.Paper, PaperShade.Exact, PaperShade.Clear)).Except(stays);
        var walk = Walk(passable, ground.Edge, fade);
        if (dusty && !ring.IsEmpty)
        {
            walk = walk with { Reached = walk.Reached.Union(Crumbs(shades, ring.Except(stays), walk.Reached.Except(walk.Edge))) };
        }

        return checkers is null && PhotographOn(art, walk.Reached, ground.Paper) is { } photograph ? walk.Around(photograph) : walk;
    }

    /// <summary>What is drawn rather than paper: alpha above 0, and further from white than so many levels in some channel.</summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="near">Largest distance of paper from white, in levels.</param>
    public static Region Drawn(Plane<Rgba8> art, int near)
    {
        ArgumentNullException.ThrowIfNull(art);
        return new Region(Mask(art, new LevelTests(new LevelTest(new Rgba8(0, 0, 0, 1), Rgba8.White), LevelTest.AtLeast((byte)(255 - near))).Mask), art);
    }

    // Small islands that noise has cut off from the paper: nothing in them is art, nor beside them.
    private static Region Crumbs(PaperShades shades, Region where, Region reached)
    {
        var rest = shades.Of(PaperShade.Exact, PaperShade.Paper, PaperShade.Pale, PaperShade.LightArt).Intersect(where)
            .Except(reached);
        rest = rest.IsEmpty ? rest : rest.Except(rest.With(Surroundings.Of(shades.Of(PaperShade.Art).Coverage, 1)));
        if (rest.IsEmpty)
        {
            return rest;
        }

        var parts = ConnectedRegions.Of(rest.Coverage, diagonal: true);
        bool[] beside = parts.Touching(Surroundings.Of(reached.Coverage, 1));
        return rest.With(parts.Keep(rest.Coverage, [.. beside.Select((touches, number) => touches && parts.Size(number) <= CrumbPx)]));
    }

    // The picture's edge from its top left corner around: its top, right, bottom and left side.
    private static Rgba8[][] BorderSides(Plane<Rgba8> art, Box edge)
    {
        var canvas = new Box(0, 0, art.Width, art.Height);
        edge = edge.Within(canvas) is { IsEmpty: false } inside ? inside : canvas;
        // As loops, since queries over pixels are code of the framework that no image holds: docs/decisions/0010.
        Rgba8[] top = new Rgba8[edge.Width], bottom = new Rgba8[edge.Width], left = new Rgba8[edge.Height], right = new Rgba8[edge.Height];
        for (int x = 0; x < edge.Width; x++)
        {
            top[x] = art[edge.X + x, edge.Y];
            bottom[edge.Width - 1 - x] = art[edge.X + x, edge.Bottom - 1];
        }

        for (int y = 0; y < edge.Height; y++)
        {
            right[y] = art[edge.Right - 1, edge.Y + y];
            left[edge.Height - 1 - y] = art[edge.X, edge.Y + y];
        }

        return [top, right, bottom, left];
    }

    internal static Rgba8[] Border(Plane<Rgba8> art, Box edge) => Joined(BorderSides(art, edge));

    private static Rgba8[] Joined(Rgba8[][] sides)
    {
        var border = new Rgba8[sides.Sum(side => side.Length)];
        int at = 0;
        foreach (var side in sides)
        {
            Array.Copy(side, 0, border, at, side.Length);
            at += side.Length;
        }

        return border;
    }

    // How far nine tenths of the border of a scan lie from its paper's color, in levels; none where the paper is white.
    private static int Noise(Plane<Rgba8> art, Ground ground)
    {
        if (ground.Paper == Rgba8.White)
        {
            return 0;
        }

        // Counts by levels, as if they were sorted.
        var counts = new int[25];
        foreach (var pixel in Border(art, ground.Edge))
        {
            if (!pixel.IsTransparent && pixel.WithAlpha(255).LargestDifference(ground.Paper) is var levels && levels < counts.Length)
            {
                counts[levels]++;
            }
        }

        int all = counts.Sum(), off = 0;
        for (int held = counts[0]; all > 0 && held <= all * 9 / 10; held += counts[++off])
        {
        }

        return off;
    }

    private static PaperWalk Walk(Region passable, Box picture, Region fade)
    {
        int width = passable.Coverage.Width, height = passable.Coverage.Height;
        var canvas = new Box(0, 0, width, height);
        picture = picture.Within(canvas);
        picture = picture.IsEmpty ? canvas : picture;
        var inside = picture == canvas ? passable : passable.Except(Outside(passable.FoundIn, picture));
        var parts = ConnectedRegions.Of(inside.Coverage);
        var (reached, edge) = AtEdge(parts, picture);
        var outside = picture == canvas ? inside.With(parts.Keep(inside.Coverage, reached))
            : inside.With(parts.Keep(inside.Coverage, reached)).Union(passable.Except(inside));
        var none = new Region(Plane<byte>.OneValue(width, height, 0), passable.FoundIn);
        return new PaperWalk(outside, edge.Contains(true) ? inside.With(parts.Keep(inside.Coverage, edge)) : none, fade) { Parts = (inside, parts) };
    }

    private static Region PaleDrawing(Region pale)
    {
        // What is flat is part of it, so where nothing of it is thick, nothing flat is.
        var thick = pale.Choke(Block / 2);
        if (thick.IsEmpty)
        {
            return thick;
        }

        var flat = pale.Flat();
        thick = flat.Choke(Block / 2);
        if (thick.IsEmpty)
        {
            return thick;
        }

        var parts = ConnectedRegions.Of(flat.Coverage);
        return flat.With(parts.Keep(flat.Coverage, parts.Touching(thick.Coverage)));
    }

    internal static Region Covered(Region region) => region.With(Plane<byte>.Build(region.Coverage.Width, region.Coverage.Height, region.Coverage,
        (bounds, target) =>
    {
        region.Coverage.Tiles[region.Coverage.Grid.IndexAt(bounds.X, bounds.Y)].CopyTo(target);
        foreach (ref byte coverage in target)
        {
            coverage = coverage == 0 ? (byte)0 : (byte)255;
        }
    }));

    // The soft edge of pale drawing is its own where it is more drawing than paper.
    private static Region WithSoftEdge(Region drawing, Plane<Rgba8> art, Rgba8 paper, PaperTolerance tolerance, PaperShades shades)
    {
        var own = shades.Of(PaperShade.Pale, PaperShade.LightArt).Except(MostlyPaper(art, paper, tolerance));
        return drawing.Union(own.Intersect(drawing.With(Surroundings.Of(drawing.Coverage, SoftEdge)))).Except(Edges(art, paper, tolerance, shades));
    }

    // Mixes of pale strokes with the paper, that are more paper: between one and the other, as no pixel of a fade is.
    private static Region Edges(Plane<Rgba8> art, Rgba8 paper, PaperTolerance tolerance, PaperShades shades)
    {
        var drawn = shades.Of(PaperShade.LightArt);
        if (drawn.IsEmpty)
        {
            return drawn;
        }

        var bare = shades.Of(PaperShade.Exact, PaperShade.Clear);
        return shades.Of(PaperShade.Pale).Intersect(MostlyPaper(art, paper, tolerance))
            .Intersect(drawn.With(Surroundings.Of(drawn.Coverage, 1))).Intersect(bare.With(Surroundings.Of(bare.Coverage, 1)));
    }

    // Not half as far from the paper as the nearest drawing is.
    private static Region MostlyPaper(Plane<Rgba8> art, Rgba8 paper, PaperTolerance tolerance)
    {
        var half = LevelTest.Around(paper, tolerance.NearArt / 2);
        return Found(art, half with { Least = half.Least.WithAlpha(1) });
    }
}
