using System.Runtime.CompilerServices;

namespace Recipes.Imaging.Pictures;

/// <summary>Shrinks pictures by a whole number to at most <see cref="LongestSide"/> px, so that a page can show all of them.</summary>
public static class Overview
{
    /// <summary>The longest side of an overview, px.</summary>
    public const int LongestSide = 1600;

    // A change that would be smaller than this in the overview is drawn this large.
    private const int Smallest = 5;
    // Where there are more small changes than this they are seen anyway, and enlarging them would exaggerate.
    private const int MostEnlarged = 2000;

    /// <summary>How many px of the art, squared, one pixel of its overview stands for; 1 where the art is small enough.</summary>
    public static int ShrinkOf(TileGrid art) => (Math.Max(art.Width, art.Height) + LongestSide - 1) / LongestSide;

    /// <summary>
    /// The overview of a difference picture, without its legend. Where any pixel of a block is marked, the mean of the
    /// marked ones is shown, never mixed with gray; a change smaller than 5 px is drawn 5 px wide with a dark outline.
    /// </summary>
    /// <param name="diff">What <see cref="DiffPicture.Render"/> drew.</param>
    /// <param name="before">The flattened art before.</param>
    /// <param name="after">The flattened art after.</param>
    /// <param name="shrink">How many px of the art, squared, one pixel stands for; null for <see cref="ShrinkOf"/>.</param>
    public static Plane<Rgba8> OfDiff(Plane<Rgba8> diff, Plane<Rgba8> before, Plane<Rgba8> after, int? shrink = null)
    {
        ArgumentNullException.ThrowIfNull(diff);
        ArgumentNullException.ThrowIfNull(before);
        int n = shrink ?? ShrinkOf(before.Grid), width = (before.Width + n - 1) / n, height = (before.Height + n - 1) / n;
        var map = ChangeMap.Between(before, after);
        var small = n == 1 ? [] : map.Spots().FindAll(spot => spot.Width < Smallest * n && spot.Height < Smallest * n);
        if (small.Count > MostEnlarged)
        {
            small.Clear();
        }

        return Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            var canvas = new Canvas(bounds, samples);
            int left = bounds.X * n;
            var row = new Rgba8[Math.Min(bounds.Width * n, before.Width - left)];
            var all = new BlockSum[bounds.Width];
            var marked = new BlockSum[bounds.Width];
            for (int y = bounds.Y; y < bounds.Bottom; y++)
            {
                Array.Clear(all);
                Array.Clear(marked);
                for (int r = y * n; r < Math.Min((y + 1) * n, before.Height); r++)
                {
                    Crop.CopyRow(diff, left, r, row);
                    Add(row, all, n);
                    for (int x = map.AnyIn(left, r, row.Length) ? 0 : row.Length; x < row.Length; x++)
                    {
                        if (map.IsChanged(left + x, r))
                        {
                            marked[x / n].Add(BlockSum.Lanes(row[x]), 1);
                        }
                    }
                }

                for (int x = 0; x < bounds.Width; x++)
                {
                    canvas[bounds.X + x, y] = marked[x].Pixels > 0 ? marked[x].Mean : all[x].Mean;
                }
            }

            foreach (var spot in small)
            {
                int x = (spot.X + (spot.Width / 2)) / n, y = (spot.Y + (spot.Height / 2)) / n;
                var mark = new Box(x - (Smallest / 2), y - (Smallest / 2), Smallest, Smallest);
                if (!mark.Grow(1).Within(bounds).IsEmpty)
                {
                    canvas.Frame(mark.Grow(1), 1, Rgba8.Black);
                    canvas.Fill(mark, Mark(diff, map, spot));
                }
            }
        });
    }

    /// <summary>A picture with its transparency, shrunk: each pixel is the mean of a block, in which a color counts as much as it is opaque.</summary>
    /// <param name="art">The picture.</param>
    /// <param name="shrink">How many px, squared, one pixel stands for.</param>
    public static Plane<Rgba8> OfArt(Plane<Rgba8> art, int shrink)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentOutOfRangeException.ThrowIfLessThan(shrink, 1);
        int width = (art.Width + shrink - 1) / shrink, height = (art.Height + shrink - 1) / shrink;
        return Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            int left = bounds.X * shrink;
            var row = new Rgba8[Math.Min(bounds.Width * shrink, art.Width - left)];
            var sums = new ShareSum[bounds.Width];
            for (int y = 0; y < bounds.Height; y++)
            {
                int top = (bounds.Y + y) * shrink;
                Array.Clear(sums);
                for (int r = top; r < Math.Min(top + shrink, art.Height); r++)
                {
                    Crop.CopyRow(art, left, r, row);
                    for (int x = 0; x < row.Length; x++)
                    {
                        sums[x / shrink].Add(row[x]);
                    }
                }

                for (int x = 0; x < bounds.Width; x++)
                {
                    samples[(y * bounds.Width) + x] = sums[x].Mean;
                }
            }
        });
    }

    // At most 128 squared pixels of 255 times 255 each.
    private struct ShareSum
    {
        private int r, g, b, a, pixels;

        public readonly Rgba8 Mean => a == 0 ? default : new(Share(r), Share(g), Share(b), (byte)((a + (pixels / 2)) / pixels));

        public void Add(Rgba8 pixel)
        {
            r += pixel.R * pixel.A;
            g += pixel.G * pixel.A;
            b += pixel.B * pixel.A;
            a += pixel.A;
            pixels++;
        }

        private readonly byte Share(int sum) => (byte)((sum + (a / 2)) / a);
    }

    // Compiled at the start, since code that is compiled ahead can't inline what the framework does with our pixels.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Add(Rgba8[] row, BlockSum[] sums, int shrink)
    {
        for (int at = 0, x = 0; x < row.Length; at++)
        {
            int start = x, end = Math.Min(x + shrink, row.Length);
            ulong sum = 0;
            for (; x < end; x++)
            {
                sum += BlockSum.Lanes(row[x]);
            }

            sums[at].Add(sum, end - start);
        }
    }

    private static Rgba8 Mark(Plane<Rgba8> diff, ChangeMap map, Box spot)
    {
        BlockSum sum = default;
        for (int y = spot.Y; y < spot.Bottom; y++)
        {
            for (int x = spot.X; x < spot.Right; x++)
            {
                if (map.IsChanged(x, y))
                {
                    sum.Add(BlockSum.Lanes(diff[x, y]), 1);
                }
            }
        }

        return sum.Mean;
    }
}
