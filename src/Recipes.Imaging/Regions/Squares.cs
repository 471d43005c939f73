namespace Recipes.Imaging;

/// <summary>The largest or smallest of a square around each sample of a mask; beyond the image the nearest sample counts.</summary>
internal static class Squares
{
    // Rows that one core takes at a time; with those beside them they fit into its cache.
    private const int Band = 32;

    /// <summary>Dilation by a square of 2 x <paramref name="radius"/> + 1 px.</summary>
    public static void Grow(byte[] mask, int width, int radius, byte[] result) => Run<UnionOperation>(mask, width, radius, result);

    /// <summary>Erosion by a square likewise.</summary>
    public static void Shrink(byte[] mask, int width, int radius, byte[] result) => Run<IntersectOperation>(mask, width, radius, result);

    /// <summary>Closing: gaps that such a square doesn't fit into are filled.</summary>
    public static void Close(byte[] mask, int width, int radius, byte[] between, byte[] result)
    {
        Grow(mask, width, radius, between);
        Shrink(between, width, radius, result);
    }

    /// <summary>Opening: parts that such a square doesn't fit into are taken away.</summary>
    public static void Open(byte[] mask, int width, int radius, byte[] between, byte[] result)
    {
        Shrink(mask, width, radius, between);
        Grow(between, width, radius, result);
    }

    private static void Run<T>(byte[] mask, int width, int radius, byte[] result)
        where T : ISetOperation
    {
        int height = mask.Length / width;
        Parallel.For(0, (height + Band - 1) / Band, () => new byte[(Band + (2 * radius)) * width], (band, _, across) =>
        {
            int from = band * Band, to = Math.Min(height, from + Band), first = Math.Max(0, from - radius), last = Math.Min(height, to + radius);
            if (mask.AsSpan(first * width, (last - first) * width).IndexOfAnyExcept((byte)0) < 0)
            {
                result.AsSpan(from * width, (to - from) * width).Clear();
                return across;
            }

            for (int y = first; y < last; y++)
            {
                Along<T>(mask.AsSpan(y * width, width), across.AsSpan((y - first) * width, width), radius);
            }

            for (int y = from; y < to; y++)
            {
                var made = result.AsSpan(y * width, width);
                across.AsSpan((y - first) * width, width).CopyTo(made);
                for (int v = Math.Max(0, y - radius); v <= Math.Min(height - 1, y + radius); v++)
                {
                    SetOperations.InVectors<T>(made, across.AsSpan((v - first) * width, width));
                }
            }

            return across;
        }, _ => { });
    }

    private static void Along<T>(ReadOnlySpan<byte> row, Span<byte> made, int radius)
        where T : ISetOperation
    {
        row.CopyTo(made);
        if (row.IndexOfAnyExcept((byte)0) < 0)
        {
            return;
        }

        for (int d = -radius; d <= radius; d++)
        {
            int n = row.Length - Math.Abs(d);
            if (d != 0 && n > 0)
            {
                SetOperations.InVectors<T>(made.Slice(Math.Max(0, -d), n), row.Slice(Math.Max(0, d), n));
            }
        }
    }
}
