namespace Recipes.Imaging;

/// <summary>How dark and how tinted a pixel is, for the search for drawn black.</summary>
internal enum Dark : byte
{
    /// <summary>Too light, or transparent.</summary>
    No,

    /// <summary>As dark as noise makes black, but tinted: navy and maroon, or a neighbor's color that a JPEG smeared over black.</summary>
    Tinted,

    /// <summary>Over the limits by no more than noise.</summary>
    Near,

    /// <summary>Within the limits.</summary>
    Within,
}

/// <summary>What a search for drawn black asks of each pixel of an art; rows from the top.</summary>
internal sealed class DarkPixels
{
    // How far the noise of a JPEG of quality 60 takes the inside of a drawn black over the limits, but for its tinted rims; measured on drawings of ours.
    private const double NoiseLightness = 7, NoiseChroma = 5;

    private DarkPixels(int width, int height)
    {
        (Width, Height) = (width, height);
        int count = checked(width * height);
        (Kinds, Levels, Lumas, Tints) = (new Dark[count], new byte[count], new byte[count], new byte[count]);
    }

    public int Width { get; }

    public int Height { get; }

    public Dark[] Kinds { get; }

    /// <summary>The largest channel; 255 where more of the ground shows than of the art.</summary>
    public byte[] Levels { get; }

    /// <summary>The luma of ITU-R BT.601, which a JPEG keeps sharp.</summary>
    public byte[] Lumas { get; }

    /// <summary>The largest channel less the smallest.</summary>
    public byte[] Tints { get; }

    /// <summary>Whether any pixel is within the limits; where none is, the rest is left at 0.</summary>
    public bool Any { get; private set; }

    public static DarkPixels Of(Plane<Rgba8> art, double lightness, double chroma)
    {
        var found = new DarkPixels(art.Width, art.Height);
        var judge = new Judge(lightness, chroma);
        int any = 0;
        Parallel.For(0, art.Grid.Count, tile =>
        {
            if (found.Classify(art.Tiles[tile], art.Grid.Bounds(tile), judge))
            {
                Interlocked.Exchange(ref any, 1);
            }
        });
        found.Any = any != 0;
        if (found.Any)
        {
            Parallel.For(0, art.Grid.Count, tile => found.Measure(art.Tiles[tile], art.Grid.Bounds(tile)));
        }

        return found;
    }

    private bool Classify(Tile<Rgba8> tile, Box bounds, Judge judge)
    {
        bool any = false;
        for (int y = 0; y < bounds.Height; y++)
        {
            var kinds = Kinds.AsSpan(((bounds.Y + y) * Width) + bounds.X, bounds.Width);
            if (tile.IsOneValue)
            {
                var kind = judge.Of(tile.Value);
                kinds.Fill(kind);
                any |= kind == Dark.Within;
                continue;
            }

            var pixels = tile.Samples.Slice(y * bounds.Width, bounds.Width);
            for (int x = 0; x < pixels.Length; x++)
            {
                var kind = judge.Of(pixels[x]);
                kinds[x] = kind;
                any |= kind == Dark.Within;
            }
        }

        return any;
    }

    private void Measure(Tile<Rgba8> tile, Box bounds)
    {
        Span<Rgba8> pixels = stackalloc Rgba8[bounds.Width];
        for (int y = 0; y < bounds.Height; y++)
        {
            tile.CopyRowTo(y, pixels);
            int at = ((bounds.Y + y) * Width) + bounds.X;
            foreach (var p in pixels)
            {
                byte most = Math.Max(p.R, Math.Max(p.G, p.B)), least = Math.Min(p.R, Math.Min(p.G, p.B));
                Levels[at] = p.A < 128 ? (byte)255 : most;
                Lumas[at] = (byte)(((77 * p.R) + (150 * p.G) + (29 * p.B)) >> 8);
                Tints[at++] = (byte)(most - least);
            }
        }
    }

    // Asks about each color once.
    private sealed class Judge(double lightness, double chroma)
    {
        private readonly byte[] answers = new byte[1 << 24];
        private readonly Rgba8 most = Brightest(lightness + NoiseLightness);

        public Dark Of(Rgba8 p)
        {
            if (p.A == 0 || p.G > most.G || p.R > most.R || p.B > most.B)
            {
                return Dark.No;
            }

            // Two threads may ask the same question and write the same answer, which is harmless.
            ref byte answer = ref answers[(p.R << 16) | (p.G << 8) | p.B];
            if (answer == 0)
            {
                answer = (byte)(1 + (byte)Look(p));
            }

            return (Dark)(answer - 1);
        }

        private Dark Look(Rgba8 p)
        {
            var lab = LabSpace.D50.Of(p);
            double l = Math.Round(lab.L, 6), c = Math.Round(lab.Chroma, 6);
            return l > lightness + NoiseLightness ? Dark.No
                : c > chroma + NoiseChroma ? Dark.Tinted
                : l > lightness || c > chroma ? Dark.Near : Dark.Within;
        }

        // No color that is brighter in one channel is as dark, whatever its others are.
        private static Rgba8 Brightest(double lightness)
        {
            return new Rgba8(Highest(v => new Rgba8(v, 0, 0)), Highest(v => new Rgba8(0, v, 0)), Highest(v => new Rgba8(0, 0, v)));

            byte Highest(Func<byte, Rgba8> color)
            {
                int level = 0;
                while (level < 255 && LabSpace.D50.Of(color((byte)(level + 1))).L <= lightness)
                {
                    level++;
                }

                return (byte)level;
            }
        }
    }
}
