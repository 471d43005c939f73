using System.Globalization;

namespace Recipes.Imaging;

/// <summary>Where an art shows what a test print is for, on a coarse grid.</summary>
/// <remarks>
/// The art is counted once, cell by cell. An eye needs more than a cell, so what counts is a patch of 4 x 4 cells, 1/4 in: it shows a
/// feature where it has nearly as much of it as the best patch of the art. A box shows what a patch inside it shows. Sums over boxes come
/// from summed-area tables (Crow 1984).
/// </remarks>
internal sealed class TestFeatures
{
    private const int CellsPerInch = 16, PatchCells = 4, LeastCells = 8;
    private const double MostInches = 2;

    // Lines wider than this need no test; of thinner ones those within a factor of two of the thinnest count. Ours; no source.
    private const double WidestLine = 1 / 25.4;

    // Two pixels differ in drawing, not in noise, from this many levels on. Ours; no source.
    private const int EdgeLevels = 48;

    // How near to the best patch one must come: parts for amounts, levels for darkness. Ours; no source.
    private const double MuchOf = 0.5, AsFine = 0.8, AsDark = 5, MostlyInk = 0.75;

    private readonly Plane<Rgba8> art;
    private readonly double pixelsPerInch;
    private readonly int cell, columns, rows, patchWidth, patchHeight;
    private readonly long[] ink;
    private readonly List<(string Name, long[] Patches)> features = [];

    private TestFeatures(Plane<Rgba8> art, InkRules rules, MainColors colors, double pixelsPerInch)
    {
        this.art = art;
        this.pixelsPerInch = pixelsPerInch;
        cell = Math.Max(1, (int)Math.Round(pixelsPerInch / CellsPerInch, MidpointRounding.AwayFromZero));
        columns = (art.Width + cell - 1) / cell;
        rows = (art.Height + cell - 1) / cell;
        patchWidth = Math.Min(PatchCells, columns);
        patchHeight = Math.Min(PatchCells, rows);

        var shares = colors.Colors.Select(_ => new long[columns * rows]).ToArray();
        long[] printed = new long[columns * rows], light = new long[columns * rows], edges = new long[columns * rows];
        Count(rules, colors, new(shares, printed, light, edges));
        ink = Summed(printed);
        for (int i = 0; i < shares.Length; i++)
        {
            string part = (100 * colors.Colors[i].Share).ToString("0", CultureInfo.InvariantCulture);
            AddAmount($"{colors.Colors[i].Color} ({part}% of what prints)", Summed(shares[i]), MuchOf);
        }

        AddDarkest(Summed(light));
        AddThinnest(rules);
        AddAmount("the finest detail", Summed(edges), AsFine);
    }

    /// <summary>The features of an art, or null where nothing prints.</summary>
    public static TestFeatures? Of(Plane<Rgba8> art, InkRules rules, double pixelsPerInch)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(pixelsPerInch);
        var colors = MainColors.Of(art, rules);
        return colors.Printed == 0 ? null : new TestFeatures(art, rules, colors, pixelsPerInch);
    }

    /// <summary>The smallest box that shows as much as any of the largest size.</summary>
    public TestBox Smallest()
    {
        int largest = Math.Max(LeastCells, (int)Math.Floor(Math.Round(MostInches * pixelsPerInch / cell, 6)));
        var best = Best(largest);
        for (int side = LeastCells; side < largest; side++)
        {
            if (Best(side) is var smaller && smaller.Shown == best.Shown)
            {
                best = smaller;
                break;
            }
        }

        return Judge(new Box(best.Cells.X * cell, best.Cells.Y * cell, best.Cells.Width * cell, best.Cells.Height * cell));
    }

    /// <summary>What a box shows and leaves out; what of it lies outside the art is cut off.</summary>
    public TestBox Judge(Box box)
    {
        box = box.Within(new Box(0, 0, art.Width, art.Height));
        int left = (box.X + cell - 1) / cell, top = (box.Y + cell - 1) / cell;
        int right = box.Right == art.Width ? columns : box.Right / cell, bottom = box.Bottom == art.Height ? rows : box.Bottom / cell;
        var cells = new Box(left, top, right - left, bottom - top);
        return new TestBox(
            box,
            [.. features.Where(feature => Shows(feature.Patches, cells)).Select(feature => feature.Name)],
            [.. features.Where(feature => !Shows(feature.Patches, cells)).Select(feature => feature.Name)]);
    }

    private (int Shown, Box Cells) Best(int side)
    {
        int width = Math.Min(side, columns), height = Math.Min(side, rows);
        (int Shown, long Ink, Box Cells) best = (-1, 0, default);
        for (int y = 0; y + height <= rows; y++)
        {
            for (int x = 0; x + width <= columns; x++)
            {
                var cells = new Box(x, y, width, height);
                int shown = 0;
                foreach (var (_, patches) in features)
                {
                    shown += Shows(patches, cells) ? 1 : 0;
                }

                if (shown >= best.Shown && Sum(ink, cells) is var amount && (shown > best.Shown || amount > best.Ink))
                {
                    best = (shown, amount, cells);
                }
            }
        }

        return (best.Shown, best.Cells);
    }

    private bool Shows(long[] patches, Box cells) =>
        cells.Width >= patchWidth && cells.Height >= patchHeight
        && Sum(patches, cells with { Width = cells.Width - patchWidth + 1, Height = cells.Height - patchHeight + 1 }) > 0;

    private void AddAmount(string name, long[] amounts, double part)
    {
        long most = Patches().Max(patch => Sum(amounts, patch));
        if (most > 0)
        {
            Add(name, patch => Sum(amounts, patch) >= part * most);
        }
    }

    private void AddDarkest(long[] light)
    {
        double enough = Math.Min(MostlyInk * patchWidth * patchHeight * cell * cell, Patches().Max(patch => Sum(ink, patch)));
        double Lightness(Box patch) => Sum(ink, patch) is var pixels && pixels >= enough ? Sum(light, patch) / (10_000.0 * pixels) : double.MaxValue;
        double darkest = Patches().Min(Lightness);
        Add("the darkest area", patch => Lightness(patch) <= darkest + AsDark);
    }

    private void AddThinnest(InkRules rules)
    {
        // A soft edge's faint half would make every line wider.
        var seen = new Region(Find.Mask(art, new StrongInkTest(rules)), art);
        Region? thinnest = null;
        double width = WidestLine * pixelsPerInch;
        for (double px = width; Find.ThinParts(seen, px) is { IsEmpty: false } lines; px /= 2)
        {
            (thinnest, width) = (lines, px);
        }

        if (thinnest is null)
        {
            return;
        }

        var counts = new long[columns * rows];
        var row = new byte[art.Width];
        for (int y = 0; y < art.Height; y++)
        {
            thinnest.Coverage.CopyRowTo(y, row);
            for (int x = 0; x < row.Length; x++)
            {
                counts[(y / cell * columns) + (x / cell)] += row[x] != 0 ? 1 : 0;
            }
        }

        string millimeters = (width / pixelsPerInch * 25.4).ToString("0.##", CultureInfo.InvariantCulture);
        AddAmount($"the thinnest lines ({millimeters} mm or less)", Summed(counts), MuchOf);
    }

    private void Add(string name, Func<Box, bool> shows)
    {
        var patches = new long[columns * rows];
        foreach (var patch in Patches())
        {
            patches[(patch.Y * columns) + patch.X] = shows(patch) ? 1 : 0;
        }

        features.Add((name, Summed(patches)));
    }

    // Every patch, in cells, at the place of its first cell.
    private IEnumerable<Box> Patches()
    {
        for (int y = 0; y + patchHeight <= rows; y++)
        {
            for (int x = 0; x + patchWidth <= columns; x++)
            {
                yield return new Box(x, y, patchWidth, patchHeight);
            }
        }
    }

    // Of each cell: pixels of each main color, pixels that print, their light, and edges.
    private sealed record CellCounts(long[][] Shares, long[] Printed, long[] Light, long[] Edges);

    // Light is the luma of ITU-R BT.709 times 10,000, in levels. An edge is a pixel that differs from the next one or the one below.
    private void Count(InkRules rules, MainColors colors, CellCounts counts) =>
        Parallel.For(0, rows, () => (Here: new Rgba8[art.Width], Below: new Rgba8[art.Width]), (row, _, buffers) =>
        {
            var (here, below) = buffers;
            var (shares, printed, light, edges) = counts;
            Read(row * cell, here);
            for (int y = row * cell; y < Math.Min(art.Height, (row + 1) * cell); y++)
            {
                Read(Math.Min(y + 1, art.Height - 1), below);
                for (int x = 0; x < here.Length; x++)
                {
                    int at = (row * columns) + (x / cell);
                    var pixel = here[x];
                    edges[at] += pixel.LargestDifference(here[Math.Min(x + 1, here.Length - 1)]) >= EdgeLevels ? 1 : 0;
                    edges[at] += pixel.LargestDifference(below[x]) >= EdgeLevels ? 1 : 0;
                    if (rules.StateOf(pixel) == InkState.Prints)
                    {
                        printed[at]++;
                        light[at] += (2126 * pixel.R) + (7152 * pixel.G) + (722 * pixel.B);
                        if (colors.IndexOf(pixel) is >= 0 and var color)
                        {
                            shares[color][at]++;
                        }
                    }
                }

                (here, below) = (below, here);
            }

            return buffers;

            // Whatever stays bare looks the same.
            void Read(int y, Rgba8[] target)
            {
                art.CopyRowTo(y, target);
                foreach (ref var pixel in target.AsSpan())
                {
                    pixel = rules.StateOf(pixel) == InkState.Prints ? pixel : rules.Bared(Rgba8.White);
                }
            }
        }, _ => { });

    private long[] Summed(long[] values)
    {
        var sums = new long[(columns + 1) * (rows + 1)];
        for (int y = 0; y < rows; y++)
        {
            long row = 0;
            for (int x = 0; x < columns; x++)
            {
                row += values[(y * columns) + x];
                sums[((y + 1) * (columns + 1)) + x + 1] = sums[(y * (columns + 1)) + x + 1] + row;
            }
        }

        return sums;
    }

    private long Sum(long[] sums, Box cells)
    {
        int wide = columns + 1;
        return sums[(cells.Bottom * wide) + cells.Right] - sums[(cells.Y * wide) + cells.Right] - sums[(cells.Bottom * wide) + cells.X]
            + sums[(cells.Y * wide) + cells.X];
    }

    private readonly struct StrongInkTest(InkRules rules) : IPixelTest
    {
        public bool Holds(Rgba8 pixel) => pixel.A >= 128 && rules.StateOf(pixel) == InkState.Prints;
    }
}
