namespace Recipes.Imaging;

/// <summary>Finds white between the dots of a raster that has grown together: small whites that stand in one, and what is as thin beside them.</summary>
/// <param name="small">Whites no larger than one between dots.</param>
/// <param name="thin">Holes that are larger, and no wider.</param>
/// <param name="largest">The area of the largest one, px2.</param>
internal sealed class WhiteRaster(Island[] small, Island[] thin, double largest)
{
    /// <summary>Fewer are no raster. Ours.</summary>
    public const int Fewest = 40;

    // So often is asked what lies beside. Ours.
    private const int Rounds = 8;

    private readonly SmallPart[] parts = [.. small.Select(white => new SmallPart(false, white.Number, white.Bounds, white.Count, false, false))];
    private readonly double widest = 3 * Math.Sqrt(largest);

    /// <summary>The numbers of those whites, and of those holes.</summary>
    public (HashSet<int> Whites, HashSet<int> Holes) Between()
    {
        if (parts.Length < Fewest)
        {
            return ([], []);
        }

        var raster = new DotRaster(parts, widest);
        var grid = new PartGrid(parts, Enumerable.Range(0, parts.Length), widest);
        HashSet<int> held = [.. Enumerable.Range(0, parts.Length).Where(i => raster.Holds(i) && IsInLattice(i))];
        if (held.Count < Fewest)
        {
            return ([], []);
        }

        HashSet<Island> joined = [];
        for (int round = 0, before = -1; round < Rounds && before != held.Count + joined.Count; round++)
        {
            before = held.Count + joined.Count;
            joined.UnionWith(thin.Where(hole => held.Any(i => IsBeside(parts[i], hole))));
            held.UnionWith([.. Enumerable.Range(0, parts.Length)
                .Where(i => !held.Contains(i) && (Others(i).Any(held.Contains) || joined.Any(hole => IsBeside(parts[i], hole))))]);
        }

        return ([.. held.Select(i => parts[i].Number)], [.. joined.Select(hole => hole.Number)]);

        IEnumerable<int> Others(int i) => grid.Around(parts[i].Bounds).Where(other => other != i && parts[other].Apart(parts[i]) <= widest);

        // In a raster a dot lies midway between others in two directions, as letters, which have widths of their own, don't.
        bool IsInLattice(int i)
        {
            double pitch = Others(i).Min(other => parts[other].Apart(parts[i]));
            int[] around = [.. Others(i).Where(other => parts[other].Apart(parts[i]) <= Math.Round((1.6 * pitch) + 1, 6))];
            (int X, int Y)[] ways = [.. around.Where(one => around.Any(other => other > one && parts[i].IsMidway(parts[one], parts[other])))
                .Select(one => Way(parts[i], parts[one]))];
            return ways.Any(one => ways.Any(other => Math.Abs((one.X * other.Y) - (one.Y * other.X)) * 2 > Math.Round(Length(one) * Length(other), 6)));
        }
    }

    private static (int X, int Y) Way(SmallPart from, SmallPart to)
    {
        var (a, b) = (from.Bounds, to.Bounds);
        return ((2 * (b.X - a.X)) + b.Width - a.Width, (2 * (b.Y - a.Y)) + b.Height - a.Height);
    }

    private static double Length((int X, int Y) way) => Math.Sqrt((way.X * way.X) + (way.Y * way.Y));

    private bool IsBeside(SmallPart part, Island hole) => part.Gap(new SmallPart(false, hole.Number, hole.Bounds, hole.Count, false, false)) <= widest;
}
