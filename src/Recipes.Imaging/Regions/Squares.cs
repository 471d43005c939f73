namespace Recipes.Imaging;

/// <summary>The largest or smallest of a square around each sample of a mask; beyond the image the nearest sample counts.</summary>
internal static class Squares
{
    /// <summary>Dilation by a square of 2 x <paramref name="radius"/> + 1 px.</summary>
    public static byte[] Grow(byte[] mask, int width, int radius) => Run<UnionOperation>(mask, width, radius);

    /// <summary>Erosion by a square likewise.</summary>
    public static byte[] Shrink(byte[] mask, int width, int radius) => Run<IntersectOperation>(mask, width, radius);

    /// <summary>Closing: gaps that such a square doesn't fit into are filled.</summary>
    public static byte[] Close(byte[] mask, int width, int radius) => Shrink(Grow(mask, width, radius), width, radius);

    /// <summary>Opening: parts that such a square doesn't fit into are taken away.</summary>
    public static byte[] Open(byte[] mask, int width, int radius) => Grow(Shrink(mask, width, radius), width, radius);

    private static byte[] Run<T>(byte[] mask, int width, int radius)
        where T : ISetOperation
    {
        int height = mask.Length / width;
        byte[] across = new byte[mask.Length], target = new byte[mask.Length];
        var empty = new bool[height];
        Parallel.For(0, height, y =>
        {
            var row = mask.AsSpan(y * width, width);
            empty[y] = row.IndexOfAnyExcept((byte)0) < 0;
            if (empty[y])
            {
                return;
            }

            var to = across.AsSpan(y * width, width);
            row.CopyTo(to);
            for (int d = -radius; d <= radius; d++)
            {
                int n = width - Math.Abs(d);
                if (d != 0 && n > 0)
                {
                    SetOperations.InVectors<T>(to.Slice(Math.Max(0, -d), n), row.Slice(Math.Max(0, d), n));
                }
            }
        });
        Parallel.For(0, height, y =>
        {
            int top = Math.Max(0, y - radius), bottom = Math.Min(height - 1, y + radius);
            if (empty.AsSpan(top, bottom - top + 1).IndexOf(false) < 0)
            {
                return;
            }

            var to = target.AsSpan(y * width, width);
            across.AsSpan(y * width, width).CopyTo(to);
            for (int v = top; v <= bottom; v++)
            {
                SetOperations.InVectors<T>(to, across.AsSpan(v * width, width));
            }
        });
        return target;
    }
}
