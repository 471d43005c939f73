namespace Recipes.Imaging;

/// <summary>Tells how much of each pixel of a rim is art.</summary>
internal sealed class RimMix(Region outside, Rgba8 background, RimEvidence evidence)
{
    // From this share on a pixel is art, sooner where it lies off the line; below this one it is background, since nothing is known of its color.
    private const double Whole = 0.98, Uneven = 0.9, Least = 0.02;
    private const int Flatness = 4;

    // Deeper rims than this many px, less one, fade; and less than this share of the way from the background a stroke has ended. Ours.
    private const int Wide = 5;
    private const double Ended = 0.75;

    // How far off the line a mix may be, as a share of its length. Around art on paper every edge is a mix, and a JPEG's are darker than that. Ours.
    private readonly double slack = outside.Ground.HasPaper ? 0.14 : 0.08;

    private readonly Plane<Rgba8> art = outside.FoundIn;
    private readonly Premultiplied old = Premultiplied.Of(background.WithAlpha(255));

    /// <summary>Finds the pixels that hold some of the background, those that hold nothing else, and how deep they lie.</summary>
    public (Region Mixed, Region Nothing, double Depth) Of(int[] edge)
    {
        colors = ColorsBehind(edge);
        var layer = edge.Select(at => (At: at, From: at)).ToList();
        var seen = new HashSet<int>(edge);
        // What is partly transparent says itself how much of it is art, however deep it lies.
        int deepest = evidence.IsMatte ? evidence.Deepest : evidence.Reach;
        for (int depth = 1, kept = 0; depth <= deepest && layer.Count > 0; depth++, kept = depths.Count)
        {
            var found = new (byte Share, Premultiplied? Core)?[layer.Count];
            Parallel.For(0, found.Length, i =>
                found[i] = depth > 1 && !IsBehindRim(layer[i].At) ? (255, null) : ShareOfArt(layer[i].At, layer[i].From, depth));
            var open = new List<int>();
            for (int i = 0; i < found.Length; i++)
            {
                if (found[i] is { } known)
                {
                    Keep(layer[i].At, depth > 1 && known.Share is > 0 and < 255 && IsDrawn(layer[i].At) ? (byte)255 : known.Share, known.Core, depth);
                }
                else
                {
                    open.Add(layer[i].At);
                }
            }

            Fill(open, depth);
            if (depth >= evidence.Reach && depths.Count == kept)
            {
                break;
            }

            layer = Next(layer, seen, depth);
        }

        return (SparseRegion.Of(art, mixed), SparseRegion.Of(art, nothing), depths.Count == 0 ? 0 : depths[depths.Count * 19 / 20]);
    }

    // Enough of an edge to know the art's colors by.
    private const int Sampled = 4000;

    private RimColors? colors;

    // Where a rim is wide, the colors that the art has behind it.
    private RimColors? ColorsBehind(int[] edge)
    {
        if (evidence.Reach < Wide)
        {
            return null;
        }

        int every = Math.Max(1, edge.Length / Sampled);
        var found = new Premultiplied?[(edge.Length + every - 1) / every];
        Parallel.For(0, found.Length, i =>
        {
            var place = (X: edge[i * every] % art.Width, Y: edge[i * every] / art.Width);
            found[i] = CoreOf(place, place, 1, Premultiplied.Of(art[place.X, place.Y].WithAlpha(255)));
        });
        return new RimColors(found.OfType<Premultiplied>(), old);
    }

    // Where the rim is, and which color the art has behind it. The code of a dictionary of numbers is there from the start, docs/decisions/0010.
    private readonly Dictionary<int, int> rim = [];
    private readonly List<Premultiplied?> cores = [];
    private readonly List<(int At, byte Coverage)> mixed = [], nothing = [];

    // Layers come in order.
    private readonly List<int> depths = [];

    private void Keep(int at, byte share, Premultiplied? core, int depth)
    {
        if (share < 255)
        {
            rim[at] = cores.Count;
            cores.Add(core);
            depths.Add(depth);
            (share == 0 ? nothing : mixed).Add((at, share == 0 ? (byte)255 : share));
        }
    }

    // Pixels at corners, where no straight line meets the art, take the color of the art from their neighbors; many together are
    // pale art that has none behind it.
    private void Fill(List<int> open, int depth)
    {
        var left = new HashSet<int>(open);
        foreach (int start in open)
        {
            if (!left.Remove(start))
            {
                continue;
            }

            List<int> group = [start];
            for (int i = 0; i < group.Count; i++)
            {
                group.AddRange(Around(group[i]).Where(left.Remove));
            }

            for (bool more = group.Count <= 4 + evidence.Reach; more;)
            {
                more = false;
                foreach (int at in group.Where(at => !rim.ContainsKey(at)))
                {
                    var seen = Premultiplied.Of(art[at % art.Width, at / art.Width].WithAlpha(255));
                    var core = Around(at).Where(rim.ContainsKey).Select(near => cores[rim[near]]).OfType<Premultiplied>()
                        .Where(near => seen.Between(near, old).Share <= 1).OrderBy(near => seen.Between(near, old).Off).Cast<Premultiplied?>().FirstOrDefault();
                    if (core is { } known && Coverage(seen, known) is < 255 and var share)
                    {
                        Keep(at, share, core, depth);
                        more = true;
                    }
                }
            }
        }
    }

    // A rim gets no paler further in. What does, and is level, is drawn: a line whose edges sharpening made darker than the line.
    private bool IsDrawn(int at)
    {
        const int Alike = 3, Darker = 8;
        var pixel = art[at % art.Width, at / art.Width];
        double far = Far(Premultiplied.Of(pixel));
        int alike = 0;
        bool darker = false;
        foreach (int near in pixel.A < RimProfile.Opaque ? [] : Around(at))
        {
            var beside = art[near % art.Width, near / art.Width];
            alike += beside == pixel ? 1 : 0;
            darker |= rim.ContainsKey(near) && Far(Premultiplied.Of(beside.WithAlpha(255))) > far + Darker;
        }

        return darker && alike >= Alike;
    }

    private IEnumerable<int> Around(int at)
    {
        int x = at % art.Width, y = at / art.Width;
        return Ways.Where(way => x + way.X >= 0 && x + way.X < art.Width && y + way.Y >= 0 && y + way.Y < art.Height)
            .Select(way => ((y + way.Y) * art.Width) + x + way.X);
    }

    // One px further in, each with the place of the edge that it was reached from.
    private List<(int At, int From)> Next(List<(int At, int From)> layer, HashSet<int> seen, int depth)
    {
        int width = art.Width, height = art.Height;
        var next = new List<(int At, int From)>(layer.Count);
        foreach (var (at, from) in layer)
        {
            // Every other step takes the corners, too, so that a circle grows roughly round.
            for (int side = 0; side < (depth % 2 == 0 ? 8 : 4); side++)
            {
                int u = (at % width) + Ways[side].X, v = (at / width) + Ways[side].Y;
                if (u >= 0 && v >= 0 && u < width && v < height && !outside.Contains(u, v) && seen.Add((v * width) + u))
                {
                    next.Add(((v * width) + u, from));
                }
            }
        }

        return next;
    }

    // A rim is paler on the outside: behind a pixel that holds nothing of the background, none does.
    private bool IsBehindRim(int at)
    {
        int x = at % art.Width, y = at / art.Width;
        foreach (var way in Ways)
        {
            int u = x + way.X, v = y + way.Y;
            if (u >= 0 && u < art.Width && v >= 0 && v < art.Height && rim.ContainsKey((v * art.Width) + u))
            {
                return true;
            }
        }

        return false;
    }

    private static readonly (int X, int Y)[] Ways = [(0, -1), (-1, 0), (1, 0), (0, 1), (-1, -1), (1, -1), (-1, 1), (1, 1)];

    // 255 where the pixel holds none of the background, 0 where it holds nothing else, and the color of the art behind it; null where
    // no such color was found.
    private (byte Share, Premultiplied? Core)? ShareOfArt(int place, int from, int depth)
    {
        int x = place % art.Width, y = place / art.Width;
        var seen = art[x, y];
        bool opaque = seen.A == 255;
        if ((opaque && evidence.Cut == 0) || (depth > evidence.Reach && seen.A >= RimProfile.Opaque))
        {
            return (255, null);
        }

        var straight = Premultiplied.Of(seen.WithAlpha(255));
        var core = CoreOf((x, y), (from % art.Width, from / art.Width), depth, straight);
        if (!opaque && evidence.IsMatte)
        {
            double alpha = seen.A / 255.0;
            if (core is { } art)
            {
                double clean = (straight - art).Largest, matte = (straight - ((alpha * art) + ((1 - alpha) * old))).Largest;
                // What was enlarged after it was mixed is as pale as its mixes were, whatever its own alpha.
                if (colors is not null && Math.Min(clean, matte) > 8 + (0.08 * Far(art)))
                {
                    return (Coverage(straight, art), core);
                }

                if (clean <= matte)
                {
                    return (255, null);
                }
            }

            // What rounding to a level can explain.
            double slack = (0.5 / alpha) + 0.5;
            var full = (1 / alpha) * (straight - ((1 - alpha) * old));
            if (full.Smallest >= -slack && full.Highest <= 255 + slack)
            {
                return (seen.A, core);
            }
        }

        return core is not { } known ? null : (evidence.Cut == 0 ? (byte)255 : Coverage(straight, known), core);
    }

    private byte Coverage(Premultiplied seen, Premultiplied core)
    {
        var fit = seen.Between(core, old);
        double length = Far(core);
        if (fit.Off > Flatness && colors?.Share(seen, core) is { } both)
        {
            return Level(both);
        }

        if (fit.Share >= (fit.Off <= Flatness ? Whole : Uneven) || fit.Off > 8 + (slack * length))
        {
            return 255;
        }

        if (fit.Share < Least)
        {
            return 0;
        }

        // No less than its color needs to stay within 0 to 255, but for what rounding explains.
        double share = fit.Off <= Flatness ? fit.Share : Math.Max(fit.Share, Needed(seen));
        return Level(share);

        static byte Level(double share) => share >= Whole ? (byte)255 : (byte)Math.Clamp(Math.Round(share * 255, MidpointRounding.AwayFromZero), 1, 254);
    }

    private double Needed(Premultiplied seen)
    {
        return Math.Round(Math.Max(One(seen.R, old.R), Math.Max(One(seen.G, old.G), One(seen.B, old.B))), 6);

        static double One(double seen, double old) => seen < old ? (old - seen) / old : seen > old ? (seen - old) / (255 - old) : 0;
    }

    // The color of the art behind a pixel.
    private Premultiplied? CoreOf((int X, int Y) place, (int X, int Y) from, int depth, Premultiplied seen)
    {
        int steps = Math.Max(1, evidence.Reach - depth + 1);
        var way = depth <= 3 ? RimProfile.Inward(outside.Coverage, place.X, place.Y) : null;
        way ??= RimProfile.Toward(place.X - from.X, place.Y - from.Y) ?? RimProfile.Inward(outside.Coverage, from.X, from.Y);
        var profile = way is { } inward ? RimProfile.Along(outside, background, place, inward, steps + 3) : null;
        if (profile is { First: >= 0 } && profile.Core(profile.First, steps) is var core && profile.Far(core) >= RimProfile.LeastContrast
            && (profile.Count > 3 || core > 0))
        {
            return evidence.Reach < Wide ? profile.Color(core) : Own(profile.Place(core), way!.Value, Uphill(profile.Place(core), profile.Color(core), seen));
        }

        return ThinInk(place.X, place.Y, seen) ?? colors?.Behind(seen);
    }

    // Of a stroke that ends again before its fade is over, the color that the art has elsewhere on the same line.
    private Premultiplied Own((int X, int Y) place, (double X, double Y) way, Premultiplied best)
    {
        if (colors?.Behind(best) is not { } own)
        {
            return best;
        }

        var on = RimProfile.Along(outside, background, place, way, evidence.Reach + 2);
        return on is null || on.Count < evidence.Reach + 2 || on.Far(on.Count - 1) < Ended * Far(best) ? own : best;
    }

    // Where a rim is wide, a straight line may run along another edge's fade: goes away from the background by the steepest way.
    private Premultiplied Uphill((int X, int Y) place, Premultiplied best, Premultiplied seen)
    {
        double reached = Far(best), here = reached;
        for (int step = 0; step < evidence.Reach; step++)
        {
            var (next, most) = (place, here + 2);
            foreach (var way in Ways)
            {
                int u = place.X + (2 * way.X), v = place.Y + (2 * way.Y);
                if (u >= 0 && v >= 0 && u < art.Width && v < art.Height && art[u, v].A >= RimProfile.Opaque && Far(Premultiplied.Of(art[u, v])) is var far
                    && far > most)
                {
                    (next, most) = ((u, v), far);
                }
            }

            if (next == place)
            {
                break;
            }

            (place, here) = (next, most);
        }

        var color = Premultiplied.Of(art[place.X, place.Y].WithAlpha(255));
        return here > reached && seen.Between(color, old).Off <= 6 + (0.04 * here) ? color : best;
    }

    private double Far(Premultiplied color) => Math.Sqrt((color - old).Dot(color - old));

    // Of a stroke thinner than its rim, what lies furthest from the background on a line with the pixel.
    private Premultiplied? ThinInk(int x, int y, Premultiplied seen)
    {
        const int Reach = 3;
        Premultiplied? best = null;
        double most = RimProfile.LeastContrast;
        for (int v = Math.Max(0, y - Reach); v <= Math.Min(art.Height - 1, y + Reach); v++)
        {
            for (int u = Math.Max(0, x - Reach); u <= Math.Min(art.Width - 1, x + Reach); u++)
            {
                if (art[u, v].A < RimProfile.Opaque || outside.Contains(u, v))
                {
                    continue;
                }

                var color = Premultiplied.Of(art[u, v]);
                double far = Far(color);
                if (far > most && seen.Between(color, old) is { Off: <= 10, Share: <= 1.05 })
                {
                    (best, most) = (color, far);
                }
            }
        }

        return best;
    }
}
