namespace Recipes.Imaging.Pictures;

/// <summary>
/// The art on its garment: bare pixels show the cloth's color with a weave hatch, partly transparent ones are mixed
/// over it. A simulation on a screen, not a proof.
/// </summary>
public static class GarmentPicture
{
    /// <summary>Draws the picture, opaque.</summary>
    /// <param name="flat">The flattened art.</param>
    /// <param name="setup">Garment color and what stays bare.</param>
    /// <param name="shrink">One pixel of the picture is the mean of so many px squared, default 1; it is hatched where most of them are bare.</param>
    public static Plane<Rgba8> Render(Plane<Rgba8> flat, GarmentSetup setup, int shrink = 1)
    {
        ArgumentNullException.ThrowIfNull(flat);
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentOutOfRangeException.ThrowIfLessThan(shrink, 1);
        var cloth = setup.Garment.WithAlpha(255);
        var thread = Thread(cloth);
        int width = (flat.Width + shrink - 1) / shrink, height = (flat.Height + shrink - 1) / shrink;
        return Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            if (shrink == 1)
            {
                Draw(flat.Tiles[flat.Grid.IndexAt(bounds.X, bounds.Y)], bounds, samples, cloth, thread, setup.Ink);
                return;
            }

            var block = new Rgba8[bounds.Width * shrink];
            var sums = new int[bounds.Width * 4];
            for (int y = 0; y < bounds.Height; y++)
            {
                int top = (bounds.Y + y) * shrink, rows = Math.Min(shrink, flat.Height - top), left = bounds.X * shrink;
                int across = Math.Min(block.Length, flat.Width - left);
                Array.Clear(sums);
                for (int row = top; row < top + rows; row++)
                {
                    Crop.CopyRow(flat, left, row, block.AsSpan(0, across));
                    Add(block.AsSpan(0, across), sums, shrink, cloth, setup.Ink);
                }

                for (int x = 0; x < bounds.Width; x++)
                {
                    int n = rows * Math.Min(shrink, across - (x * shrink));
                    bool bare = sums[(x * 4) + 3] * 2 > n;
                    samples[(y * bounds.Width) + x] = bare && IsThread(bounds.X + x, bounds.Y + y) ? thread : Mean(sums.AsSpan(x * 4, 3), n);
                }
            }
        });
    }

    private static void Draw(Tile<Rgba8> tile, Box bounds, Span<Rgba8> samples, Rgba8 cloth, Rgba8 thread, InkRules rules)
    {
        Rgba8 last = tile.Value;
        bool bare = rules.StateOf(last) != InkState.Prints;
        Rgba8 shown = Over(last, cloth);
        if (tile.IsOneValue && !bare)
        {
            samples.Fill(shown);
            return;
        }

        for (int y = 0, i = 0; y < bounds.Height; y++)
        {
            for (int x = 0; x < bounds.Width; x++, i++)
            {
                var pixel = tile.IsOneValue ? last : tile.Samples[i];
                if (pixel != last)
                {
                    last = pixel;
                    bare = rules.StateOf(pixel) != InkState.Prints;
                    shown = Over(pixel, cloth);
                }

                samples[i] = !bare ? shown : IsThread(bounds.X + x, bounds.Y + y) ? thread : cloth;
            }
        }
    }

    private static void Add(ReadOnlySpan<Rgba8> row, Span<int> sums, int shrink, Rgba8 cloth, InkRules rules)
    {
        Rgba8 last = row[0], shown = default;
        bool bare = false, known = false;
        for (int x = 0, at = 0, left = shrink; x < row.Length; x++)
        {
            if (!known || row[x] != last)
            {
                last = row[x];
                known = true;
                bare = rules.StateOf(last) != InkState.Prints;
                shown = bare ? cloth : Over(last, cloth);
            }

            sums[at] += shown.R;
            sums[at + 1] += shown.G;
            sums[at + 2] += shown.B;
            sums[at + 3] += bare ? 1 : 0;
            if (--left == 0)
            {
                left = shrink;
                at += 4;
            }
        }
    }

    private static Rgba8 Mean(ReadOnlySpan<int> sums, int n) =>
        new((byte)((sums[0] + (n / 2)) / n), (byte)((sums[1] + (n / 2)) / n), (byte)((sums[2] + (n / 2)) / n));

    private static Rgba8 Over(Rgba8 pixel, Rgba8 cloth)
    {
        return pixel.A == 255 ? pixel : new Rgba8(Mix(pixel.R, cloth.R), Mix(pixel.G, cloth.G), Mix(pixel.B, cloth.B));

        byte Mix(byte over, byte under) => (byte)(((over * pixel.A) + (under * (255 - pixel.A)) + 127) / 255);
    }

    // Short threads, across and along by turns in blocks of 4 px, that don't touch: together they look woven, not drawn.
    internal static bool IsThread(int x, int y) =>
        ((x ^ y) & 4) == 0 ? (y & 3) == 1 && (x & 3) != 3 : (x & 3) == 1 && (y & 3) != 3;

    // Cloth that is light gets darker threads and dark cloth lighter ones; enough to see, too little to look like art.
    internal static Rgba8 Thread(Rgba8 cloth)
    {
        int luma = ((54 * cloth.R) + (183 * cloth.G) + (19 * cloth.B)) >> 8;
        int step = luma > 96 ? -36 : 36;
        return new Rgba8(Shift(cloth.R), Shift(cloth.G), Shift(cloth.B));

        byte Shift(byte level) => (byte)Math.Clamp(level + step, 0, 255);
    }
}
