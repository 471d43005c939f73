namespace Recipes.Imaging;

/// <summary>Looks for dirt in one art, below one area or another.</summary>
internal sealed class DirtSearch(Plane<Rgba8> art, InkRules rules)
{
    private readonly Islands ink = Find.Printing(art, rules).Islands(diagonal: true);
    private readonly Islands holes = Find.Printing(art, rules).Complement().Islands();

    /// <summary>What is smaller than so many px2.</summary>
    public Dirt Below(double areaPx)
    {
        var parts = Parts(areaPx);
        var kinds = Judge(parts, areaPx);
        return new Dirt(
            Picked(true, SmallPartKind.Dirt), Picked(false, SmallPartKind.Dirt), Picked(true, SmallPartKind.Pattern), Picked(false, SmallPartKind.Pattern),
            parts.Where((part, i) => kinds[i] == SmallPartKind.Pattern && !part.Faint).Any(), () => CountFrom(areaPx));

        Region Picked(bool isInk, SmallPartKind kind)
        {
            var islands = isInk ? ink : holes;
            var chosen = new bool[islands.Count + 1];
            for (int i = 0; i < parts.Length; i++)
            {
                if (parts[i].Ink == isInk && kinds[i] == kind)
                {
                    chosen[parts[i].Number] = true;
                }
            }

            return islands.Keep(chosen);
        }
    }

    // Dirt below twice the area that isn't below the area itself.
    private int CountFrom(double areaPx)
    {
        var parts = Parts(2 * areaPx);
        var kinds = Judge(parts, 2 * areaPx);
        return parts.Where((part, i) => kinds[i] == SmallPartKind.Dirt && (part.Ink ? ink : holes)[part.Number - 1].Count >= areaPx).Count();
    }

    private SmallPart[] Parts(double areaPx) => [.. Specks(areaPx), .. Pinholes(areaPx)];

    private SmallPart[] Specks(double areaPx)
    {
        Island[] small = [.. ink.Where(island => island.Count < areaPx)];
        if (small.Length == 0)
        {
            return [];
        }

        var large = ink.Pick(island => island.Count >= areaPx).Spread(SmallPart.Near * Math.Sqrt(areaPx), where: ink.Pick(island => island.Count < areaPx));
        var near = ink.Touching(large);
        var parts = new SmallPart[small.Length];
        Parallel.For(0, small.Length, i =>
        {
            var (isFaint, isEdge) = Look(small[i].Bounds);
            parts[i] = new SmallPart(true, small[i].Number, small[i].Bounds, small[i].Count, near[small[i].Number] || isEdge, isFaint);
        });
        return parts;
    }

    // Whether a speck is hardly seen on its ground, and whether it is what anti-aliasing left between bare black and another
    // ground. Ink of a neighbor that reaches into the box makes it no fainter.
    private (bool Faint, bool Edge) Look(Box bounds)
    {
        bool white = false, black = false, clear = false;
        var around = bounds.Grow(1).Within(new Box(0, 0, art.Width, art.Height));
        for (int y = around.Y; y < around.Bottom; y++)
        {
            for (int x = around.X; x < around.Right; x++)
            {
                var state = rules.StateOf(art[x, y]);
                white |= state == InkState.BareWhite;
                black |= state == InkState.BareBlack;
                clear |= state == InkState.Transparent;
            }
        }

        int most = 0;
        for (int y = bounds.Y; y < bounds.Bottom; y++)
        {
            for (int x = bounds.X; x < bounds.Right; x++)
            {
                var pixel = art[x, y];
                if (rules.StateOf(pixel) == InkState.Prints)
                {
                    most = Math.Max(most, white || black ? pixel.LargestDifference((white ? Rgba8.White : Rgba8.Black).WithAlpha(pixel.A)) : pixel.A);
                }
            }
        }

        return (most <= SmallPart.Hardly, black && (white || clear));
    }

    private SmallPart[] Pinholes(double areaPx)
    {
        Island[] small = [.. holes.Where(hole => hole.Count < areaPx && !OnBorder(hole.Bounds))];
        if (small.Length == 0)
        {
            return [];
        }

        if (small.Length > SmallPartPattern.Countless)
        {
            // So many are a pattern whatever is around each, and looking there would take minutes.
            return [.. small.Select(hole => new SmallPart(false, hole.Number, hole.Bounds, hole.Count, false, false))];
        }

        var found = new SoftHole?[small.Length];
        Parallel.For(0, small.Length, () => new SoftHoleProbe(art, rules, areaPx), (i, _, probe) =>
        {
            found[i] = probe.Measure(small[i]);
            return probe;
        }, _ => { });

        // Holes that share their mixes are one soft hole, measured once.
        var counted = new HashSet<(int, int)>();
        var parts = new List<SmallPart>();
        for (int i = 0; i < small.Length; i++)
        {
            if (found[i] is { } hole)
            {
                parts.Add(new SmallPart(
                    false, small[i].Number, hole.Bounds, counted.Add((hole.FirstX, hole.FirstY)) ? hole.Area
                    : 0, hole.NearLarge, hole.Faint) { Accompanied = hole.Accompanied });
            }
        }

        return [.. parts];

        bool OnBorder(Box box) => box.X == 0 || box.Y == 0 || box.Right == art.Width || box.Bottom == art.Height;
    }

    private SmallPartKind[] Judge(SmallPart[] parts, double areaPx) =>
        new SmallPartPattern(parts, areaPx, (double)art.Width * art.Height, () => Larger(parts, areaPx)).Judge();

    // A hole that is larger with its mixes is no part, however small it is without them.
    private List<SmallPart> Larger(SmallPart[] parts, double areaPx)
    {
        var known = parts.Where(part => !part.Ink).Select(part => part.Number).ToHashSet();
        return
        [
            .. ink.Where(island => island.Count >= areaPx).Select(island => new SmallPart(true, island.Number, island.Bounds, island.Count, true,
                island.Count < SmallPartPattern.LargestDot * areaPx && Look(island.Bounds).Faint)),
            .. holes.Where(hole => !known.Contains(hole.Number)).Select(hole => new SmallPart(false, hole.Number, hole.Bounds, hole.Count, true, false)),
        ];
    }
}
