namespace Recipes.Shipped.Tests.Orders;

/// <summary>Euclidean distances in px between the centers of pixels, worked out plainly and apart from the program's own.</summary>
internal static class Distances
{
    /// <summary>How far every pixel is from the nearest one that is in, at most <paramref name="limit"/>.</summary>
    public static double[] To(int width, int height, double limit, Func<int, bool> isIn)
    {
        // Down each column the nearest row, then along each row the best column (Saito and Toriwaki 1994), the search cut off where it can't get better.
        var rows = new double[width * height];
        Parallel.For(0, width, x =>
        {
            double away = double.PositiveInfinity;
            for (int y = 0; y < height; y++)
            {
                rows[(y * width) + x] = away = isIn((y * width) + x) ? 0 : away + 1;
            }

            away = double.PositiveInfinity;
            for (int y = height - 1; y >= 0; y--)
            {
                away = isIn((y * width) + x) ? 0 : away + 1;
                rows[(y * width) + x] = Math.Min(rows[(y * width) + x], away);
            }
        });
        var distances = new double[width * height];
        Parallel.For(0, height, y =>
        {
            for (int x = 0; x < width; x++)
            {
                double best = Math.Min(limit * limit, rows[(y * width) + x] * rows[(y * width) + x]);
                for (int step = 1; step * step < best; step++)
                {
                    foreach (int other in (ReadOnlySpan<int>)[x - step, x + step])
                    {
                        if (other >= 0 && other < width)
                        {
                            double row = rows[(y * width) + other];
                            best = Math.Min(best, (row * row) + ((double)step * step));
                        }
                    }
                }

                distances[(y * width) + x] = Math.Sqrt(best);
            }
        });
        return distances;
    }

    /// <summary>The parts that hang together, as lists of pixels.</summary>
    /// <param name="reach">How far neighbors may lie apart: 1 at corners too, 2 with a px between them; 0 at sides alone.</param>
    public static List<List<int>> Parts(int width, int height, Func<int, bool> isIn, int reach = 1)
    {
        int far = Math.Max(1, reach);
        var seen = new bool[width * height];
        var parts = new List<List<int>>();
        for (int start = 0; start < seen.Length; start++)
        {
            if (seen[start] || !isIn(start))
            {
                continue;
            }

            var part = new List<int> { start };
            seen[start] = true;
            for (int next = 0; next < part.Count; next++)
            {
                int x = part[next] % width, y = part[next] / width;
                for (int v = Math.Max(0, y - far); v <= Math.Min(height - 1, y + far); v++)
                {
                    for (int u = Math.Max(0, x - far); u <= Math.Min(width - 1, x + far); u++)
                    {
                        int i = (v * width) + u;
                        if ((reach > 0 || u == x || v == y) && !seen[i] && isIn(i))
                        {
                            seen[i] = true;
                            part.Add(i);
                        }
                    }
                }
            }

            parts.Add(part);
        }

        return parts;
    }
}
