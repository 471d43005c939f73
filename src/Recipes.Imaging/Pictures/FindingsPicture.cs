namespace Recipes.Imaging.Pictures;

/// <summary>
/// Where something was found: the art muted to gray, and on it the pixels concerned in vermilion with stripes (Okabe and Ito, from memory), with a dark
/// outline of two px, so that a single one is seen.
/// </summary>
public static class FindingsPicture
{
    private const int Outline = 2;
    private static readonly Rgba8 Ink = new(16, 16, 16), Mark = new(0xD5, 0x5E, 0x00), Stripe = new(0xFF, 0xC4, 0x94);

    /// <summary>Draws the picture, opaque; one pixel of it stands for so many px squared, and is marked where any of them is.</summary>
    /// <param name="flat">The flattened art.</param>
    /// <param name="found">The regions that were found.</param>
    /// <param name="shrink">How many px of the art, squared, one pixel stands for.</param>
    public static Plane<Rgba8> Render(Plane<Rgba8> flat, IReadOnlyCollection<Region> found, int shrink = 1)
    {
        ArgumentNullException.ThrowIfNull(flat);
        ArgumentNullException.ThrowIfNull(found);
        ArgumentOutOfRangeException.ThrowIfLessThan(shrink, 1);
        int width = (flat.Width + shrink - 1) / shrink, height = (flat.Height + shrink - 1) / shrink;
        var marked = Marked(flat, found, shrink, width, height);
        return Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            var row = new Rgba8[Math.Min(bounds.Width * shrink, flat.Width - (bounds.X * shrink))];
            var sums = new BlockSum[bounds.Width];
            for (int y = 0; y < bounds.Height; y++)
            {
                int top = (bounds.Y + y) * shrink;
                Array.Clear(sums);
                for (int r = top; r < Math.Min(top + shrink, flat.Height); r++)
                {
                    Crop.CopyRow(flat, bounds.X * shrink, r, row);
                    for (int x = 0; x < row.Length; x++)
                    {
                        sums[x / shrink].Add(BlockSum.Lanes(DiffPicture.Muted(row[x])), 1);
                    }
                }

                for (int x = 0; x < bounds.Width; x++)
                {
                    int u = bounds.X + x, v = bounds.Y + y;
                    samples[(y * bounds.Width) + x] = marked[((long)v * width) + u] ? ((u + v) & 7) < 3 ? Stripe : Mark
                        : IsBeside(marked, width, height, u, v) ? Ink : sums[x].Mean;
                }
            }
        });
    }

    /// <summary>A sample of the mark for a legend.</summary>
    public static Plane<Rgba8> Sample(int width, int height) => Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
    {
        for (int i = 0; i < samples.Length; i++)
        {
            samples[i] = (((bounds.X + (i % bounds.Width)) + bounds.Y + (i / bounds.Width)) & 7) < 3 ? Stripe : Mark;
        }
    });

    private static bool[] Marked(Plane<Rgba8> flat, IReadOnlyCollection<Region> found, int shrink, int width, int height)
    {
        var marked = new bool[(long)width * height];
        var row = new byte[flat.Width];
        foreach (var region in found)
        {
            for (int y = region.Bounds?.Y ?? 0; y < (region.Bounds?.Bottom ?? 0); y++)
            {
                region.Coverage.CopyRowTo(y, row);
                for (int x = 0; x < row.Length; x++)
                {
                    marked[((long)(y / shrink) * width) + (x / shrink)] |= row[x] > 0;
                }
            }
        }

        return marked;
    }

    private static bool IsBeside(bool[] marked, int width, int height, int x, int y)
    {
        for (int v = Math.Max(0, y - Outline); v <= Math.Min(height - 1, y + Outline); v++)
        {
            for (int u = Math.Max(0, x - Outline); u <= Math.Min(width - 1, x + Outline); u++)
            {
                if (marked[((long)v * width) + u])
                {
                    return true;
                }
            }
        }

        return false;
    }
}
