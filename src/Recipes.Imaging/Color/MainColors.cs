using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>One of an art's main colors.</summary>
/// <param name="Color">The most frequent exact color of those that look alike, opaque.</param>
/// <param name="Pixels">How many of the counted pixels show it or a color like it.</param>
/// <param name="Share">Their share of all that were counted, 0 to 1.</param>
public sealed record MainColor(Rgba8 Color, long Pixels, double Share);

/// <summary>
/// The colors that an art is mainly printed in, and to which of them a pixel belongs: those to look at on a test print, and to
/// compare a repeat by. Alpha doesn't count.
/// </summary>
/// <remarks>
/// Counted are pixels that print, at least half opaque, and not on an edge; where 99% are on edges, as in a fine pattern, all
/// count. Colors of less than 0.2% are left out, and of art with over 64 colors that don't look alike the rarest.
/// </remarks>
public sealed class MainColors
{
    /// <summary>Colors within this CIEDE2000 (D50) count as one; 5 is the wide tolerance of common practice, no source.</summary>
    public const double Alike = 5;

    // Edges mix two colors and run out within a px or two, so a px counts where it goes on as its left and upper neighbors do.
    private const int GoesOn = 8;
    private const int HalfOpaque = 128;
    private const double SmallestShare = 0.002, FewestFlat = 0.01;
    // Colors are first gathered in cells of 8 levels a channel, then the fullest cells become seeds.
    private const int CellBits = 5, MostSeeds = 64;

    // 0 for none, else one more than the index of the color that a cell belongs to.
    private readonly byte[] kinds;

    private MainColors(ImmutableArray<MainColor> colors, byte[] kinds, long printed)
    {
        Colors = colors;
        this.kinds = kinds;
        Printed = printed;
    }

    /// <summary>The main colors, most pixels first; of equal ones the lower color first.</summary>
    public ImmutableArray<MainColor> Colors { get; }

    /// <summary>How many pixels print, on edges too.</summary>
    public long Printed { get; }

    /// <summary>Which of <see cref="Colors"/> a pixel that prints belongs to, or -1.</summary>
    public int IndexOf(Rgba8 pixel) => kinds[CellOf(Order(pixel))] - 1;

    /// <summary>Counts the colors of what prints.</summary>
    /// <param name="flat">The flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="most">The longest list, 1 to 64.</param>
    public static MainColors Of(Plane<Rgba8> flat, InkRules rules, int most = 8)
    {
        ArgumentNullException.ThrowIfNull(flat);
        ArgumentNullException.ThrowIfNull(rules);
        ArgumentOutOfRangeException.ThrowIfLessThan(most, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(most, MostSeeds);
        var cells = Cells(Count(flat, rules, edges: false, out long printed, out long firm));
        if (cells.Sum(cell => cell.Pixels) < firm * FewestFlat)
        {
            cells = Cells(Count(flat, rules, edges: true, out _, out _));
        }

        long all = cells.Sum(cell => cell.Pixels);
        var seeds = new List<(Rgba8 Color, Lab Lab, long Pixels, List<int> Cells)>();
        foreach (var (color, pixels) in cells.OrderByDescending(cell => cell.Pixels).ThenBy(cell => Order(cell.Color)))
        {
            var lab = LabSpace.D50.Of(color);
            int near = -1;
            double least = Alike;
            for (int i = 0; i < seeds.Count; i++)
            {
                double difference = Math.Round(Ciede2000.Difference(seeds[i].Lab, lab), 6);
                if (difference < least || (near < 0 && difference <= least))
                {
                    (near, least) = (i, difference);
                }
            }

            if (near >= 0)
            {
                seeds[near] = seeds[near] with { Pixels = seeds[near].Pixels + pixels };
                seeds[near].Cells.Add(CellOf(Order(color)));
            }
            else if (seeds.Count < MostSeeds)
            {
                seeds.Add((color, lab, pixels, [CellOf(Order(color))]));
            }
        }

        var main = seeds.Select(seed => (Color: new MainColor(seed.Color, seed.Pixels, Math.Round((double)seed.Pixels / all, 6)), seed.Cells))
            .Where(seed => seed.Color.Share >= SmallestShare)
            .OrderByDescending(seed => seed.Color.Pixels).ThenBy(seed => Order(seed.Color.Color)).Take(most).ToList();
        var kinds = new byte[1 << (3 * CellBits)];
        for (int i = 0; i < main.Count; i++)
        {
            foreach (int cell in main[i].Cells)
            {
                kinds[cell] = (byte)(i + 1);
            }
        }

        return new MainColors([.. main.Select(seed => seed.Color)], kinds, printed);
    }

    // How many pixels have each of the 16.8 million colors; how many print, and how many of those are at least half opaque.
    private static int[] Count(Plane<Rgba8> flat, InkRules rules, bool edges, out long printed, out long firm)
    {
        printed = firm = 0;
        int[] counts = new int[1 << 24];
        Rgba8[] row = new Rgba8[flat.Width], above = new Rgba8[flat.Width];
        for (int y = 0; y < flat.Height; y++)
        {
            flat.CopyRowTo(y, row);
            for (int x = 0; x < row.Length; x++)
            {
                var pixel = row[x];
                if (rules.StateOf(pixel) != InkState.Prints)
                {
                    continue;
                }

                printed++;
                if (pixel.A < HalfOpaque)
                {
                    continue;
                }

                firm++;
                if (edges || ((x == 0 || pixel.LargestDifference(row[x - 1]) <= GoesOn) && (y == 0 || pixel.LargestDifference(above[x]) <= GoesOn)))
                {
                    counts[Order(pixel)]++;
                }
            }

            (row, above) = (above, row);
        }

        return counts;
    }

    // For each cell that holds any, its pixels and the color that most of them have.
    private static List<(Rgba8 Color, long Pixels)> Cells(int[] counts)
    {
        var sums = new long[1 << (3 * CellBits)];
        var frequent = new int[sums.Length];
        for (int color = 0; color < counts.Length; color++)
        {
            if (counts[color] == 0)
            {
                continue;
            }

            int cell = CellOf(color);
            frequent[cell] = sums[cell] == 0 || counts[color] > counts[frequent[cell]] ? color : frequent[cell];
            sums[cell] += counts[color];
        }

        return [.. Enumerable.Range(0, sums.Length).Where(cell => sums[cell] > 0).Select(cell =>
            (new Rgba8((byte)(frequent[cell] >> 16), (byte)(frequent[cell] >> 8), (byte)frequent[cell]), sums[cell]))];
    }

    private static int Order(Rgba8 color) => (color.R << 16) | (color.G << 8) | color.B;

    private static int CellOf(int color)
    {
        const int drop = 8 - CellBits, mask = (1 << CellBits) - 1;
        return ((color >> (16 + drop)) << (2 * CellBits)) | (((color >> (8 + drop)) & mask) << CellBits) | ((color >> drop) & mask);
    }
}
