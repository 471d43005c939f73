namespace Recipes.Imaging;

/// <summary>
/// Finds dots that stand in a raster: most of those around a dot have their nearest neighbor as far as it has its own, and so
/// it is with them. The numbers are ours; no source.
/// </summary>
/// <param name="dots">All dots.</param>
/// <param name="widest">The largest distance of neighbors, px.</param>
internal sealed class DotRaster(IReadOnlyList<SmallPart> dots, double widest)
{
    // Neighbors that are asked, and how many of them there must be. Distances are even within a share and a px that
    // anti-aliasing may shift a box; sizes are of one gradient within a factor.
    private const int Asked = 8, Fewest = 4, Rings = 4;
    private const double Even = 0.15, Shift = 1, Alike = 16;

    private readonly PartGrid grid = new(dots, Enumerable.Range(0, dots.Count), widest / Rings);
    private readonly List<int>?[] neighbors = new List<int>?[dots.Count];
    private readonly bool?[] even = new bool?[dots.Count];

    /// <summary>Whether a dot stands in a raster.</summary>
    public bool Holds(int dot) => IsEven(dot) && Neighbors(dot).Count(IsEven) >= Fewest;

    private bool IsEven(int dot)
    {
        if (even[dot] is { } known)
        {
            return known;
        }

        var around = Neighbors(dot);
        double pitch = Pitch(dot);
        bool isEven = around.Count >= Fewest && 4 * around.Count(other => Math.Abs(Pitch(other) - pitch) <= Math.Round((Even * pitch) + Shift, 6)
            && dots[dot].IsAlike(dots[other], Alike)) >= 3 * around.Count;
        even[dot] = isEven;
        return isEven;
    }

    private double Pitch(int dot) => Neighbors(dot) is { Count: > 0 } around ? dots[dot].Apart(dots[around[0]]) : double.MaxValue;

    // The nearest of its kind, nearest first.
    private List<int> Neighbors(int dot)
    {
        if (neighbors[dot] is { } known)
        {
            return known;
        }

        List<int> found = [];
        for (int ring = 1; ring <= Rings && found.Count < Asked; ring++)
        {
            double within = widest * ring / Rings;
            found = [.. grid.Around(dots[dot].Bounds, ring + 1)
                .Where(other => other != dot && dots[other].Ink == dots[dot].Ink && dots[dot].Apart(dots[other]) <= within)];
        }

        found = [.. found.OrderBy(other => dots[dot].Apart(dots[other])).ThenBy(other => other).Take(Asked)];
        neighbors[dot] = found;
        return found;
    }
}
