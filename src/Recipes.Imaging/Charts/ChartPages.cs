using System.Collections.Immutable;
using System.Globalization;
using Recipes.Imaging.Pictures;

namespace Recipes.Imaging.Charts;

/// <summary>One page of a chart: cells in places of px.</summary>
/// <param name="Width">Width of the page in px.</param>
/// <param name="Height">Height of the page in px.</param>
/// <param name="Cells">The cells and where their patches lie.</param>
/// <param name="Lines">Lines of text and the place of their top left corner.</param>
public sealed record ChartPage(int Width, int Height, ImmutableArray<(ChartCell Cell, Box Patch)> Cells, ImmutableArray<(string Text, int X, int Y)> Lines);

/// <summary>
/// A chart laid out on pages no larger than a platen's print area inside its margin: patches in rows and columns, below each its
/// label and its color, a title above and a legend below. Everything between is bare.
/// </summary>
public sealed class ChartPages
{
    // Free cloth between a patch and what is next to it, inches: an instrument's aperture must not touch a neighbor.
    private const double Gap = 1.5 / 25.4;

    private readonly GarmentSetup setup;

    private ChartPages(GarmentSetup setup, int scale, ImmutableArray<ChartPage> pages)
    {
        this.setup = setup;
        Scale = scale;
        Pages = pages;
    }

    /// <summary>The pages, at least one.</summary>
    public ImmutableArray<ChartPage> Pages { get; }

    /// <summary>Px for each dot of a letter.</summary>
    public int Scale { get; }

    /// <summary>All cells in order.</summary>
    public IEnumerable<ChartCell> Cells => Pages.SelectMany(page => page.Cells).Select(place => place.Cell);

    /// <summary>Lays a chart out; null where not even one row and all needed columns fit on the platen.</summary>
    /// <param name="chart">The chart.</param>
    /// <param name="setup">Platen, margin, resolution, and what stays bare.</param>
    /// <param name="patch">The side of a patch in px, at least 1.</param>
    /// <param name="identity">What the title names the chart by.</param>
    public static ChartPages? LayOut(PatchChart chart, GarmentSetup setup, int patch, string identity)
    {
        ArgumentNullException.ThrowIfNull(chart);
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentOutOfRangeException.ThrowIfLessThan(patch, 1);
        double ppi = setup.PixelsPerInch;
        int scale = Lettering.PrintScale(ppi);
        int gap = Math.Max(1, (int)Math.Ceiling(Gap * ppi)), line = (Lettering.Height + 2) * scale;
        int width = (int)((setup.PlatenWidth - (2 * setup.SafeMargin)) * ppi), height = (int)((setup.PlatenHeight - (2 * setup.SafeMargin)) * ppi);
        // The text under a patch has its own width; a row is a patch, two lines and the gap.
        int across = Math.Max(patch, Lettering.WidthOf("FFFFFF", scale)) + gap, down = patch + (gap / 2) + (2 * line) + gap;
        int most = (width + gap) / across;
        if (most < 1 || chart.Columns > most)
        {
            return null;
        }

        var cells = chart.Columns is null
            ? [.. chart.Colors.Select((color, i) => new ChartCell(i / most, i % most, color))]
            : chart.Cells;
        int columns = cells.Max(cell => cell.Column) + 1, rows = cells.Max(cell => cell.Row) + 1;
        // A title needs room even over a narrow chart.
        int pageWidth = Math.Min(width, Math.Max((columns * across) - gap, Lettering.WidthOf(new string('M', 44), scale)));
        string[] legend = Legend(cells, pageWidth, scale);
        string[] Title(int page, int of) => Lettering.Wrap(
            string.Create(CultureInfo.InvariantCulture, $"{identity}  page {page} of {of}  {chart.Title}  {setup.Name}, {ppi:0.##} ppi"), pageWidth, scale);
        int top = (Title(99, 99).Length * line) + gap, bottom = legend.Length == 0 ? 0 : (legend.Length * line) + gap;
        int fit = (height - top - bottom) / down;
        if (fit < 1 || (chart.Columns is not null && fit < rows))
        {
            return null;
        }

        int count = (rows + fit - 1) / fit;
        var pages = ImmutableArray.CreateBuilder<ChartPage>(count);
        for (int page = 0; page < count; page++)
        {
            int first = page * fit, held = Math.Min(fit, rows - first);
            var places = cells.Where(cell => cell.Row >= first && cell.Row < first + held)
                .Select(cell => (cell, new Box(cell.Column * across, top + ((cell.Row - first) * down), patch, patch))).ToImmutableArray();
            var lines = Title(page + 1, count).Select((text, i) => (text, 0, i * line))
                .Concat(legend.Select((text, i) => (text, 0, top + (held * down) + (i * line))));
            pages.Add(new ChartPage(pageWidth, top + (held * down) + bottom, places, [.. lines]));
        }

        return new ChartPages(setup, scale, pages.MoveToImmutable());
    }

    /// <summary>Draws a page. What isn't printed is bare the way the setup writes it; text is black, or white on dark cloth.</summary>
    public Plane<Rgba8> Draw(ChartPage page)
    {
        ArgumentNullException.ThrowIfNull(page);
        var rules = setup.Ink;
        Rgba8 bare = rules.Bared(Rgba8.White), ink = Lettering.InkOn(setup);
        return Plane<Rgba8>.Build(page.Width, page.Height, null, (bounds, samples) =>
        {
            var canvas = new Canvas(bounds, samples);
            canvas.Fill(bounds, bare);
            foreach (var (text, x, y) in page.Lines)
            {
                canvas.Write(text, x, y, Scale, ink);
            }

            foreach (var (cell, patch) in page.Cells)
            {
                Draw(canvas, cell, patch, ink);
            }
        });
    }

    private void Draw(Canvas canvas, ChartCell cell, Box patch, Rgba8 ink)
    {
        int line = (Lettering.Height + 2) * Scale, text = patch.Bottom + ((int)Math.Ceiling(Gap * setup.PixelsPerInch) / 2);
        canvas.Write(cell.Label, patch.X, text, Scale, ink);
        if (cell.Crossed)
        {
            canvas.Frame(patch, Scale, ink);
            Cross(canvas, patch, ink);
            return;
        }

        canvas.Fill(patch, cell.Color);
        canvas.Write(cell.Color.ToString()[1..].ToUpperInvariant(), patch.X, text + line, Scale, ink);
    }

    private void Cross(Canvas canvas, Box patch, Rgba8 ink)
    {
        for (int i = 0; i + Scale <= patch.Height; i++)
        {
            canvas.Fill(new Box(patch.X + i, patch.Y + i, Scale, Scale), ink);
            canvas.Fill(new Box(patch.Right - Scale - i, patch.Y + i, Scale, Scale), ink);
        }
    }

    // Cells with the same note share a line.
    private static string[] Legend(IEnumerable<ChartCell> cells, int width, int scale) =>
        [.. cells.Where(cell => cell.Note is not null).GroupBy(cell => cell.Note!)
            .SelectMany(group => Lettering.Wrap($"{string.Join(' ', group.Select(cell => cell.Label))}: {group.Key}", width, scale))];
}
