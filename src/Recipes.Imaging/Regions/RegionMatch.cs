using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>A region as a list of regions gives it.</summary>
/// <param name="Number">From 1; no number twice in a list.</param>
/// <param name="Box">The smallest box around it.</param>
/// <param name="Pixels">Its size in px, at least 1.</param>
public readonly record struct NumberedRegion(int Number, Box Box, long Pixels);

/// <summary>What of an art the match looks at.</summary>
/// <param name="Width">Width in px.</param>
/// <param name="Height">Height in px.</param>
/// <param name="Drawing">The smallest box around what is drawn, or null where nothing is.</param>
/// <param name="Regions">Its numbered regions.</param>
public sealed record RegionsOfArt(int Width, int Height, Box? Drawing, ImmutableArray<NumberedRegion> Regions)
{
    // As the walk of enclosed whites takes it: dust of a JPEG is paper.
    private const int Near = 24;

    /// <summary>The same art turned.</summary>
    public RegionsOfArt Turned(ArtTurn turn)
    {
        var (across, down) = turn.Quarters % 2 == 0 ? (Width, Height) : (Height, Width);
        return new RegionsOfArt(across, down, Drawing is { } drawing ? Turned(drawing) : null,
            [.. Regions.Select(region => region with { Box = Turned(region.Box) })]);

        Box Turned(Box box)
        {
            box = turn.Mirrored ? box with { X = Width - box.Right } : box;
            return turn.Quarters switch
            {
                0 => box,
                1 => new Box(Height - box.Bottom, box.X, box.Height, box.Width),
                2 => new Box(Width - box.Right, Height - box.Bottom, box.Width, box.Height),
                _ => new Box(box.Y, Width - box.Right, box.Height, box.Width),
            };
        }
    }

    /// <summary>What of a flattened art the match looks at.</summary>
    public static RegionsOfArt Of(Plane<Rgba8> flat, ImmutableArray<NumberedRegion> regions)
    {
        ArgumentNullException.ThrowIfNull(flat);
        return new RegionsOfArt(flat.Width, flat.Height, Find.Drawn(flat, Near).Bounds, regions);
    }
}

/// <summary>One of the eight ways to lay a rectangle on its sides.</summary>
/// <param name="Mirrored">First mirrored, left to right.</param>
/// <param name="Quarters">Then turned clockwise by so many quarter turns, 0 to 3.</param>
public readonly record struct ArtTurn(bool Mirrored, int Quarters)
{
    /// <summary>All eight, upright first.</summary>
    public static ImmutableArray<ArtTurn> All { get; } =
        [.. from mirrored in (bool[])[false, true] from quarters in Enumerable.Range(0, 4) select new ArtTurn(mirrored, quarters)];

    /// <summary>For instance "turned by 90 degrees"; empty where it is upright.</summary>
    public override string ToString() => (Mirrored, Quarters) switch
    {
        (false, 0) => "",
        (true, 0) => "mirrored left to right",
        (true, 2) => "mirrored top to bottom",
        (false, 2) => "turned upside down",
        _ => $"{(Mirrored ? "mirrored left to right and " : "")}turned by 90 degrees {(Quarters == 1 ? "to the right" : "to the left")}",
    };
}

/// <summary>Where a point of the earlier art lies in the later one: at <c>Scale</c> times its place, plus a shift.</summary>
/// <param name="Scale">Above 0; one for both axes.</param>
/// <param name="X">Shift to the right in px of the later art.</param>
/// <param name="Y">Shift down in px of the later art.</param>
public readonly record struct ArtPlacement(double Scale, double X, double Y)
{
    /// <summary>The same place at the same size.</summary>
    public static ArtPlacement Same { get; } = new(1, 0, 0);
}

/// <summary>How well a region of the earlier art was found in the later one.</summary>
public enum RegionFit
{
    /// <summary>It is there, in one piece or several.</summary>
    Matched,

    /// <summary>Something is there, of another shape, size or place.</summary>
    Doubtful,

    /// <summary>Nothing is there.</summary>
    Gone,
}

/// <summary>A region of the earlier art in the later one.</summary>
/// <param name="Number">Its number in the earlier art.</param>
/// <param name="Fit">How well it was found.</param>
/// <param name="Now">The numbers that lie there now, the main one first; none where it is gone.</param>
public sealed record FoundRegion(int Number, RegionFit Fit, ImmutableArray<int> Now);

/// <summary>What lies in the later art where no region of the earlier one lay.</summary>
/// <param name="Number">The number of its main region.</param>
/// <param name="Pieces">Further numbers in that region's box, in order.</param>
public sealed record AddedRegion(int Number, ImmutableArray<int> Pieces);

/// <summary>A region of the later art that could belong to several of the earlier one.</summary>
/// <param name="Number">Its number in the later art.</param>
/// <param name="Candidates">Numbers of the earlier art, the smallest region first.</param>
public sealed record UnclearRegion(int Number, ImmutableArray<int> Candidates);

/// <summary>
/// Which regions of a later art are those of an earlier one, where the art was moved, scaled, saved with losses, or changed in
/// parts, turned or mirrored. Only numbers, boxes and sizes are looked at.
/// JPEG takes up to a block of 16 px off each edge of a white; thin whites can be doubtful then.
/// </summary>
/// <remarks>
/// One scale and one shift are assumed for all of the art. Those of equal size and place, equal canvas, equal drawing and of
/// every pair of regions are tried; the one under which most regions meet their like is taken. A pair says nothing for itself:
/// any two boxes of one shape can be laid on each other. An art that lies otherwise than before is taken for turned or mirrored only where three regions
/// or more, and most of what the regions weigh, say so, and clearly more than any other way of laying it: a figure whose halves are
/// alike can't say which. The figures below are common practice, without a source; the tests hold
/// that they do for drawings that were saved as JPEG.
/// </remarks>
public sealed record RegionMatch
{
    // Overlap of two boxes: what both share, by what either covers.
    private const double Same = 0.6, Like = 0.25;

    // A disk and a ring have one box.
    private const double Fewest = 0.4, Most = 2.5;

    // JPEG spoils the blocks of 16 px that an edge crosses, on average for half a block on the region's side.
    private const double Spoiled = 8;

    // Where a plain placement explains the regions nearly as well, it is the one: spoiled edges pull at the others.
    private const double Better = 1.1;

    // So much of a piece lies in the box of what it broke off from, or so near to it.
    private const double Inside = 0.9, Near = 2;

    // Edges that are so near are one edge: resampling and JPEG move them, and small boxes would notice.
    private const double Slack = 1.5;

    // The largest regions say where the art went. Every region is looked at; of its likes and of what lies around it so many are kept, since
    // where thousands of boxes lie on one another all of them would be like all.
    private const int Tellers = 32, Listeners = 64, MostCandidates = 16, MostLikes = 64, MostMains = 1000;
    private const double LeastScale = 1 / 20.0, MostScale = 20;

    // Of what the regions weigh: so much says that an art lies as before, so much that it was turned.
    private const double Upright = 0.9, MostWeight = 0.6;
    private const int FewestTurned = 3;

    private RegionMatch(ArtTurn turn, ArtPlacement placement, ImmutableArray<FoundRegion> found,
        ImmutableArray<UnclearRegion> unclear, ImmutableArray<AddedRegion> added)
    {
        Turn = turn;
        Placement = placement;
        Found = found;
        Unclear = unclear;
        New = added;
    }

    /// <summary>How the later art lies beside the earlier one.</summary>
    public ArtTurn Turn { get; }

    /// <summary>Where the earlier art lies in the later one, once it is turned.</summary>
    public ArtPlacement Placement { get; }

    /// <summary>Every region of the earlier art, by number.</summary>
    public ImmutableArray<FoundRegion> Found { get; }

    /// <summary>Regions of the later art that lie in the boxes of several earlier ones, by number.</summary>
    public ImmutableArray<UnclearRegion> Unclear { get; }

    /// <summary>What no region of the earlier art answers for, by number.</summary>
    public ImmutableArray<AddedRegion> New { get; }

    /// <summary>Matches two lists. The same lists give the same match, in whatever order they come.</summary>
    /// <exception cref="ArgumentException">A number is there twice, or a region is empty.</exception>
    public static RegionMatch Between(RegionsOfArt earlier, RegionsOfArt later)
    {
        ArgumentNullException.ThrowIfNull(earlier);
        ArgumentNullException.ThrowIfNull(later);
        NumberedRegion[] now = Ordered(later.Regions, nameof(later)), listeners = Largest(now, Listeners);
        var laid = Lay(default);
        double all = Largest(laid.Old, Tellers).Sum(Weight);
        if (laid.Score < Upright * all)
        {
            Laid[] others = [.. ArtTurn.All.Skip(1).Select(Lay).OrderByDescending(other => other.Score).Take(2)];
            bool clear = others[0].Score >= MostWeight * all && others[0].Score > Better * Math.Max(laid.Score, others[1].Score);
            laid = clear && Pairs(others[0].Placement, Largest(others[0].Old, Tellers), listeners, Same).Count >= FewestTurned ? others[0] : laid;
        }

        return Assign(laid, now);

        Laid Lay(ArtTurn turn)
        {
            var turned = earlier.Turned(turn);
            NumberedRegion[] old = Ordered(turned.Regions, nameof(earlier));
            var (placement, score) = Place(turned, later, Largest(old, Tellers), listeners);
            return new Laid(turn, old, placement, score);
        }
    }

    // The earlier regions turned, and the placement that explains most of the later ones.
    private readonly record struct Laid(ArtTurn Turn, NumberedRegion[] Old, ArtPlacement Placement, double Score);

    private static double Weight(NumberedRegion region) => Math.Sqrt(region.Pixels);

    private static NumberedRegion[] Ordered(ImmutableArray<NumberedRegion> regions, string name)
    {
        NumberedRegion[] ordered = [.. regions.OrderBy(region => region.Number)];
        return ordered.All(region => !region.Box.IsEmpty && region.Pixels >= 1) && ordered.DistinctBy(region => region.Number).Count() == ordered.Length
            ? ordered
            : throw new ArgumentException("A region is empty, or a number is there twice.", name);
    }

    private static NumberedRegion[] Largest(NumberedRegion[] regions, int count) =>
        [.. regions.OrderByDescending(region => region.Pixels).ThenBy(region => region.Number).Take(count)];

    private static (ArtPlacement Placement, double Score) Place(RegionsOfArt earlier, RegionsOfArt later, NumberedRegion[] old, NumberedRegion[] now)
    {
        var (plain, best) = ((Placement: ArtPlacement.Same, Score: -1.0), (Placement: ArtPlacement.Same, Score: -1.0));
        Try(ref plain, ArtPlacement.Same, null);
        Try(ref plain, Onto(new Box(0, 0, earlier.Width, earlier.Height), new Box(0, 0, later.Width, later.Height)), null);
        if (earlier.Drawing is { IsEmpty: false } from && later.Drawing is { IsEmpty: false } to)
        {
            Try(ref plain, Onto(from, to), null);
        }

        double canvas = Math.Sqrt(later.Width * (double)later.Height / (earlier.Width * (double)earlier.Height));
        for (int i = 0; i < old.Length; i++)
        {
            foreach (var region in now)
            {
                Try(ref best, Onto(old[i].Box, region.Box), i);
                Try(ref best, Centered(old[i].Box, region.Box, 1), i);
                Try(ref best, Centered(old[i].Box, region.Box, canvas), i);
            }
        }

        // What many regions say together is more exact than what one says.
        Try(ref best, Fitted(best.Placement, old, now), null);
        return best.Score > plain.Score * Better ? best : plain;

        void Try(ref (ArtPlacement Placement, double Score) best, ArtPlacement? tried, int? own)
        {
            if (tried is { Scale: >= LeastScale and <= MostScale } placement)
            {
                double score = 0;
                for (int i = 0; i < old.Length; i++)
                {
                    score += i == own ? 0 : Weight(old[i]) * BestOverlap(placement, old[i], now);
                }

                // The first that is tried stays where a later one is no better but for rounding.
                best = score > best.Score * (1 + 1e-6) ? (placement, score) : best;
            }
        }
    }

    // An overlap that is no likeness says nothing for a placement.
    private static double BestOverlap(ArtPlacement placement, NumberedRegion old, NumberedRegion[] now)
    {
        double best = 0;
        foreach (var region in now)
        {
            best = SizesFit(placement, old, region.Pixels) ? Math.Max(best, Overlap(placement, old.Box, region.Box)) : best;
        }

        return best >= Same ? best : 0;
    }

    private static bool SizesFit(ArtPlacement placement, NumberedRegion old, long pixels)
    {
        double expected = old.Pixels * placement.Scale * placement.Scale;
        return pixels >= Fewest * expected && pixels <= Most * expected;
    }

    // What JPEG leaves of a region at least; nothing of a small one.
    private static double LeastLeft(ArtPlacement placement, NumberedRegion old) =>
        (old.Pixels * placement.Scale * placement.Scale) - (Spoiled * 2 * (old.Box.Width + old.Box.Height) * placement.Scale);

    private static ArtPlacement? Onto(Box from, Box to)
    {
        double across = to.Width / (double)from.Width, down = to.Height / (double)from.Height;
        // Two boxes of different shape are no picture of each other, but one px more or less is rounding.
        bool alike = Math.Abs((from.Width * down) - to.Width) <= 2 + (0.05 * to.Width)
            && Math.Abs((from.Height * across) - to.Height) <= 2 + (0.05 * to.Height);
        // The longer side knows the scale better.
        return alike ? Centered(from, to, from.Width >= from.Height ? across : down) : null;
    }

    private static ArtPlacement Centered(Box from, Box to, double scale) => new(
        scale, to.X + (to.Width / 2.0) - (scale * (from.X + (from.Width / 2.0))), to.Y + (to.Height / 2.0) - (scale * (from.Y + (from.Height / 2.0))));

    // Least squares over the edges of all regions that met their like: one scale, two shifts.
    private static ArtPlacement? Fitted(ArtPlacement placement, NumberedRegion[] old, NumberedRegion[] now)
    {
        (Box From, Box To)[] pairs = [.. Pairs(placement, old, now, Same).Select(pair => (old[pair.Old].Box, now[pair.Now].Box))];
        // Two could agree on a place between them that is neither's.
        if (pairs.Length < 3)
        {
            return null;
        }

        double count = 2 * pairs.Length;
        double x = pairs.Sum(pair => (double)pair.From.X + pair.From.Right) / count, y = pairs.Sum(pair => (double)pair.From.Y + pair.From.Bottom) / count;
        double toX = pairs.Sum(pair => (double)pair.To.X + pair.To.Right) / count, toY = pairs.Sum(pair => (double)pair.To.Y + pair.To.Bottom) / count;
        double together = 0, spread = 0;
        foreach (var (from, to) in pairs)
        {
            Add(from.X - x, to.X - toX);
            Add(from.Right - x, to.Right - toX);
            Add(from.Y - y, to.Y - toY);
            Add(from.Bottom - y, to.Bottom - toY);
        }

        double scale = together / spread;
        return new ArtPlacement(scale, toX - (scale * x), toY - (scale * y));

        void Add(double from, double to)
        {
            together += from * to;
            spread += from * from;
        }
    }

    // Pairs whose boxes overlap enough, the best first, no region twice; numbers decide between equals.
    private static List<(int Old, int Now)> Pairs(ArtPlacement placement, NumberedRegion[] old, NumberedRegion[] now, double least)
    {
        var likes = new (double Overlap, int Old, int Now)[old.Length][];
        Parallel.For(0, old.Length, o =>
        {
            // The worst comes out first.
            var own = new PriorityQueue<(double Overlap, int Old, int Now), (double Overlap, int Earlier)>();
            for (int n = 0; n < now.Length; n++)
            {
                double overlap = Overlap(placement, old[o].Box, now[n].Box);
                if (overlap < least)
                {
                    continue;
                }

                overlap = Math.Round(overlap, 6);
                if (own.Count < MostLikes)
                {
                    own.Enqueue((overlap, o, n), (overlap, -n));
                }
                else if (overlap > own.Peek().Overlap)
                {
                    own.DequeueEnqueue((overlap, o, n), (overlap, -n));
                }
            }

            likes[o] = [.. own.UnorderedItems.Select(like => like.Element)];
        });

        bool[] oldTaken = new bool[old.Length], nowTaken = new bool[now.Length];
        var pairs = new List<(int, int)>();
        foreach (var (_, o, n) in likes.SelectMany(own => own).OrderByDescending(pair => pair.Overlap).ThenBy(pair => pair.Old).ThenBy(pair => pair.Now))
        {
            if (!oldTaken[o] && !nowTaken[n])
            {
                oldTaken[o] = nowTaken[n] = true;
                pairs.Add((o, n));
            }
        }

        return pairs;
    }

    private static RegionMatch Assign(Laid laid, NumberedRegion[] now)
    {
        var (turn, old, placement, _) = laid;
        var parts = Enumerable.Range(0, old.Length).Select(_ => new List<int>()).ToArray();
        var taken = new bool[now.Length];
        foreach (var (o, n) in Pairs(placement, old, now, Like))
        {
            parts[o].Add(n);
            taken[n] = true;
        }

        // The smallest box first: what lies in a hole's box is more likely the hole's than the ring's.
        int[] byBox = [.. Enumerable.Range(0, old.Length).OrderBy(o => (long)old[o].Box.Width * old[o].Box.Height).ThenBy(o => old[o].Number)];

        var unclear = ImmutableArray.CreateBuilder<UnclearRegion>();
        var added = new List<NumberedRegion>();
        for (int n = 0; n < now.Length; n++)
        {
            if (taken[n])
            {
                continue;
            }

            int[] around = Around(now[n], 0) is { Length: > 0 } whole ? whole : Around(now[n], Near);
            switch (around)
            {
                case []:
                    added.Add(now[n]);
                    break;
                case [var only, ..] when around.Length == 1 || HoldsMiddle(placement, old[only].Box, now[n].Box):
                    parts[only].Add(n);
                    break;
                default:
                    unclear.Add(new UnclearRegion(now[n].Number, [.. around.Select(o => old[o].Number)]));
                    break;
            }
        }

        return new RegionMatch(turn, placement, [.. old.Select((region, o) => Judge(placement, region, [.. parts[o].Select(n => now[n])]))],
            unclear.ToImmutable(), Gathered(added));

        int[] Around(NumberedRegion piece, double near) => [.. byBox.Where(o => Share(placement, old[o].Box, piece.Box, near) >= Inside).Take(MostCandidates)];
    }

    // What a ring surrounds holds the middle; of the ring itself no part does.
    private static bool HoldsMiddle(ArtPlacement placement, Box old, Box now)
    {
        double x = (placement.Scale * (old.X + (old.Width / 2.0))) + placement.X, y = (placement.Scale * (old.Y + (old.Height / 2.0))) + placement.Y;
        return x >= now.X && x <= now.Right && y >= now.Y && y <= now.Bottom;
    }

    // A new element that JPEG broke is one element: the largest region, and what lies in its box.
    private static ImmutableArray<AddedRegion> Gathered(List<NumberedRegion> added)
    {
        NumberedRegion[] ordered = Largest([.. added], added.Count);
        var pieces = new Dictionary<int, List<int>>();
        var mains = new List<NumberedRegion>();
        foreach (var region in ordered)
        {
            int main = mains.FindIndex(large => Share(ArtPlacement.Same, large.Box, region.Box, Near) >= Inside);
            if (main >= 0)
            {
                pieces[mains[main].Number].Add(region.Number);
                continue;
            }

            pieces[region.Number] = [];
            if (mains.Count < MostMains)
            {
                mains.Add(region);
            }
        }

        return [.. pieces.OrderBy(pair => pair.Key).Select(pair => new AddedRegion(pair.Key, [.. pair.Value.Order()]))];
    }

    private static FoundRegion Judge(ArtPlacement placement, NumberedRegion old, NumberedRegion[] parts)
    {
        if (parts.Length == 0)
        {
            return new FoundRegion(old.Number, RegionFit.Gone, []);
        }

        var box = parts.Aggregate(default(Box), (all, part) => all.Around(part.Box));
        long pixels = parts.Sum(part => part.Pixels);
        bool matched = (Overlap(placement, old.Box, box) >= Same && SizesFit(placement, old, pixels))
            || (Share(placement, old.Box, box, Near) >= Inside && pixels >= LeastLeft(placement, old));
        return new FoundRegion(old.Number, matched ? RegionFit.Matched : RegionFit.Doubtful,
            [.. parts.OrderByDescending(part => part.Pixels).ThenBy(part => part.Number).Select(part => part.Number)]);
    }

    private static double Overlap(ArtPlacement placement, Box old, Box now)
    {
        var (x, width, oldWidth) = Along(placement.Scale, placement.X, (old.X, old.Right), (now.X, now.Right));
        if (x <= 0)
        {
            return 0;
        }

        var (y, height, oldHeight) = Along(placement.Scale, placement.Y, (old.Y, old.Bottom), (now.Y, now.Bottom));
        double both = x * y;
        return both / ((oldWidth * oldHeight) + (width * height) - both);
    }

    // How much of the later box lies in the earlier one, or within so many px of it.
    private static double Share(ArtPlacement placement, Box old, Box now, double near)
    {
        near /= placement.Scale;
        var (x, width, _) = Along(placement.Scale, placement.X, (old.X - near, old.Right + near), (now.X, now.Right));
        if (x <= 0)
        {
            return 0;
        }

        var (y, height, _) = Along(placement.Scale, placement.Y, (old.Y - near, old.Bottom + near), (now.Y, now.Bottom));
        return x * y / (width * height);
    }

    // One axis: the length that both share, that of the later box, and that of the earlier one where it lies now.
    private static (double Both, double Now, double Old) Along(double scale, double shift, (double From, double To) old, (int From, int To) now)
    {
        var (from, to) = now;
        double slack = Slack * Math.Max(1, scale);
        double first = Snap((scale * old.From) + shift, from), last = Snap((scale * old.To) + shift, to);
        return (Math.Max(0, Math.Min(last, to) - Math.Max(first, from)), to - from, Math.Max(last - first, 1e-9));

        double Snap(double edge, int onto) => Math.Abs(edge - onto) <= slack ? onto : edge;
    }
}
