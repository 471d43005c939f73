using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

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

    /// <summary>The luma of ITU-R BT.601, which a JPEG keeps sharp; of what is dark.</summary>
    public byte[] Lumas { get; }

    /// <summary>The largest channel less the smallest; of what is dark.</summary>
    public byte[] Tints { get; }

    /// <summary>Whether any pixel is within the limits; where none is, the rest is left at 0.</summary>
    public bool Any { get; private set; }

    /// <summary>The tiles with pixels that may be dark, and those beside them; null where there are none.</summary>
    public static TileWindow? Around(Plane<Rgba8> art, double lightness) =>
        TileWindow.Around(Find.Mask(art, Judge.MayBeDark(lightness)));

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

    /// <summary>Clears a mask, one place for each pixel from some on, where they are less than of a kind.</summary>
    // Code with vectors isn't compiled ahead, so it is optimized at its first call.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Keep(Dark least, int from, Span<byte> mask)
    {
        var kinds = MemoryMarshal.Cast<Dark, byte>(Kinds.AsSpan(from, mask.Length));
        int i = 0;
        for (; i + Vector<byte>.Count <= mask.Length; i += Vector<byte>.Count)
        {
            (new Vector<byte>(mask[i..]) & Vector.GreaterThanOrEqual(new Vector<byte>(kinds[i..]), new Vector<byte>((byte)least))).CopyTo(mask[i..]);
        }

        for (; i < mask.Length; i++)
        {
            mask[i] = kinds[i] >= (byte)least ? mask[i] : (byte)0;
        }
    }

    /// <summary>Clears a mask likewise where they are exactly black: that is bare already.</summary>
    public void DropExact(int from, Span<byte> mask)
    {
        for (int i = 0, next = 0; i < mask.Length && (next = mask[i..].IndexOfAnyExcept((byte)0)) >= 0; i++)
        {
            i += next;
            mask[i] = Levels[from + i] == 0 ? (byte)0 : mask[i];
        }
    }

    /// <summary>
    /// What is dark, no lighter than a luma, and not taken yet, as 255; where any luma will do, also what is a little lighter than dark.
    /// </summary>
    /// <param name="taken">255 for what is taken.</param>
    /// <param name="lumaMost">The largest luma; 255 for any.</param>
    /// <param name="from">The first pixel to look at.</param>
    /// <param name="mask">One place for each pixel from there on.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Loose(ReadOnlySpan<byte> taken, int lumaMost, int from, Span<byte> mask)
    {
        const byte ALittle = 100;
        byte darkest = (byte)Math.Min(255, lumaMost);
        var kinds = MemoryMarshal.Cast<Dark, byte>(Kinds.AsSpan(from, mask.Length));
        ReadOnlySpan<byte> lumas = Lumas.AsSpan(from, mask.Length), levels = Levels.AsSpan(from, mask.Length), free = taken.Slice(from, mask.Length);
        int i = 0;
        var light = lumaMost >= 255 ? Vector<byte>.AllBitsSet : Vector<byte>.Zero;
        for (; i + Vector<byte>.Count <= mask.Length; i += Vector<byte>.Count)
        {
            var isLight = Vector.Equals(new Vector<byte>(kinds[i..]), Vector<byte>.Zero);
            var found = Vector.ConditionalSelect(isLight, light & Vector.LessThanOrEqual(new Vector<byte>(levels[i..]), new Vector<byte>(ALittle)),
                Vector.LessThanOrEqual(new Vector<byte>(lumas[i..]), new Vector<byte>(darkest)));
            (found & Vector.Equals(new Vector<byte>(free[i..]), Vector<byte>.Zero)).CopyTo(mask[i..]);
        }

        for (; i < mask.Length; i++)
        {
            bool loose = free[i] == 0 && (kinds[i] != 0 ? lumas[i] <= lumaMost : lumaMost >= 255 && levels[i] <= ALittle);
            mask[i] = loose ? (byte)255 : (byte)0;
        }
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

            // Most pixels of most art are too bright in some channel, and that is asked of many at once.
            var pixels = tile.Samples.Slice(y * bounds.Width, bounds.Width);
            var mayBe = MemoryMarshal.Cast<Dark, byte>(kinds);
            judge.MayBe.Mask(pixels, mayBe);
            for (int x = 0, next; x < pixels.Length && (next = mayBe[x..].IndexOfAnyExcept((byte)0)) >= 0; x++)
            {
                x += next;
                var kind = judge.Of(pixels[x]);
                kinds[x] = kind;
                any |= kind == Dark.Within;
            }
        }

        return any;
    }

    private void Measure(Tile<Rgba8> tile, Box bounds)
    {
        if (tile.IsOneValue)
        {
            // Only of the dark is asked what its luma and tint are.
            var (level, luma, tint) = Measures(tile.Value);
            bool isDark = Kinds[(bounds.Y * Width) + bounds.X] != Dark.No;
            for (int y = bounds.Y; y < bounds.Bottom; y++)
            {
                int row = (y * Width) + bounds.X;
                Levels.AsSpan(row, bounds.Width).Fill(level);
                if (!isDark)
                {
                    continue;
                }

                Lumas.AsSpan(row, bounds.Width).Fill(luma);
                Tints.AsSpan(row, bounds.Width).Fill(tint);
            }

            return;
        }

        for (int y = 0; y < bounds.Height; y++)
        {
            int row = ((bounds.Y + y) * Width) + bounds.X;
            Measures(tile.Samples.Slice(y * bounds.Width, bounds.Width), Levels.AsSpan(row), Lumas.AsSpan(row), Tints.AsSpan(row));
        }
    }

    private static void Measures(ReadOnlySpan<Rgba8> pixels, Span<byte> levels, Span<byte> lumas, Span<byte> tints)
    {
        var words = MemoryMarshal.Cast<Rgba8, uint>(pixels);
        int i = 0;
        for (; i + 16 <= words.Length; i += 16)
        {
            var (level0, luma0, tint0) = Four(words[i..]);
            var (level1, luma1, tint1) = Four(words[(i + 4)..]);
            var (level2, luma2, tint2) = Four(words[(i + 8)..]);
            var (level3, luma3, tint3) = Four(words[(i + 12)..]);
            Vector128.Narrow(Vector128.Narrow(level0, level1), Vector128.Narrow(level2, level3)).CopyTo(levels[i..]);
            Vector128.Narrow(Vector128.Narrow(luma0, luma1), Vector128.Narrow(luma2, luma3)).CopyTo(lumas[i..]);
            Vector128.Narrow(Vector128.Narrow(tint0, tint1), Vector128.Narrow(tint2, tint3)).CopyTo(tints[i..]);
        }

        for (; i < pixels.Length; i++)
        {
            (levels[i], lumas[i], tints[i]) = Measures(pixels[i]);
        }

        // The same of four pixels, each in a lane of 32 bits. A luma's sum fits into 16.
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        static (Vector128<uint> Level, Vector128<uint> Luma, Vector128<uint> Tint) Four(ReadOnlySpan<uint> words)
        {
            Vector128<uint> pixels = Vector128.Create(words), channel = Vector128.Create(255u);
            Vector128<uint> r = pixels & channel, g = Vector128.ShiftRightLogical(pixels, 8) & channel, b = Vector128.ShiftRightLogical(pixels, 16) & channel;
            Vector128<uint> most = Vector128.Max(r, Vector128.Max(g, b)), least = Vector128.Min(r, Vector128.Min(g, b));
            var sum = (r.AsUInt16() * Vector128.Create<ushort>(77)) + (g.AsUInt16() * Vector128.Create<ushort>(150))
                + (b.AsUInt16() * Vector128.Create<ushort>(29));
            var isMostlyClear = Vector128.Equals(Vector128.ShiftRightLogical(pixels, 31), Vector128<uint>.Zero);
            return (most | (isMostlyClear & channel), Vector128.ShiftRightLogical(sum.AsUInt32(), 8), most - least);
        }
    }

    private static (byte Level, byte Luma, byte Tint) Measures(Rgba8 p)
    {
        byte most = Math.Max(p.R, Math.Max(p.G, p.B)), least = Math.Min(p.R, Math.Min(p.G, p.B));
        return (p.A < 128 ? (byte)255 : most, (byte)(((77 * p.R) + (150 * p.G) + (29 * p.B)) >> 8), (byte)(most - least));
    }

    // Asks about each color once.
    private sealed class Judge(double lightness, double chroma)
    {
        private readonly byte[] answers = new byte[1 << 24];
        /// <summary>Holds for all that may be dark: not clear, and too bright in no channel.</summary>
        public LevelTest MayBe { get; } = MayBeDark(lightness);

        public Dark Of(Rgba8 p)
        {
            if (!MayBe.Holds(p))
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
            return l switch
            {
                _ when l > lightness + NoiseLightness => Dark.No,
                _ when c > chroma + NoiseChroma => Dark.Tinted,
                _ when l > lightness || c > chroma => Dark.Near,
                _ => Dark.Within,
            };
        }

        public static LevelTest MayBeDark(double lightness) => new(new Rgba8(0, 0, 0, 1), Brightest(lightness));

        /// <summary>The brightest that each channel of a dark color can be: none that is brighter in one is as dark, whatever its others are.</summary>
        private static Rgba8 Brightest(double lightness)
        {
            return new Rgba8(Highest(v => new Rgba8(v, 0, 0)), Highest(v => new Rgba8(0, v, 0)), Highest(v => new Rgba8(0, 0, v)));

            byte Highest(Func<byte, Rgba8> color)
            {
                int level = 0;
                while (level < 255 && LabSpace.D50.Of(color((byte)(level + 1))).L <= lightness + NoiseLightness)
                {
                    level++;
                }

                return (byte)level;
            }
        }
    }
}
