using System.Globalization;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>Charts to print, and colors found on measured ones.</summary>
public sealed class ChartTests : IDisposable
{
    private static readonly string Fixtures = Path.Combine(Shop.Root, "tests", "Recipes.Codecs.Tests", "Values", "cgats");
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_chart_is_a_picture_and_a_reference_of_the_same_patches()
    {
        var json = shop.Json("chart", "-o", "chart.png", "--setup", "black-garment", "--grid", "3", "--gray", "4", "--patch", "0.5in").ShouldExit(0).Json;
        ((int)json["chart"]!["patches"]!).ShouldBe(29);
        json["outputs"]!["pages"]!.AsArray().Select(page => (string)page!).ShouldBe(["chart.png"]);
        var reference = ChartFile.Read(File.ReadAllBytes(shop.At("chart.txt")), "chart.txt");
        reference.IsMeasured.ShouldBeFalse();
        ((string)json["chart"]!["reference"]!["sha256"]!).ShouldBe(Shop.HashOf(shop.At("chart.txt")));
        reference.Rows.Select(row => $"{row.Label} {new Rgba8((byte)row.R, (byte)row.G, (byte)row.B)}")
            .ShouldBe(json["cells"]!.AsArray().Select(cell => $"{cell!["label"]} {cell["rgb"]}"));

        // Every patch of half an inch at 300 ppi is 150 x 150 px of its color, with bare cloth beside it.
        var picture = Picture.Read(shop.At("chart.png"));
        foreach (var row in reference.Rows)
        {
            var color = new Rgba8((byte)row.R, (byte)row.G, (byte)row.B);
            picture.Pixels.Count(pixel => pixel == color).ShouldBeGreaterThanOrEqualTo(150 * 150, row.Label);
        }

        picture.Pixels.Count(pixel => pixel.IsPureBlack || pixel.IsPureWhite).ShouldBe(0);
        picture.Pixels[^1].ShouldBe(Rgba8.ClearWhite);

        // pHYs, PNG 3rd edition 11.3.4.3: 300 ppi is 11811 px a meter.
        byte[] png = File.ReadAllBytes(shop.At("chart.png"));
        int at = png.AsSpan().IndexOf("pHYs"u8);
        png.AsSpan(at + 4, 9).ToArray().ShouldBe([0, 0, 0x2e, 0x23, 0, 0, 0x2e, 0x23, 1]);
    }

    [Fact]
    public void Several_pages_are_numbered_and_existing_output_needs_force()
    {
        string[] command = ["chart", "-o", "wall.png", "--setup", "light-garment", "--grid", "6", "--patch", "25mm"];
        string[] pages = [.. shop.Json(command).ShouldExit(0).Json["outputs"]!["pages"]!.AsArray().Select(page => (string)page!)];
        pages.Length.ShouldBeGreaterThan(1);
        pages.ShouldBe(Enumerable.Range(1, pages.Length).Select(page => $"wall-{page}.png"));
        File.Exists(shop.At("wall.png")).ShouldBeFalse();
        var before = shop.Snapshot();
        before.Keys.ShouldBe(pages.Append("wall.txt"), ignoreOrder: true);

        shop.Json(command).ShouldFail(9, "R8001");
        shop.Snapshot().ShouldBe(before);
        shop.Json([.. command, "--force"]).ShouldExit(0);
        // The same chart has the same bytes.
        shop.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void A_bracket_prints_the_color_in_its_middle()
    {
        var cells = shop.Json("chart", "-o", "orange.png", "--around", "#e07820", "--step", "3,4,5", "--setup", "light-garment").ShouldExit(0).Json["cells"]!.AsArray();
        var middle = cells.Single(cell => (string)cell!["label"]! == "B5")!;
        ((string)middle["rgb"]!).ShouldBe("#e07820");
        cells.Count.ShouldBeGreaterThan(20);
    }

    [Theory]
    [InlineData(2, "R7004", "--grid", "13")]
    [InlineData(2, "R7004", "--grid", "1")]
    [InlineData(2, "R7004", "--gray", "65")]
    [InlineData(2, "R7004", "--repeats", "0")]
    [InlineData(2, "R7004", "--patch", "12px")]
    [InlineData(2, "R7004", "--patch", "1mm")]
    [InlineData(2, "R7004", "--patch", "large")]
    [InlineData(2, "R7004", "--patch", "5000in")]
    [InlineData(2, "R7004", "--around", "orange")]
    [InlineData(2, "R7004", "--around", "#e07820", "--step", "3,4")]
    [InlineData(2, "R7004", "--around", "#e07820", "--step", "0")]
    [InlineData(2, "R7004", "--around", "#e07820", "--grid", "5")]
    [InlineData(2, "R7004", "--around", "#e07820", "--patch", "50mm")]
    [InlineData(2, "R7004", "--step", "3")]
    [InlineData(2, "R1001", "--grid", "many")]
    [InlineData(2, "R1006", "--setup", "nowhere")]
    public void A_bad_option_writes_nothing(int exit, string code, params string[] options)
    {
        string[] setup = options.Contains("--setup") ? [] : ["--setup", "light-garment"];
        shop.Json(["chart", "-o", "chart.png", .. setup, .. options]).ShouldFail(exit, code);
        shop.Snapshot().ShouldBeEmpty();
    }

    [Fact]
    public void A_chart_needs_a_chosen_setup_and_a_folder_to_write_to()
    {
        shop.Json("chart", "-o", "chart.png").ShouldFail(2, "R1008");
        shop.Json("chart", "-o", "chart.tif", "--setup", "light-garment").ShouldFail(2, "R1001");
        shop.Json("chart", "-o", "nowhere/chart.png", "--grid", "2", "--setup", "light-garment").ShouldFail(9, "R8002");
        shop.Snapshot().ShouldBeEmpty();
    }

    [Fact]
    public void Small_patches_are_made_with_a_warning()
    {
        var answer = shop.Json("chart", "-o", "chart.png", "--grid", "2", "--patch", "6mm", "--setup", "light-garment").ShouldExit(0);
        answer.Codes.ShouldBe(["R7003"]);
    }

    [Fact]
    public void A_reference_is_matched_once_readings_are_filled_in()
    {
        shop.Json("chart", "-o", "chart.png", "--repeats", "2", "--setup", "light-garment").ShouldExit(0);
        shop.Json("match", "--measured", "chart.txt", "--target", "#c8102e").ShouldFail(3, "R7002");

        Measure("chart.txt", "measured.txt");
        var target = Printed(new Rgba8(170, 60, 80));
        string lab = string.Create(CultureInfo.InvariantCulture, $"lab:{target.L:0.00},{target.A:0.00},{target.B:0.00}");
        var json = shop.Json("match", "--measured", "measured.txt", "--target", lab, "-o", "red.json").ShouldExit(0).Json;
        ((int)json["chart"]!["rgbScale"]!).ShouldBe(255);
        ((int)json["chart"]!["readings"]!).ShouldBe(2 * (int)json["chart"]!["colors"]!);
        ((double)json["scatter"]!).ShouldBe(0);
        json["outliers"]!.AsArray().ShouldBeEmpty();

        var nearest = json["nearest"]!;
        Rgba8.TryParse((string)nearest["rgb"]!, out var patch).ShouldBeTrue();
        ((double)nearest["difference"]!).ShouldBe(Ciede2000.Difference(Printed(patch), target), 0.02);
        ((string)nearest["label"]!).ShouldMatch("^[A-Z]+[0-9]+$");
        var computed = json["computed"]!;
        ((bool)computed["inGamut"]!).ShouldBeTrue();
        Rgba8.TryParse((string)computed["rgb"]!, out var color).ShouldBeTrue();
        Ciede2000.Difference(Printed(color), target).ShouldBeLessThan(0.7);
        ((double)computed["difference"]!).ShouldBeLessThan((double)nearest["difference"]!);
        json["hueTrue"].ShouldBeNull();

        var kept = JsonNode.Parse(File.ReadAllText(shop.At("red.json")))!;
        ((string)kept["kind"]!).ShouldBe("match");
        ((int)kept["schema"]!).ShouldBe(1);
        ((string)kept["rgb"]!).ShouldBe((string)computed["rgb"]!);
        ((string)kept["chart"]!["sha256"]!).ShouldBe(Shop.HashOf(shop.At("measured.txt")));
        shop.Json("match", "--measured", "measured.txt", "--target", lab, "-o", "red.json").ShouldFail(9, "R8001");
        shop.Json("match", "--measured", "measured.txt", "--target", lab, "-o", "red.json", "--force", "--use", "nearest").ShouldExit(0);
        ((string)JsonNode.Parse(File.ReadAllText(shop.At("red.json")))!["rgb"]!).ShouldBe((string)nearest["rgb"]!);
    }

    [Fact]
    public void For_people_the_match_says_both_colors_the_scatter_and_the_gamut()
    {
        string text = shop.Run("match", "--measured", Path.Combine(Fixtures, "synthetic_rgb_125.txt"), "--target", "#00ff00").ShouldExit(0).Out;
        foreach (string part in new[] { "nearest   #", "computed  #", "give or take", "out of gamut", "hue-true  #", "RGB from 0 to 255", "CIEDE2000" })
        {
            text.ShouldContain(part);
        }
    }

    [Fact]
    public void Every_fixture_is_read_read_with_a_warning_or_refused_with_its_line()
    {
        int seen = 0;
        foreach (string file in Directory.EnumerateFiles(Fixtures, "*_*.txt"))
        {
            string name = Path.GetFileName(file);
            var answer = shop.Json("match", "--measured", file, "--target", "lab:54,56,28");
            if (name.StartsWith("bad_", StringComparison.Ordinal))
            {
                answer.ShouldFail(3, "R7001");
                ((int)answer.Json["problems"]![0]!["where"]!["line"]!).ShouldBeGreaterThan(5, name);
            }
            else
            {
                answer.ShouldExit(0);
                ((string)answer.Json["nearest"]!["rgb"]!).ShouldBe("#ff0000", name);
                ((double)answer.Json["nearest"]!["difference"]!).ShouldBe(0, name);
                // Three patches compute nothing, and a warning says so.
                int own = name.StartsWith("synthetic", StringComparison.Ordinal) ? 0 : 1;
                (answer.Json["computed"] is null).ShouldBe(own == 1, name);
                answer.Codes.Length.ShouldBe(own + (name.StartsWith("warn_", StringComparison.Ordinal) ? 1 : 0), name);
                answer.Codes.ShouldAllBe(code => code == "R7003");
            }

            seen++;
        }

        seen.ShouldBe(14);
    }

    [Theory]
    [InlineData("red", "R7006")]
    [InlineData("lab:50,0", "R7006")]
    [InlineData("lab:101,0,0", "R7006")]
    [InlineData("lab:50,NaN,0", "R7006")]
    [InlineData("#c8102", "R7006")]
    public void A_bad_target_is_refused(string target, string code) =>
        shop.Json("match", "--measured", Path.Combine(Fixtures, "synthetic_rgb_125.txt"), "--target", target).ShouldFail(2, code);

    [Fact]
    public void A_bad_chart_or_output_is_refused()
    {
        string good = Path.Combine(Fixtures, "synthetic_rgb_125.txt");
        shop.Json("match", "--measured", "nowhere.txt", "--target", "#c8102e").ShouldFail(3, "R7001");
        shop.Json("match", "--measured", ".", "--target", "#c8102e").ShouldFail(3, "R7001");
        shop.Json("match", "--measured", good, "--target", "#c8102e", "--rgb-scale", "1").ShouldFail(2, "R1001");
        shop.Json("match", "--measured", good, "--target", "#c8102e", "-o", "red.txt").ShouldFail(2, "R1001");
        shop.Write("chart.json", File.ReadAllText(good));
        shop.Json("match", "--measured", "chart.json", "--target", "#c8102e", "-o", "chart.json", "--force").ShouldFail(9, "R8001");
        shop.Write("dark.txt", "CGATS.17\nBEGIN_DATA_FORMAT\nRGB_R RGB_G RGB_B LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n96 0 0 20 10 5\nEND_DATA\n");
        shop.Json("match", "--measured", "dark.txt", "--target", "#300000").ShouldFail(2, "R7005");
        ((string)shop.Json("match", "--measured", "dark.txt", "--target", "#300000", "--rgb-scale", "255").ShouldExit(0).Json["nearest"]!["rgb"]!).ShouldBe("#600000");
        shop.Write("huge.txt", new string('x', ChartFile.LargestFile + 1));
        shop.Json("match", "--measured", "huge.txt", "--target", "#c8102e").ShouldFail(3, "R7001");
    }

    [Fact]
    public void A_misread_patch_is_named_and_left_out()
    {
        shop.Json("chart", "-o", "chart.png", "--grid", "4", "--setup", "light-garment").ShouldExit(0);
        Measure("chart.txt", "measured.txt", misread: "C7");
        var answer = shop.Json("match", "--measured", "measured.txt", "--target", "#808040").ShouldExit(0);
        ((string)answer.Json["outliers"]!.AsArray().ShouldHaveSingleItem()!["label"]!).ShouldBe("C7");
        answer.Codes.ShouldBe(["R7003"]);
        ((string)answer.Json["problems"]![0]!["message"]!).ShouldContain("C7");
    }

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
        foreach (string line in File.ReadLines(shop.At(reference)))
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

        shop.Write(measured, text.ToString());
    }
}
