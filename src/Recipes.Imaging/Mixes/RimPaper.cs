namespace Recipes.Imaging;

/// <summary>Pixels of the old background's own color between the outside and the art: a strip of paper left on, or a band that was drawn.</summary>
internal static class RimPaper
{
    // Levels that paper may be off its color.
    private const int Paper = 12;

    // Ours. Bands below this many mm were never drawn: they would hardly print. From this many on, a person is asked; later
    // where a feathered mask left as much everywhere.
    private const double Narrowest = 0.35, Asked = 0.5, AskedFeathered = 1;

    // Of a figure's edge, how much of it paper must lie along; white details of the figure lie along less.
    private const double LeastAlong = 0.7;
    private const int MostDeep = 20, MostHoles = 2;

    /// <summary>Finds such a band, or null where the art has none.</summary>
    public static RimBand? Of(Region outside, int[] edge, Rgba8 background, RimSearch search)
    {
        var art = outside.FoundIn;
        int width = art.Width;
        var test = new LevelTest(Shift(background, -Paper, 1), Shift(background, Paper, 255));
        if (!edge.Any(at => test.Holds(art[at % width, at / width])))
        {
            return null;
        }

        var pale = Find.Mask(art, test);
        var parts = ConnectedRegions.Of(pale, diagonal: true);
        var wanted = new bool[parts.Count + 1];
        foreach (int at in edge)
        {
            wanted[parts.NumberAt(at % width, at / width)] = true;
        }

        wanted[0] = false;
        bool[] reached = [.. wanted];
        var paper = new Region(parts.Keep(pale, wanted), art);
        var ink = outside.Union(paper).Complement().Intersect(new Region(Find.Mask(art, new LevelTest(new Rgba8(0, 0, 0, 128), Rgba8.White)), art));
        if (paper.IsEmpty || ink.IsEmpty)
        {
            return null;
        }

        // What goes on further from the ink than a rim is deep is art, but for the tips that pointed bands have.
        var deep = parts.Counts(paper.Except(ink.Spread((1.1 * search.Deepest) + 1, where: paper)).Coverage);
        for (int number = 1; number < wanted.Length; number++)
        {
            wanted[number] &= deep[number] * MostDeep <= parts.Size(number);
        }

        paper = Along(outside, edge, new Region(parts.Keep(pale, wanted), art));
        return paper.IsEmpty || Judged(outside, paper, ink, background, search) is not { } band ? null
            : band with { Holes = new(() => HolesLike(outside, band, new(parts, reached), new Region(pale, art).On(outside.Ground), search)) };
    }

    // Parts of the paper's color, and which of them an edge touches.
    private sealed record PaleParts(ConnectedRegions All, bool[] Reached);

    // A mask that leaves paper around letters leaves it in their narrow holes, too, and there no edge is beside it. Of art that lay on
    // paper, holes are told as of art that does.
    private static Region? HolesLike(Region outside, RimBand band, PaleParts found, Region pale, RimSearch search)
    {
        var (parts, reached) = found;
        double widest = 2 * (band.Width + 1);
        bool[] small = [.. reached.Select((touches, number) =>
            number > 0 && !touches && parts[number].Bounds is var box && Math.Min(box.Width, box.Height) <= 2 * widest)];
        if (!small.Contains(true))
        {
            return null;
        }

        // No letter has more than two.
        var shapes = ConnectedRegions.Of(outside.Union(band.Region).Complement().Coverage, diagonal: true);
        var many = Enumerable.Range(1, parts.Count).Where(number => small[number]).GroupBy(ShapeOf).Where(shape => shape.Count() > MostHoles);
        foreach (int number in many.SelectMany(shape => shape).ToArray())
        {
            small[number] = false;
        }

        if (!small.Contains(true))
        {
            return null;
        }

        var art = pale.FoundIn;
        var inside = pale.With(parts.Keep(pale.Coverage, small));
        bool[] wide = parts.Touching(inside.Choke(widest / 2).Coverage);
        var whites = Find.NumberedWhites(art, pale.Ground with { Kind = ArtKind.OnPaper, Paper = Rgba8.White }, 2 * Paper);
        var counters = Find.HolesAmong(art, whites, 2 * Paper, 25.4 * search.Millimeter).Counters;
        bool[] holes = parts.Touching(whites.Pick(white => counters.Contains(white.Number)).Coverage);
        bool[] gone = [.. small.Select((one, number) => one && holes[number] && !wide[number])];
        return gone.Contains(true) ? pale.With(parts.Keep(pale.Coverage, gone)) : null;

        int ShapeOf(int number) => shapes.NumberAt(parts[number].FirstX, parts[number].FirstY);
    }

    /// <summary>What is left beside paper that goes: pixels too transparent for their color to be known.</summary>
    public static Region WithRest(Region outside, Region paper, int[] edge)
    {
        var art = outside.FoundIn;
        int width = art.Width;
        List<(int At, byte Coverage)> rest = [];
        foreach (int at in edge)
        {
            int x = at % width, y = at / width;
            if (art[x, y].A < 40 && !paper.Contains(x, y) && AnyBeside(paper, x, y))
            {
                rest.Add((at, 255));
            }
        }

        return rest.Count == 0 ? paper : paper.Union(SparseRegion.Of(art, rest));
    }

    /// <summary>The places of an edge that a band doesn't lie along.</summary>
    public static int[] Beside(Region outside, Region band, int[] edge)
    {
        int width = outside.FoundIn.Width;
        return [.. edge.Where(at => !AnyBeside(band, at % width, at / width))];
    }

    // The parts of those figures along whose edge paper lies.
    private static Region Along(Region outside, int[] edge, Region paper)
    {
        if (paper.IsEmpty)
        {
            return paper;
        }

        var art = outside.FoundIn;
        int width = art.Width;
        var figures = ConnectedRegions.Of(outside.Complement().Coverage, diagonal: true);
        var bare = new long[figures.Count + 1];
        foreach (int at in edge)
        {
            int x = at % width, y = at / width;
            // Where paper ends in a soft edge, that edge isn't the art's.
            bare[figures.NumberAt(x, y)] += paper.Contains(x, y) || AnyBeside(paper, x, y) ? 0 : 1;
        }

        var along = new long[figures.Count + 1];
        foreach (int at in Contour.Of(paper.Coverage))
        {
            int x = at % width, y = at / width;
            along[figures.NumberAt(x, y)] += outside.Contains(x, y) || art[x, y].A < 128 ? 0 : 1;
        }

        var wanted = new bool[figures.Count + 1];
        for (int number = 1; number < wanted.Length; number++)
        {
            wanted[number] = along[number] > 0 && along[number] >= LeastAlong * (along[number] + bare[number]);
        }

        return paper.With(figures.Keep(paper.Coverage, wanted));
    }

    private static RimBand? Judged(Region outside, Region paper, Region ink, Rgba8 background, RimSearch search)
    {
        var art = outside.FoundIn;
        int width = art.Width;
        // What is nearest lies no further out than the outermost ink.
        var window = TileWindow.Around(ink.Union(paper).Coverage)!;
        var near = window.Of(ink.Coverage);
        int[] distances = Distance.Squared(near, toRegion: true);
        List<double> wide = [];
        long soft = 0, crossings = 0;
        foreach (int at in Places(paper.Coverage))
        {
            int x = at % width, y = at / width;
            byte alpha = art[x, y].A;
            soft += alpha < RimProfile.Opaque ? 1 : 0;
            // The outer edge, where half of it is covered.
            int open = alpha < 128 ? 0 : Neighbors(x, y).Count(side => IsOpen(side.X, side.Y));
            crossings += open;
            if (open > 0)
            {
                wide.Add(Math.Sqrt(distances[((y - window.Top) * near.Width) + x - window.Left]));
            }
        }

        if (wide.Count == 0)
        {
            return null;
        }

        wide.Sort();
        double middle = wide[wide.Count / 2], spread = wide[wide.Count * 9 / 10] - wide[wide.Count / 10];
        double fade = (double)soft / crossings;
        // Where white goes over into ink by and by, and its outer edge is the art's own, the art was shaded.
        bool sharp = EndsAtInk(outside, paper, ink, background);
        if (fade >= 0.3 && !sharp)
        {
            return null;
        }

        bool even = spread <= Math.Max(2, 0.2 * middle);
        // An anti-aliased edge has one soft pixel for every step of its outline; a mask without any cut through art that has some.
        double most = Math.Max(1.4, middle / 4);
        bool clean = fade < 0.3 ? !HasSoftEdges(art, paper, ink) : fade >= 0.5 && fade <= most;
        double millimeters = Math.Round(middle / search.Millimeter, 6);
        // A mask leaves paper along the outside; between parts that lie close it may be more, but hardly most of it.
        bool inside = paper.Intersect(outside.Spread(middle + 1.5, where: paper)).Count * 2 < paper.Count;
        bool drawn = inside || (even && clean && millimeters >= Narrowest);
        return new RimBand(paper, middle + 0.5, drawn, drawn || millimeters >= (even && fade > most ? AskedFeathered : Asked))
        {
            EndsSharply = sharp,
            GoesInside = inside,
        };

        bool IsOpen(int x, int y) =>
            x < 0 || y < 0 || x >= art.Width || y >= art.Height ? false : outside.Contains(x, y) || (paper.Contains(x, y) && art[x, y].A < 128);
    }

    // Whether paper ends within 3 px, at most of its inner edge.
    private static bool EndsAtInk(Region outside, Region paper, Region ink, Rgba8 background)
    {
        var bare = outside.Union(paper);
        int width = outside.FoundIn.Width;
        long ends = 0, all = 0;
        foreach (int at in Contour.Of(paper.Coverage))
        {
            int x = at % width, y = at / width;
            if (ink.Contains(x, y) && RimProfile.At(bare, background, x, y, 4) is { } profile)
            {
                all++;
                ends += profile.Far(profile.Core(0, 3)) >= 2 * RimProfile.LeastContrast ? 1 : 0;
            }
        }

        return ends * 2 > all;
    }

    // Whether the ink beside paper is mixed with it: of drawings without anti-aliasing nothing is.
    private static bool HasSoftEdges(Plane<Rgba8> art, Region paper, Region ink)
    {
        long mixed = 0, all = 0;
        foreach (int at in Contour.Of(paper.Coverage))
        {
            int x = at % art.Width, y = at / art.Width;
            if (ink.Contains(x, y))
            {
                all++;
                // Ink that no neighbor further in shares.
                mixed += Neighbors(x, y).Any(side => side.X >= 0 && side.Y >= 0 && side.X < art.Width && side.Y < art.Height
                    && ink.Contains(side.X, side.Y) && art[side.X, side.Y].LargestDifference(art[x, y]) <= 8) ? 0 : 1;
            }
        }

        return mixed * 4 > all;
    }

    private static IEnumerable<int> Places(Plane<byte> coverage)
    {
        for (int i = 0; i < coverage.Tiles.Length; i++)
        {
            var tile = coverage.Tiles[i];
            var bounds = coverage.Grid.Bounds(i);
            for (int p = tile.IsAll(0) ? tile.Count : 0; p < tile.Count; p++)
            {
                if (tile[p % tile.Width, p / tile.Width] != 0)
                {
                    yield return ((bounds.Y + (p / tile.Width)) * coverage.Width) + bounds.X + (p % tile.Width);
                }
            }
        }
    }

    private static (int X, int Y)[] Neighbors(int x, int y) => [(x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1)];

    private static bool AnyBeside(Region region, int x, int y)
    {
        for (int v = Math.Max(0, y - 1); v <= Math.Min(region.Coverage.Height - 1, y + 1); v++)
        {
            for (int u = Math.Max(0, x - 1); u <= Math.Min(region.Coverage.Width - 1, x + 1); u++)
            {
                if (region.Contains(u, v))
                {
                    return true;
                }
            }
        }

        return false;
    }

    private static Rgba8 Shift(Rgba8 color, int by, byte alpha)
    {
        return new Rgba8(Level(color.R), Level(color.G), Level(color.B), alpha);

        byte Level(byte level) => (byte)Math.Clamp(level + by, 0, 255);
    }
}
