namespace Recipes.Imaging;

/// <summary>How a lamp shades an even sheet: brighter here and darker there, by and by.</summary>
internal static class Shading
{
    private const int Terms = 6;

    /// <summary>
    /// How far apart the middle eight tenths of some levels lie once the surface of second degree that fits them best, by least squares, is taken away.
    /// </summary>
    /// <param name="levels">Levels and where they were seen, as shares of the picture; of fewer than 12 nothing is known, and 0 is told.</param>
    public static double Unevenness(IReadOnlyList<(double X, double Y, double Level)> levels)
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
        double[] rest = [.. levels.Select(at => at.Level - Of(at.X, at.Y).Zip(surface, (term, factor) => term * factor).Sum()).Order()];
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
            int pivot = Enumerable.Range(row, Terms - row).MaxBy(i => Math.Abs(sums[i, column]));
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
