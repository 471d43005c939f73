using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>How much of what prints one of an art's main colors covers.</summary>
/// <param name="Color">The color, opaque.</param>
/// <param name="Pixels">Its area in px squared; what is partly transparent counts by its alpha.</param>
/// <param name="Share">Its part of all that prints, 0 to 1.</param>
public sealed record ColorArea(Rgba8 Color, double Pixels, double Share);

/// <summary>
/// The areas of an art's <see cref="MainColors"/>. A pixel on an edge is a mix of what meets there, so it counts for the two colors within
/// <see cref="Reach"/> px that mix it best, bare white and black among them: areas are those of the drawing, and not what its edges leave of them.
/// </summary>
public sealed class ColorAreas
{
    /// <summary>How far the colors lie that an edge may mix, px: soft edges are 2 to 3 px wide; common practice, no source.</summary>
    public const int Reach = 2;

    // As MainColors tells an edge.
    private const int GoesOn = 8;

    // The main colors are 1 to 64; beside them what lays no ink, and what is another color. On an edge, 128 more.
    private const byte Clear = 0, White = 65, Black = 66, Other = 67, Edge = 128;
    private const int Known = 64, Kinds = 68;

    // A mix that lies further from a pixel than this, levels squared, isn't what the pixel shows.
    private const double Fits = 32 * 32;

    // An area is counted in parts of a px: by alpha, and by the share of a mix.
    private const int Parts = 255 * 256;

    private readonly Plane<Rgba8> flat;
    private readonly InkRules rules;
    private readonly MainColors main;
    private readonly byte[] kinds;

    private ColorAreas(Plane<Rgba8> flat, InkRules rules, int most)
    {
        (this.flat, this.rules) = (flat, rules);
        // Colors beyond the list are known as well, so that an edge of theirs isn't given to one on it.
        main = MainColors.Of(flat, rules, Known);
        kinds = new byte[(long)flat.Width * flat.Height];
        Parallel.For(0, flat.Height, Tell);
        var sums = new long[Kinds];
        // Sums of whole numbers: the order of the threads doesn't matter.
        Parallel.For(0, flat.Height, () => new long[Kinds], Add, own =>
        {
            lock (sums)
            {
                for (int kind = 0; kind < own.Length; kind++)
                {
                    sums[kind] += own[kind];
                }
            }
        });
        sums[Clear] = sums[White] = sums[Black] = 0;
        long all = sums.Sum();
        Printed = (double)all / Parts;
        var listed = main.Colors.Select((color, i) => (color.Color, Sum: sums[i + 1])).Where(color => color.Sum > 0)
            .OrderByDescending(color => color.Sum).Take(most).ToList();
        Colors = [.. listed.Select(color => new ColorArea(color.Color, (double)color.Sum / Parts, Math.Round((double)color.Sum / all, 6)))];
        Others = (double)(all - listed.Sum(color => color.Sum)) / Parts;
    }

    /// <summary>The main colors, the largest area first.</summary>
    public ImmutableArray<ColorArea> Colors { get; }

    /// <summary>The area of all other colors that print, px squared.</summary>
    public double Others { get; }

    /// <summary>The area of all that prints, px squared; of an edge on bare paper, the ink's part.</summary>
    public double Printed { get; }

    /// <summary>Measures the main colors of what prints.</summary>
    /// <param name="flat">The flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="most">The longest list, 1 to 64.</param>
    public static ColorAreas Of(Plane<Rgba8> flat, InkRules rules, int most = 8)
    {
        ArgumentNullException.ThrowIfNull(flat);
        ArgumentNullException.ThrowIfNull(rules);
        ArgumentOutOfRangeException.ThrowIfLessThan(most, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(most, Known);
        return new ColorAreas(flat, rules, most);
    }

    // What each pixel of a row is, as far as it shows by itself.
    private void Tell(int y)
    {
        Rgba8[] row = new Rgba8[flat.Width], above = new Rgba8[flat.Width];
        flat.CopyRowTo(y, row);
        flat.CopyRowTo(Math.Max(0, y - 1), above);
        for (int x = 0; x < row.Length; x++)
        {
            var pixel = row[x];
            bool goesOn = (x == 0 || pixel.LargestDifference(row[x - 1]) <= GoesOn) && pixel.LargestDifference(above[x]) <= GoesOn;
            kinds[((long)y * row.Length) + x] = rules.StateOf(pixel) switch
            {
                InkState.Transparent => Clear,
                InkState.BareWhite => White,
                InkState.BareBlack => Black,
                _ => (byte)((main.IndexOf(pixel) is var index and >= 0 ? index + 1 : Other) + (goesOn ? 0 : Edge)),
            };
        }
    }

    private long[] Add(int y, ParallelLoopState state, long[] sums)
    {
        var row = new Rgba8[flat.Width];
        flat.CopyRowTo(y, row);
        for (int x = 0; x < row.Length; x++)
        {
            byte kind = kinds[((long)y * row.Length) + x];
            var (first, second, share) = kind < Edge ? (kind, Clear, 256) : Mixed(x, y, row[x]);
            sums[first] += row[x].A * share;
            sums[second] += row[x].A * (256 - share);
        }

        return sums;
    }

    // Colors that no px around shows evenly, as those of thin lines, are looked for only where the even ones don't mix the pixel.
    private (byte First, byte Second, int Share) Mixed(int x, int y, Rgba8 pixel)
    {
        Span<bool> even = stackalloc bool[Kinds], any = stackalloc bool[Kinds];
        for (int v = Math.Max(0, y - Reach); v <= Math.Min(flat.Height - 1, y + Reach); v++)
        {
            for (int u = Math.Max(0, x - Reach); u <= Math.Min(flat.Width - 1, x + Reach); u++)
            {
                byte kind = kinds[((long)v * flat.Width) + u];
                even[kind % Edge] |= kind < Edge;
                any[kind % Edge] = true;
            }
        }

        // What no two mix is what it is by itself.
        return Best(even, pixel) ?? Best(any, pixel) ?? ((byte)(kinds[((long)y * flat.Width) + x] % Edge), Clear, 256);
    }

    // The two of these colors, or one, on whose line the pixel lies nearest, and how much of it is the first.
    private (byte First, byte Second, int Share)? Best(ReadOnlySpan<bool> colors, Rgba8 pixel)
    {
        (byte First, byte Second, int Share)? best = null;
        double least = Fits;
        for (byte first = 1; first < Other; first++)
        {
            for (byte second = first; colors[first] && second < Other; second++)
            {
                if (colors[second] && Part(pixel, ColorOf(first), ColorOf(second)) is var (share, off) && (off < least || (best is null && off <= least)))
                {
                    (best, least) = ((first, second, share), off);
                }
            }
        }

        return best;
    }

    // How much of a pixel is the first color, in 256ths, and how far it is from that mix, levels squared.
    private static (int Share, double Off) Part(Rgba8 pixel, Rgba8 first, Rgba8 second)
    {
        int r = first.R - second.R, g = first.G - second.G, b = first.B - second.B, length = (r * r) + (g * g) + (b * b);
        int along = ((pixel.R - second.R) * r) + ((pixel.G - second.G) * g) + ((pixel.B - second.B) * b);
        int share = length == 0 ? 256 : Math.Clamp(((along * 256) + (length / 2)) / length, 0, 256);
        return (share, Squared(second.R + (r * share / 256.0) - pixel.R) + Squared(second.G + (g * share / 256.0) - pixel.G)
            + Squared(second.B + (b * share / 256.0) - pixel.B));
    }

    private static double Squared(double value) => value * value;

    private Rgba8 ColorOf(byte kind) => kind switch { White => Rgba8.White, Black => Rgba8.Black, _ => main.Colors[kind - 1].Color };
}
