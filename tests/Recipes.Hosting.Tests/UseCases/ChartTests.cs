using System.Globalization;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Hosting.Charts;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.UseCases;

/// <summary>Charts to print, and colors found on measured ones.</summary>
public sealed class ChartTests : IDisposable
{
    private static readonly string Fixtures = Path.Combine(AppContext.BaseDirectory, "cgats");
    private readonly Bench bench = new();

    public void Dispose() => bench.Dispose();

    [Fact]
    public void A_chart_is_a_picture_and_a_reference_of_the_same_patches()
    {
        var made = Make(request => request with { Setup = "black-garment", Levels = 3, Grays = 4, Patch = "0.5in" });
        // 27 colors, and of 4 grays the 2 that aren't among them.
        made.Printed.Count().ShouldBe(29);
        made.Pages.ShouldBe([bench.At("chart.png")]);
        made.ReferenceSha256.ShouldBe(Bench.HashOf(bench.At("chart.txt")));
        var reference = ChartFile.Read(File.ReadAllBytes(bench.At("chart.txt")), "chart.txt");
        reference.IsMeasured.ShouldBeFalse();
        reference.Rows.Select(row => (row.Label, ColorOf(row))).ShouldBe(made.Printed.Select(cell => (cell.Label, cell.Color)));

        // Every patch of half an inch at 300 ppi is 150 x 150 px of its color, with bare cloth beside it.
        var flat = bench.Read(bench.At("chart.png"), "black-garment").Flat;
        var counts = Bench.Pixels(flat).CountBy(pixel => pixel).ToDictionary();
        reference.Rows.ShouldAllBe(row => counts[ColorOf(row)] >= 150 * 150);
        counts.Keys.ShouldAllBe(color => !color.IsPureBlack && !color.IsPureWhite);
        flat[flat.Width - 1, flat.Height - 1].ShouldBe(Rgba8.ClearWhite);

        // pHYs, PNG 3rd edition 11.3.4.3: 300 ppi is 11811 px a meter.
        byte[] png = File.ReadAllBytes(bench.At("chart.png"));
        int at = png.AsSpan().IndexOf("pHYs"u8);
        png.AsSpan(at + 4, 9).ToArray().ShouldBe([0, 0, 0x2e, 0x23, 0, 0, 0x2e, 0x23, 1]);
    }

    [Fact]
    public void Several_pages_are_numbered_and_existing_output_needs_force()
    {
        var wall = new ChartRequest(bench.At("wall.png")) { Setup = Bench.Light, Levels = 6, Patch = "25mm" };
        string[] pages = [.. MakeChart.Write(bench.Shop, wall).Pages];
        pages.Length.ShouldBeGreaterThan(1);
        pages.ShouldBe(Enumerable.Range(1, pages.Length).Select(page => bench.At($"wall-{page}.png")));
        var before = bench.Snapshot();
        before.Keys.ShouldBe([.. pages.Select(page => Path.GetFileName(page)), "wall.txt"], ignoreOrder: true);

        Bench.Refused(() => MakeChart.Write(bench.Shop, wall)).Code.ShouldBe(Codes.OutputExists);
        bench.Snapshot().ShouldBe(before);
        // The same chart has the same bytes.
        MakeChart.Write(bench.Shop, wall with { Force = true });
        bench.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void A_bracket_prints_the_color_in_its_middle()
    {
        var made = Make(request => request with { Around = new Rgba8(0xe0, 0x78, 0x20), Steps = "3,4,5" });
        made.Cells.Single(cell => cell.Label == "B5").Color.ShouldBe(new Rgba8(0xe0, 0x78, 0x20));
        made.Cells.Length.ShouldBeGreaterThan(20);
    }

    [Fact]
    public void What_no_chart_can_be_made_of_writes_nothing()
    {
        var orange = new ChartRequest(bench.At("chart.png")) { Setup = Bench.Light, Around = new Rgba8(0xe0, 0x78, 0x20) };
        var grid = orange with { Around = null };
        (ChartRequest Request, Code Code)[] refused =
        [
            (grid with { Levels = 13 }, Codes.BadChart),
            (grid with { Levels = 1 }, Codes.BadChart),
            (grid with { Grays = 65 }, Codes.BadChart),
            (grid with { Repeats = 0 }, Codes.BadChart),
            (grid with { Patch = "12px" }, Codes.BadChart),
            (grid with { Patch = "1mm" }, Codes.BadChart),
            (grid with { Patch = "large" }, Codes.BadChart),
            (grid with { Patch = "5000in" }, Codes.BadChart),
            (orange with { Steps = "3,4" }, Codes.BadChart),
            (orange with { Steps = "0" }, Codes.BadChart),
            (orange with { Patch = "50mm" }, Codes.BadChart),
            (grid with { Setup = "nowhere" }, Codes.UnknownSetup),
            (grid with { Setup = null }, Codes.NoSetupChosen),
            (grid with { Path = bench.At("chart.tif") }, Codes.BadUsage),
            (grid with { Path = bench.At("nowhere/chart.png"), Levels = 2 }, Codes.OutputUnwritable),
        ];
        refused.Select(one => Bench.Refused(() => MakeChart.Write(bench.Shop, one.Request)).Code).ShouldBe(refused.Select(one => one.Code));
        bench.Snapshot().ShouldBeEmpty();
    }

    [Fact]
    public void Small_patches_are_made_with_a_warning() => Make(request => request with { Levels = 2, Patch = "6mm" }).Warnings
        .ShouldHaveSingleItem().Code.ShouldBe(Codes.DoubtfulChart);

    [Fact]
    public void A_reference_is_matched_once_readings_are_filled_in()
    {
        Make(request => request with { Repeats = 2 });
        Bench.Refused(() => Match("chart.txt", "#c8102e")).Code.ShouldBe(Codes.IncompleteChart);

        Measure("chart.txt", "measured.txt");
        var target = Printed(new Rgba8(170, 60, 80));
        string lab = string.Create(CultureInfo.InvariantCulture, $"lab:{target.L:0.00},{target.A:0.00},{target.B:0.00}");
        var found = Match("measured.txt", lab, request => request with { Path = bench.At("red.json") });
        found.Read.File.Scale.ShouldBe(RgbScale.Levels);
        found.Chart.Readings.ShouldBe(2 * found.Chart.Patches.Length);
        found.Chart.RepeatScatter.ShouldBe(0);
        found.Doubts.ShouldBeEmpty();

        var (nearest, computed) = (found.Match.Nearest, found.Match.Computed!);
        found.Match.NearestDifference.ShouldBe(Ciede2000.Difference(Printed(nearest.Color.ToRgba8()), target), 0.02);
        nearest.Label.ShouldMatch("^[A-Z]+[0-9]+$");
        found.Match.InGamut.ShouldBe(true);
        Ciede2000.Difference(Printed(computed.Color), target).ShouldBeLessThan(0.7);
        computed.Difference.ShouldBeLessThan(found.Match.NearestDifference);
        found.Match.HueTrue.ShouldBeNull();

        var kept = JsonNode.Parse(File.ReadAllText(bench.At("red.json")))!;
        ((string)kept["rgb"]!, (string)kept["chart"]!["sha256"]!).ShouldBe((computed.Color.ToString(), Bench.HashOf(bench.At("measured.txt"))));
        Bench.Refused(() => Match("measured.txt", lab, request => request with { Path = bench.At("red.json") })).Code.ShouldBe(Codes.OutputExists);
        Match("measured.txt", lab, request => request with { Path = bench.At("red.json"), Force = true, Use = MatchChoice.Nearest });
        MatchFile.Read(bench.At("red.json")).ShouldBe(nearest.Color.ToRgba8());
    }

    [Fact]
    public void Every_fixture_is_read_read_with_a_warning_or_refused_with_its_line()
    {
        int seen = 0;
        foreach (string file in Directory.EnumerateFiles(Fixtures, "*_*.txt"))
        {
            string name = Path.GetFileName(file);
            if (name.StartsWith("bad_", StringComparison.Ordinal))
            {
                var problem = Bench.Refused(() => Match(file, "lab:54,56,28"));
                problem.Code.ShouldBe(Codes.DamagedChart, name);
                problem.Where!.Line!.Value.ShouldBeGreaterThan(5, name);
            }
            else
            {
                var found = Match(file, "lab:54,56,28");
                (found.Match.Nearest.Color.ToRgba8(), found.Match.NearestDifference).ShouldBe((new Rgba8(255, 0, 0), 0.0), name);
                // Three patches compute nothing, and a warning says so.
                int own = name.StartsWith("synthetic", StringComparison.Ordinal) ? 0 : 1;
                (found.Match.Computed is null).ShouldBe(own == 1, name);
                found.Doubts.Count.ShouldBe(own + (name.StartsWith("warn_", StringComparison.Ordinal) ? 1 : 0), name);
                found.Doubts.ShouldAllBe(doubt => doubt.Code == Codes.DoubtfulChart);
            }

            seen++;
        }

        seen.ShouldBe(14);
    }

    [Theory]
    [InlineData("red")]
    [InlineData("lab:50,0")]
    [InlineData("lab:101,0,0")]
    [InlineData("lab:50,NaN,0")]
    [InlineData("#c8102")]
    public void A_bad_target_is_refused(string target) =>
        Bench.Refused(() => Match(Path.Combine(Fixtures, "synthetic_rgb_125.txt"), target)).Code.ShouldBe(Codes.BadTarget);

    [Fact]
    public void A_bad_chart_or_output_is_refused()
    {
        const string red = "#c8102e";
        string good = Path.Combine(Fixtures, "synthetic_rgb_125.txt");
        Bench.Refused(() => Match("nowhere.txt", red)).Code.ShouldBe(Codes.DamagedChart);
        Bench.Refused(() => Match(".", red)).Code.ShouldBe(Codes.DamagedChart);
        bench.Write("huge.txt", new string('x', ChartFile.LargestFile + 1));
        Bench.Refused(() => Match("huge.txt", red)).Code.ShouldBe(Codes.DamagedChart);
        Bench.Refused(() => Match(good, red, request => request with { Path = bench.At("red.txt") })).Code.ShouldBe(Codes.BadUsage);
        string chart = bench.Write("chart.json", File.ReadAllText(good));
        Bench.Refused(() => Match(chart, red, request => request with { Path = chart, Force = true })).Code.ShouldBe(Codes.OutputExists);
        bench.Write("dark.txt", "CGATS.17\nBEGIN_DATA_FORMAT\nRGB_R RGB_G RGB_B LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n96 0 0 20 10 5\nEND_DATA\n");
        Bench.Refused(() => Match("dark.txt", "#300000")).Code.ShouldBe(Codes.UnclearScale);
        Match("dark.txt", "#300000", request => request with { Scale = RgbScale.Levels }).Kept.ShouldBe(new Rgba8(0x60, 0, 0));
    }

    [Fact]
    public void A_misread_patch_is_named_and_left_out()
    {
        Make(request => request with { Levels = 4 });
        Measure("chart.txt", "measured.txt", misread: "C7");
        var found = Match("measured.txt", "#808040");
        found.Chart.Outliers.ShouldHaveSingleItem().Label.ShouldBe("C7");
        var doubt = found.Doubts.ShouldHaveSingleItem();
        doubt.Code.ShouldBe(Codes.DoubtfulChart);
        doubt.Message.ShouldContain("C7");
    }

    private MadeChart Make(Func<ChartRequest, ChartRequest> how) =>
        MakeChart.Write(bench.Shop, how(new ChartRequest(bench.At("chart.png")) { Setup = Bench.Light }));

    private MatchedColor Match(string measured, string target, Func<MatchRequest, MatchRequest>? how = null)
    {
        var request = new MatchRequest(bench.At(measured), target);
        return MatchColor.Find(bench.Shop, how?.Invoke(request) ?? request);
    }

    private static Rgba8 ColorOf(ChartRow row) => new((byte)row.R, (byte)row.G, (byte)row.B);

    // What a printer of pale inks prints: sRGB moved a third of the way to a light gray.
    private static Lab Printed(Rgba8 color)
    {
        var lab = LabSpace.D50.Of(color);
        return new Lab(30 + (lab.L * 0.65), lab.A * 0.7, (lab.B * 0.7) - 2);
    }

    // Fills readings into a reference, as a measuring program does.
    private void Measure(string reference, string measured, string? misread = null)
    {
        var text = new StringBuilder();
        bool data = false;
        foreach (string line in File.ReadLines(bench.At(reference)))
        {
            string[] cells = line.Split('\t');
            data = (data || line == "BEGIN_DATA") && line != "END_DATA";
            if (line.StartsWith("SAMPLE_ID", StringComparison.Ordinal))
            {
                text.Append(line).Append("\tLAB_L\tLAB_A\tLAB_B\n");
            }
            else if (line.StartsWith("NUMBER_OF_FIELDS", StringComparison.Ordinal))
            {
                text.Append("NUMBER_OF_FIELDS\t8\n");
            }
            else if (data && cells.Length == 5)
            {
                byte[] rgb = [.. cells[2..].Select(cell => byte.Parse(cell, CultureInfo.InvariantCulture))];
                var lab = Printed(new Rgba8(rgb[0], rgb[1], rgb[2]));
                text.Append(CultureInfo.InvariantCulture, $"{line}\t{lab.L + (cells[1] == misread ? 15 : 0):0.000}\t{lab.A:0.000}\t{lab.B:0.000}\n");
            }
            else
            {
                text.Append(line).Append('\n');
            }
        }

        bench.Write(measured, text.ToString());
    }
}
