using System.Runtime.CompilerServices;

namespace Recipes.Imaging.Pictures;

/// <summary>
/// The art on its garment: bare pixels show the cloth's color with a weave hatch, partly transparent ones are mixed
/// over it. A simulation on a screen, not a proof.
/// </summary>
public static class GarmentPicture
{
    // Px after which the weave repeats.
    private const int Weave = 8;

    /// <summary>Draws the picture, opaque.</summary>
    /// <param name="flat">The flattened art.</param>
    /// <param name="setup">Garment color and what stays bare.</param>
    /// <param name="shrink">One pixel of the picture is the mean of so many px squared, default 1; it is hatched where most of them are bare.</param>
    /// <param name="known">Another state of the same size with its picture under the same setup and shrink: what they share isn't drawn again.</param>
    public static Plane<Rgba8> Render(Plane<Rgba8> flat, GarmentSetup setup, int shrink = 1, (Plane<Rgba8> Flat, Plane<Rgba8> Picture)? known = null)
    {
        ArgumentNullException.ThrowIfNull(flat);
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentOutOfRangeException.ThrowIfLessThan(shrink, 1);
        var cloth = setup.Garment.WithAlpha(255);
        var thread = Thread(cloth);
        int width = (flat.Width + shrink - 1) / shrink, height = (flat.Height + shrink - 1) / shrink;
        return Plane<Rgba8>.Build(width, height, known?.Picture, (bounds, samples) =>
        {
            if (known is { } other && SameTiles(flat, other.Flat, bounds, shrink))
            {
                other.Picture.Tiles[other.Picture.Grid.IndexAt(bounds.X, bounds.Y)].CopyTo(samples);
                return;
            }

            if (shrink == 1)
            {
                Draw(flat.Tiles[flat.Grid.IndexAt(bounds.X, bounds.Y)], bounds, samples, cloth, setup.Ink);
                return;
            }

            var block = new Rgba8[Math.Min(bounds.Width * shrink, flat.Width - (bounds.X * shrink))];
            var sums = new BlockSum[bounds.Width];
            for (int y = 0; y < bounds.Height; y++)
            {
                int top = (bounds.Y + y) * shrink, rows = Math.Min(shrink, flat.Height - top);
                Array.Clear(sums);
                for (int row = top; row < top + rows; row++)
                {
                    Crop.CopyRow(flat, bounds.X * shrink, row, block);
                    Add(block, sums, shrink, cloth, setup.Ink);
                }

                for (int x = 0; x < bounds.Width; x++)
                {
                    bool bare = sums[x].Marked * 2 > sums[x].Pixels;
                    samples[(y * bounds.Width) + x] = bare && IsThread(bounds.X + x, bounds.Y + y) ? thread : sums[x].Mean;
                }
            }
        });
    }

    /// <summary>A picture with bare cloth around it.</summary>
    /// <param name="picture">What <see cref="Render"/> drew.</param>
    /// <param name="setup">Garment color.</param>
    /// <param name="margin">Px on each side; rounded up so that the weave goes on without a seam.</param>
    public static Plane<Rgba8> OnCloth(Plane<Rgba8> picture, GarmentSetup setup, int margin)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentOutOfRangeException.ThrowIfNegative(margin);
        var cloth = setup.Garment.WithAlpha(255);
        var thread = Thread(cloth);
        int around = (margin + Weave - 1) / Weave * Weave;
        var inside = new Box(around, around, picture.Width, picture.Height);
        return Plane<Rgba8>.Build(picture.Width + (2 * around), picture.Height + (2 * around), null, (bounds, samples) =>
        {
            for (int i = 0; i < samples.Length; i++)
            {
                int x = bounds.X + (i % bounds.Width), y = bounds.Y + (i / bounds.Width);
                samples[i] = inside.Contains(x, y) ? picture[x - around, y - around] : IsThread(x, y) ? thread : cloth;
            }
        });
    }

    private static bool SameTiles(Plane<Rgba8> flat, Plane<Rgba8> other, Box bounds, int shrink)
    {
        int right = Math.Min(flat.Width, bounds.Right * shrink), bottom = Math.Min(flat.Height, bounds.Bottom * shrink);
        for (int y = bounds.Y * shrink / TileGrid.Side; y * TileGrid.Side < bottom; y++)
        {
            for (int x = bounds.X * shrink / TileGrid.Side; x * TileGrid.Side < right; x++)
            {
                int tile = (y * flat.Grid.Columns) + x;
                if (!ReferenceEquals(flat.Tiles[tile], other.Tiles[tile]))
                {
                    return false;
                }
            }
        }

        return true;
    }

    private static void Draw(Tile<Rgba8> tile, Box bounds, Span<Rgba8> samples, Rgba8 cloth, InkRules rules)
    {
        var thread = Thread(cloth);
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

    // Compiled at the start, since code that is compiled ahead can't inline what the framework does with our pixels.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Add(ReadOnlySpan<Rgba8> row, Span<BlockSum> sums, int shrink, Rgba8 cloth, InkRules rules)
    {
        // In most art a pixel is like the one before it.
        Rgba8 last = row[0];
        ulong lanes = LanesOf(last);
        for (int at = 0, x = 0; x < row.Length; at++)
        {
            int start = x, end = Math.Min(x + shrink, row.Length);
            ulong sum = 0;
            for (; x < end; x++)
            {
                if (row[x] != last)
                {
                    last = row[x];
                    lanes = LanesOf(last);
                }

                sum += lanes;
            }

            sums[at].Add(sum, end - start);
        }

        ulong LanesOf(Rgba8 pixel) => rules.StateOf(pixel) != InkState.Prints ? BlockSum.Lanes(cloth, marked: true) : BlockSum.Lanes(Over(pixel, cloth));
    }

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
