namespace Recipes.Imaging;

/// <summary>Exact Euclidean distances between pixel centers.</summary>
/// <remarks>Two passes after Meijster, Roerdink, Hesselink (2000), all in integers: down and up the columns, then along the rows.</remarks>
public static class Distance
{
    /// <summary>What a pixel gets where nothing can be near: no pixel is a target.</summary>
    public const int Unreachable = int.MaxValue;

    /// <summary>
    /// For every pixel, rows from the top, the squared distance in px2 to the nearest target; 0 on a target,
    /// <see cref="Unreachable"/> where there is none.
    /// </summary>
    /// <param name="coverage">The region; coverage above 0 counts as in.</param>
    /// <param name="toRegion">
    /// True: targets are the pixels of the region. False: targets are the pixels not in it, all of what lies outside
    /// the image included.
    /// </param>
    public static int[] Squared(Plane<byte> coverage, bool toRegion)
    {
        ArgumentNullException.ThrowIfNull(coverage);
        int width = coverage.Width, height = coverage.Height;
        var distances = new int[checked(width * height)];
        // No column or row is longer, so this stands for infinity and its sums with a coordinate don't overflow.
        int far = width + height + 2;

        Parallel.For(0, coverage.Grid.Columns, column =>
        {
            int x = column * TileGrid.Side, count = Math.Min(TileGrid.Side, width - x);
            Span<int> nearest = stackalloc int[count];
            Span<byte> row = stackalloc byte[count];
            nearest.Fill(toRegion ? far : 0);
            for (int y = 0; y < height; y++)
            {
                coverage.Tiles[coverage.Grid.IndexAt(x, y)].CopyRowTo(y % TileGrid.Side, row);
                for (int i = 0; i < count; i++)
                {
                    nearest[i] = (row[i] != 0) == toRegion ? 0 : Math.Min(far, nearest[i] + 1);
                }

                nearest.CopyTo(distances.AsSpan((y * width) + x, count));
            }

            nearest.Fill(toRegion ? far : 0);
            for (int y = height - 1; y >= 0; y--)
            {
                var here = distances.AsSpan((y * width) + x, count);
                for (int i = 0; i < count; i++)
                {
                    nearest[i] = here[i] = Math.Min(here[i], nearest[i] + 1);
                }
            }
        });

        Parallel.For(0, height, () => new Envelope(width, far), (y, _, envelope) =>
        {
            envelope.Sweep(distances.AsSpan(y * width, width), toRegion);
            return envelope;
        }, _ => { });
        return distances;
    }

    // The lower envelope of the parabolas (x - i)^2 + g(i)^2 of one row.
    private sealed class Envelope(int width, int far)
    {
        private readonly int[] centers = new int[width], starts = new int[width];
        private readonly long[] squares = new long[width];

        public void Sweep(Span<int> row, bool toRegion)
        {
            if (row.IndexOfAnyExcept(0) < 0)
            {
                return;
            }

            int top = -1;
            for (int x = 0; x < row.Length; x++)
            {
                int g = row[x];
                squares[x] = (long)g * g;
                if (g == far)
                {
                    continue;
                }

                int start = 0;
                while (top >= 0)
                {
                    int i = centers[top];
                    // The first column to which x is at least as near as i.
                    long gap = ((long)x * x) - ((long)i * i) + squares[x] - squares[i];
                    long at = gap <= 0 ? 0 : (gap + (2L * (x - i)) - 1) / (2L * (x - i));
                    if (at > starts[top])
                    {
                        start = (int)Math.Min(at, row.Length);
                        break;
                    }

                    top--;
                }

                if (start < row.Length)
                {
                    top++;
                    centers[top] = x;
                    starts[top] = start;
                }
            }

            Fill(row, top, toRegion);
        }

        private void Fill(Span<int> row, int top, bool toRegion)
        {
            for (int x = row.Length - 1; x >= 0; x--)
            {
                long best = Unreachable;
                if (top >= 0)
                {
                    long step = x - centers[top];
                    best = (step * step) + squares[centers[top]];
                    if (x == starts[top])
                    {
                        top--;
                    }
                }

                if (!toRegion)
                {
                    long left = x + 1, right = row.Length - x;
                    best = Math.Min(best, Math.Min(left * left, right * right));
                }

                row[x] = (int)Math.Min(best, Unreachable);
            }
        }
    }
}
