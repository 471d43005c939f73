namespace Recipes.Imaging;

/// <summary>The pixels that lie along a region, outside of it.</summary>
internal static class Contour
{
    /// <summary>
    /// Every pixel not in the region that has one of it among its eight neighbors, as y x width + x, in reading order. What lies
    /// beyond the image is not in the region.
    /// </summary>
    public static int[] Of(Plane<byte> region)
    {
        int width = region.Width, height = region.Height;
        var found = new List<int>[height];
        Parallel.For(0, height, () => (new byte[width], new byte[width], new byte[width]), (y, _, rows) =>
        {
            var (above, here, below) = rows;
            region.CopyRowTo(y, here);
            if (y > 0)
            {
                region.CopyRowTo(y - 1, above);
            }

            if (y + 1 < height)
            {
                region.CopyRowTo(y + 1, below);
            }

            found[y] = [];
            for (int start = 0; start < width;)
            {
                int gap = here.AsSpan(start).IndexOf((byte)0);
                if (gap < 0)
                {
                    break;
                }

                start += gap;
                int length = here.AsSpan(start).IndexOfAnyExcept((byte)0), end = length < 0 ? width : start + length;
                AddRun(found[y], new(y * width, width, y > 0 ? above : [], y + 1 < height ? below : []), start, end);
                start = end;
            }

            return rows;
        }, _ => { });
        return [.. found.SelectMany(row => row)];
    }

    private static void AddRun(List<int> found, Row row, int start, int end)
    {
        ReadOnlySpan<byte> above = row.Above, below = row.Below;
        for (int x = start; x < end;)
        {
            if ((x == start && start > 0) || (x == end - 1 && end < row.Width) || Beside(above, x) || Beside(below, x))
            {
                found.Add(row.First + x++);
                continue;
            }

            // On to the next pixel beside which the region can lie.
            int next = Math.Min(Next(above, x + 1, end), Next(below, x + 1, end));
            x = Math.Max(x + 1, Math.Min(next, end - 1));
        }
    }

    // Where a row begins, and the ones above and below it; those are empty beyond the picture.
    private readonly ref struct Row(int first, int width, ReadOnlySpan<byte> above, ReadOnlySpan<byte> below)
    {
        public readonly int First = first, Width = width;
        public readonly ReadOnlySpan<byte> Above = above, Below = below;
    }

    private static bool Beside(ReadOnlySpan<byte> row, int x) =>
        !row.IsEmpty && row[Math.Max(0, x - 1)..Math.Min(row.Length, x + 2)].IndexOfAnyExcept((byte)0) >= 0;

    private static int Next(ReadOnlySpan<byte> row, int from, int end)
    {
        if (row.IsEmpty || from >= row.Length)
        {
            return end;
        }

        int at = row[from..Math.Min(row.Length, end + 1)].IndexOfAnyExcept((byte)0);
        return at < 0 ? end : from + at - 1;
    }
}
