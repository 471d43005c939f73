namespace Recipes.Imaging.Charts;

/// <summary>Tetrahedral interpolation in a complete grid of patches: each cell of the grid is cut into six tetrahedra along its gray diagonal.</summary>
/// <remarks>
/// Passes through every patch of the grid and smooths nothing. Coarser than a spline on a small chart, hardly so on one of
/// more than a thousand patches; the two are independent of each other, so that one checks the other.
/// </remarks>
public sealed class TetrahedralModel : IPrinterModel
{
    private const int MostLevels = 32;
    private const double CornerReach = 6;
    private readonly double[] reds, greens, blues;
    private readonly Lab[] nodes;

    private TetrahedralModel(double[] reds, double[] greens, double[] blues, Lab[] nodes)
    {
        (this.reds, this.greens, this.blues, this.nodes) = (reds, greens, blues, nodes);
    }

    /// <summary>Patches of the grid.</summary>
    public int Count => nodes.Length;

    /// <summary>
    /// The model of the largest complete grid found in the patches, at least two levels a channel; null where there is none.
    /// Patches beside the grid, such as further grays, are left aside.
    /// </summary>
    public static TetrahedralModel? Of(IReadOnlyList<MeasuredPatch> patches)
    {
        ArgumentNullException.ThrowIfNull(patches);
        var known = new Dictionary<Rgb, Lab>();
        foreach (var patch in patches)
        {
            known.TryAdd(patch.Color, patch.Lab);
        }

        double[][] levels = [Levels(known.Keys, color => color.R), Levels(known.Keys, color => color.G), Levels(known.Keys, color => color.B)];
        while (levels.All(axis => axis.Length >= 2))
        {
            var (red, green, blue) = (levels[0], levels[1], levels[2]);
            var missing = new[] { new int[red.Length], new int[green.Length], new int[blue.Length] };
            var grid = new Lab[red.Length * green.Length * blue.Length];
            int holes = 0;
            for (int r = 0, at = 0; r < red.Length; r++)
            {
                for (int g = 0; g < green.Length; g++)
                {
                    for (int b = 0; b < blue.Length; b++, at++)
                    {
                        var node = new Rgb(red[r], green[g], blue[b]);
                        bool corner = (r == 0 && g == 0 && b == 0) || (r == red.Length - 1 && g == green.Length - 1 && b == blue.Length - 1);
                        if (!known.TryGetValue(node, out grid[at]) && !(corner && Beside(known, node, out grid[at])))
                        {
                            holes++;
                            missing[0][r]++;
                            missing[1][g]++;
                            missing[2][b]++;
                        }
                    }
                }
            }

            if (holes == 0)
            {
                return new TetrahedralModel(red, green, blue, grid);
            }

            // The level with the largest share of holes doesn't belong to the grid.
            var (axis, index) = Enumerable.Range(0, 3).SelectMany(axis => Enumerable.Range(0, missing[axis].Length).Select(index => (axis, index)))
                .MaxBy(place => (double)missing[place.axis][place.index] * levels[place.axis].Length);
            levels[axis] = [.. levels[axis].Where((_, i) => i != index)];
        }

        return null;
    }

    // Where pure white or black stays bare, its next printable neighbor stands in the grid's corner.
    private static bool Beside(Dictionary<Rgb, Lab> known, Rgb corner, out Lab lab)
    {
        var nearest = known.Keys.MinBy(color => color.DistanceTo(corner));
        lab = known[nearest];
        return nearest.DistanceTo(corner) <= CornerReach;
    }

    // More levels than this on one axis are no grid that anybody prints; the bound keeps hostile files cheap.
    private static double[] Levels(IEnumerable<Rgb> colors, Func<Rgb, double> channel)
    {
        double[] all = [.. colors.Select(channel).Distinct().Order()];
        if (all.Length <= MostLevels)
        {
            return all;
        }

        // A level of a grid of n occurs n squared times, one of a stray gray once.
        return [.. colors.GroupBy(channel).OrderByDescending(group => group.Count()).ThenBy(group => group.Key)
            .Take(MostLevels).Select(group => group.Key).Order()];
    }

    /// <inheritdoc/>
    public Lab Predict(Rgb color)
    {
        var (r, x) = Find(reds, color.R);
        var (g, y) = Find(greens, color.G);
        var (b, z) = Find(blues, color.B);
        // From the cell's dark corner along its edges to the bright one, the channel with the largest share first.
        Span<(double Share, int Step)> steps = [(x, greens.Length * blues.Length), (y, blues.Length), (z, 1)];
        if (steps[0].Share < steps[1].Share)
        {
            (steps[0], steps[1]) = (steps[1], steps[0]);
        }

        if (steps[1].Share < steps[2].Share)
        {
            (steps[1], steps[2]) = (steps[2], steps[1]);
        }

        if (steps[0].Share < steps[1].Share)
        {
            (steps[0], steps[1]) = (steps[1], steps[0]);
        }

        int at = (((r * greens.Length) + g) * blues.Length) + b;
        var lab = nodes[at];
        double l = lab.L, a = lab.A, bb = lab.B;
        foreach (var (share, step) in steps)
        {
            Lab from = nodes[at], to = nodes[at += step];
            l += share * (to.L - from.L);
            a += share * (to.A - from.A);
            bb += share * (to.B - from.B);
        }

        return new Lab(l, a, bb);
    }

    private static (int Cell, double Share) Find(double[] levels, double value)
    {
        int cell = Array.BinarySearch(levels, value);
        cell = Math.Clamp(cell >= 0 ? cell : ~cell - 1, 0, levels.Length - 2);
        return (cell, Math.Clamp((value - levels[cell]) / (levels[cell + 1] - levels[cell]), 0, 1));
    }
}
