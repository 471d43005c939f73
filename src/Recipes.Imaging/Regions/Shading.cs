namespace Recipes.Imaging;

/// <summary>A level of a sheet, and where it was seen, as shares of the picture.</summary>
/// <param name="X">From the left.</param>
/// <param name="Y">From the top.</param>
/// <param name="Level">The mean of the channels.</param>
internal sealed record ShadedLevel(double X, double Y, double Level);

/// <summary>How a lamp shades an even sheet: brighter here and darker there, by and by.</summary>
internal static class Shading
{
    private const int Terms = 6;

    /// <summary>
    /// How far apart the middle eight tenths of some levels lie once the surface of second degree that fits them best, by least squares, is taken away.
    /// </summary>
    /// <param name="levels">Levels and where they were seen, as shares of the picture; of fewer than 12 nothing is known, and 0 is told.</param>
    public static double Unevenness(List<ShadedLevel> levels)
    {
        if (levels.Count < 2 * Terms)
        {
            return 0;
        }

        var sums = new double[Terms, Terms + 1];
        foreach (var (x, y, level) in levels)
        {
            double[] terms = Of(x, y);
            for (int i = 0; i < Terms; i++)
            {
                for (int j = 0; j < Terms; j++)
                {
                    sums[i, j] += terms[i] * terms[j];
                }

                sums[i, Terms] += terms[i] * level;
            }
        }

        double[] surface = Solved(sums);
        var rest = new double[levels.Count];
        for (int i = 0; i < rest.Length; i++)
        {
            double[] terms = Of(levels[i].X, levels[i].Y);
            double sum = 0;
            for (int term = 0; term < Terms; term++)
            {
                sum += terms[term] * surface[term];
            }

            rest[i] = levels[i].Level - sum;
        }

        Array.Sort(rest);
        return Math.Round(rest[rest.Length * 9 / 10] - rest[rest.Length / 10], 6);
    }

    private static double[] Of(double x, double y) => [1, x, y, x * x, y * y, x * y];

    // Gauss and Jordan, with the largest pivot of a column; a term that says nothing, as where all lies on one side, stays 0.
    private static double[] Solved(double[,] sums)
    {
        var found = new double[Terms];
        var rows = new int[Terms];
        Array.Fill(rows, -1);
        for (int column = 0, row = 0; column < Terms; column++)
        {
            int pivot = row;
            for (int i = row + 1; i < Terms; i++)
            {
                pivot = Math.Abs(sums[i, column]) > Math.Abs(sums[pivot, column]) ? i : pivot;
            }

            if (Math.Abs(sums[pivot, column]) < 1e-9)
            {
                continue;
            }

            for (int j = 0; j <= Terms; j++)
            {
                (sums[row, j], sums[pivot, j]) = (sums[pivot, j], sums[row, j]);
            }

            for (int i = 0; i < Terms; i++)
            {
                double factor = i == row ? 0 : sums[i, column] / sums[row, column];
                for (int j = column; j <= Terms && factor != 0; j++)
                {
                    sums[i, j] -= factor * sums[row, j];
                }
            }

            rows[column] = row++;
        }

        for (int column = 0; column < Terms; column++)
        {
            found[column] = rows[column] < 0 ? 0 : sums[rows[column], Terms] / sums[rows[column], column];
        }

        return found;
    }
}
