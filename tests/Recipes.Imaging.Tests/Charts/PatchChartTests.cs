using Recipes.Imaging.Charts;
using Recipes.Imaging.Pictures;

namespace Recipes.Imaging.Tests.Charts;

public class PatchChartTests
{
    private static readonly GarmentSetup Light = new() { Name = "light", Garment = Rgba8.White, PlatenWidth = 14, PlatenHeight = 16 };
    private static readonly GarmentSetup Black = Light with { Name = "black", Garment = new Rgba8(20, 20, 20), Ink = new InkRules { BlackBare = true } };
    private static readonly GarmentSetup Opaque = Black with { Name = "opaque", Ink = new InkRules { WhiteBare = false } };

    public static TheoryData<string> Setups => ["light", "black", "opaque"];

    [Fact]
    public void A_grid_has_every_combination_once_and_its_grays()
    {
        var colors = PatchChart.Grid(5, 16, 1, Opaque.Ink).Colors;
        // 125 of the grid; of the 16 grays, multiples of 17, 0 and 255 are on the grid's diagonal 0, 64, 128, 191, 255 already.
        colors.Length.ShouldBe(139);
        colors.Distinct().Count().ShouldBe(139);
        byte[] levels = [0, 64, 128, 191, 255];
        colors.Take(125).ShouldBe(levels.SelectMany(r => levels.SelectMany(g => levels.Select(b => new Rgba8(r, g, b)))));
        colors.Skip(125).Select(gray => (int)gray.R).ShouldBe(Enumerable.Range(1, 14).Select(step => 17 * step));
        PatchChart.Grid(12, 0, 1, Opaque.Ink).Colors.Length.ShouldBe(1728);
    }

    [Theory]
    [MemberData(nameof(Setups))]
    public void Nothing_that_should_print_is_left_bare(string name)
    {
        var setup = new[] { Light, Black, Opaque }.Single(setup => setup.Name == name);
        foreach (var chart in new[] { PatchChart.Grid(3, 5, 1, setup.Ink), PatchChart.Around(Rgba8.White, 4, 4, null, setup.Ink), PatchChart.Around(Rgba8.Black, 4, 4, null, setup.Ink) })
        {
            var pages = ChartPages.LayOut(chart, setup, 40, "CHART-1")!;
            foreach (var page in pages.Pages)
            {
                var picture = pages.Draw(page);
                foreach (var (cell, patch) in page.Cells.Where(place => !place.Cell.Crossed))
                {
                    setup.Ink.StateOf(cell.Color).ShouldBe(InkState.Prints, cell.Label);
                    for (int i = 0; i < 40; i++)
                    {
                        picture[patch.X + i, patch.Y + i].ShouldBe(cell.Color);
                    }
                }

                // Everything else is bare, or text and crosses of one printing color.
                Rgba8[] others = [.. Pixels(picture).Where(pixel => !page.Cells.Any(place => place.Patch.Contains(pixel.X, pixel.Y))).Select(pixel => pixel.Color).Distinct()];
                others.Count(color => setup.Ink.StateOf(color) == InkState.Prints).ShouldBe(1);
                others.Count(color => setup.Ink.StateOf(color) != InkState.Prints).ShouldBe(1);
            }
        }

        var white = PatchChart.Grid(2, 0, 1, setup.Ink).Colors;
        white[^1].ShouldBe(setup.Ink.WhiteBare ? new Rgba8(254, 254, 254) : Rgba8.White);
        white[0].ShouldBe(setup.Ink.BlackBare ? new Rgba8(1, 1, 1) : Rgba8.Black);
    }

    [Fact]
    public void Repeats_print_each_color_again_elsewhere()
    {
        var chart = PatchChart.Grid(4, 0, 3, Light.Ink);
        chart.Colors.Length.ShouldBe(192);
        chart.Colors.GroupBy(color => color).ShouldAllBe(group => group.Count() == 3);
        var pages = ChartPages.LayOut(chart, Light, 142, "CHART-1")!;
        // Repeats stand at least two rows or two columns apart.
        foreach (var group in pages.Cells.GroupBy(cell => cell.Color))
        {
            foreach (var (a, b) in group.SelectMany(a => group.Where(b => b.Label != a.Label).Select(b => (a, b))))
            {
                Math.Max(Math.Abs(a.Row - b.Row), Math.Abs(a.Column - b.Column)).ShouldBeGreaterThan(1, $"{a.Label} {b.Label}");
            }
        }
    }

    [Theory]
    [InlineData(0, 0, "A1")]
    [InlineData(2, 6, "C7")]
    [InlineData(25, 9, "Z10")]
    [InlineData(26, 0, "AA1")]
    [InlineData(51, 0, "AZ1")]
    [InlineData(52, 0, "BA1")]
    public void Rows_are_lettered_and_columns_numbered(int row, int column, string label) => new ChartCell(row, column, default).Label.ShouldBe(label);

    [Fact]
    public void A_bracket_has_the_color_in_its_middle_and_steps_around_it()
    {
        var color = new Rgba8(0xb0, 0x60, 0x50);
        var chart = PatchChart.Around(color, 5, 6, 10, Light.Ink);
        chart.Cells.Length.ShouldBe(27);
        var cells = chart.Cells.ToDictionary(cell => cell.Label);
        cells["B5"].Color.ShouldBe(color);
        cells["B5"].Note.ShouldBe("the color now");
        var middle = LabSpace.D50.Of(color);
        foreach (var cell in chart.Cells)
        {
            // Rounding to 8 bits moves a color of this kind by less than 0.5.
            var lab = LabSpace.D50.Of(cell.Color);
            lab.L.ShouldBe(middle.L + (5 * ((cell.Column / 3) - 1)), 0.5, cell.Label);
            lab.Chroma.ShouldBe(middle.Chroma + (6 * ((cell.Column % 3) - 1)), 0.6, cell.Label);
            lab.Hue.ShouldBe(middle.Hue + (10 * (cell.Row - 1)), 1.2, cell.Label);
        }
    }

    [Fact]
    public void A_bracket_around_a_neutral_goes_in_six_directions()
    {
        var chart = PatchChart.Around(new Rgba8(128, 128, 128), 4, 4, null, Light.Ink);
        // Three lightnesses of seven colors; six of the 27 places would repeat the neutral of their block.
        chart.Cells.Length.ShouldBe(21);
        var hues = chart.Cells.Where(cell => cell.Column is 3 or 5).Select(cell => LabSpace.D50.Of(cell.Color).Hue).Order().ToArray();
        for (int i = 0; i < 6; i++)
        {
            double step = (hues[(i + 1) % 6] - hues[i] + 360) % 360;
            step.ShouldBeInRange(45, 75);
        }
    }

    [Fact]
    public void A_bracket_crosses_out_what_sRGB_cannot_say_and_drops_what_is_there_already()
    {
        var chart = PatchChart.Around(new Rgba8(255, 0, 0), 3, 3, null, Light.Ink);
        chart.Cells.Where(cell => cell.Crossed).ShouldNotBeEmpty();
        chart.Cells.Where(cell => cell.Crossed).ShouldAllBe(cell => cell.Note == "outside sRGB");
        // More chroma at the same lightness and hue than the red primary has is outside by definition.
        chart.Cells.Single(cell => cell.Label == "B6").Crossed.ShouldBeTrue();
        chart.Cells.Single(cell => cell.Label == "B5").Crossed.ShouldBeFalse();
        foreach (var color in new[] { new Rgba8(255, 0, 0), new Rgba8(128, 128, 128), new Rgba8(3, 3, 3) })
        {
            Rgba8[] printed = [.. PatchChart.Around(color, 0.5, 0.5, null, Light.Ink).Cells.Where(cell => !cell.Crossed).Select(cell => cell.Color)];
            printed.Distinct().Count().ShouldBe(printed.Length);
        }

        var pages = ChartPages.LayOut(chart, Light, 142, "CHART-1")!;
        string legend = string.Join(' ', pages.Pages.ShouldHaveSingleItem().Lines.Select(line => line.Text));
        legend.ShouldContain($"{string.Join(' ', chart.Cells.Where(cell => cell.Crossed).Select(cell => cell.Label))}: outside sRGB");
        legend.ShouldContain("B5: the color now");
    }

    [Theory]
    [InlineData(9, 300, 14, 16, 12)]
    [InlineData(12, 300, 14, 16, 12)]
    [InlineData(6, 600, 7, 8, 12)]
    [InlineData(5, 150, 10, 12, 20)]
    public void Pages_stay_inside_the_margin_and_nothing_touches(int levels, double ppi, double width, double height, double millimeters)
    {
        var setup = Light with { PixelsPerInch = ppi, PlatenWidth = width, PlatenHeight = height, SafeMargin = 0.5 };
        var chart = PatchChart.Grid(levels, 16, 1, setup.Ink);
        int patch = (int)Math.Round(millimeters / 25.4 * ppi);
        var pages = ChartPages.LayOut(chart, setup, patch, "CHART-1")!;
        pages.Cells.Select(cell => cell.Color).ShouldBe(chart.Colors);
        pages.Cells.Select(cell => cell.Label).Distinct().Count().ShouldBe(chart.Colors.Length);
        foreach (var page in pages.Pages)
        {
            page.Width.ShouldBeLessThanOrEqualTo((int)((width - 1) * ppi));
            page.Height.ShouldBeLessThanOrEqualTo((int)((height - 1) * ppi));
            var all = new Box(0, 0, page.Width, page.Height);
            foreach (var (cell, box) in page.Cells)
            {
                box.Width.ShouldBe(patch);
                box.Within(all).ShouldBe(box, cell.Label);
                // 1.5 mm of free cloth around each patch, text included.
                var around = box.Grow((int)(0.7 / 25.4 * ppi));
                page.Cells.Count(other => !other.Patch.Within(around).IsEmpty).ShouldBe(1, cell.Label);
            }

            foreach (var (text, x, y) in page.Lines)
            {
                new Box(x, y, Lettering.WidthOf(text, pages.Scale), Lettering.Height * pages.Scale).Within(all).Width.ShouldBe(Lettering.WidthOf(text, pages.Scale), text);
                text.ShouldAllBe(character => Lettering.Has(character));
            }
        }
    }

    [Theory]
    [InlineData(72)]
    [InlineData(150)]
    [InlineData(300)]
    [InlineData(1200)]
    public void Digits_are_at_least_two_millimeters_high(double ppi)
    {
        var pages = ChartPages.LayOut(PatchChart.Grid(2, 0, 1, Light.Ink), Light with { PixelsPerInch = ppi }, (int)(12 / 25.4 * ppi), "CHART-1")!;
        (Lettering.CapitalHeight * pages.Scale / ppi * 25.4).ShouldBeInRange(2, 4);
    }

    [Fact]
    public void What_does_not_fit_is_no_chart()
    {
        var small = Light with { PlatenWidth = 4, PlatenHeight = 4 };
        ChartPages.LayOut(PatchChart.Around(new Rgba8(200, 100, 50), 4, 4, null, small.Ink), small, 142, "CHART-1").ShouldBeNull();
        ChartPages.LayOut(PatchChart.Grid(2, 0, 1, small.Ink), small, 1200, "CHART-1").ShouldBeNull();
    }

    [Fact]
    public void The_same_chart_has_the_same_pixels()
    {
        var chart = PatchChart.Grid(3, 4, 1, Black.Ink);
        Plane<Rgba8> Draw()
        {
            var pages = ChartPages.LayOut(chart, Black, 60, "CHART-1")!;
            return pages.Draw(pages.Pages[0]);
        }

        Draw().SameSamples(Draw()).ShouldBeTrue();
    }

    private static IEnumerable<(int X, int Y, Rgba8 Color)> Pixels(Plane<Rgba8> picture)
    {
        for (int y = 0; y < picture.Height; y++)
        {
            for (int x = 0; x < picture.Width; x++)
            {
                yield return (x, y, picture[x, y]);
            }
        }
    }
}
