using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>Colors given as a patch of the setup's chart, or as the file of a match.</summary>
public sealed class ChartColorTests : IDisposable
{
    private const string Paint = """
        Recipe.Title("Paint all of it");
        var to = Param.Color("to", "#808080", help: "The color");
        Art.Fill(Art.Find.Where(p => true), to, layer: "paint");
        """;

    private const string Chart = "CGATS.17\nKEYWORD \"RGB_SCALE\"\nRGB_SCALE \"255\"\nBEGIN_DATA_FORMAT\nSAMPLE_ID SAMPLE_NAME RGB_R RGB_G RGB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n"
        + "1 C7 200 16 46\n2 C8 10 20 30\n3 C7b 200 16 46\n4 D1 1 2 3\n5 D1 4 5 6\nEND_DATA\n";

    private readonly Shop shop = new();

    public ChartColorTests()
    {
        Picture.Write(shop.At("plain.png"), 20, 20, (_, _) => new Rgba8(90, 140, 60));
        shop.Write("paint.csx", Paint);
        shop.Write("shop/chart.txt", Chart);
    }

    public void Dispose() => shop.Dispose();

    [Theory]
    [InlineData("chart:C7", "#c8102e")]
    [InlineData("chart:c8", "#0a141e")]
    [InlineData("#112233", "#112233")]
    public void A_patch_is_the_color_that_was_printed_in_it(string given, string color)
    {
        WriteSetup(Shop.HashOf(shop.At("shop/chart.txt")));
        var json = shop.Json("commit", "paint.csx", "plain.png", "--setup", "shop/setup.json", "--set", $"to={given}").ShouldExit(0).Json;
        // The step says the color itself, since the chart may be another one by the time somebody reads it.
        ((string)json["parameters"]!["to"]!).ShouldBe(color);
        shop.Json("export", "plain.png", "-o", "print.png", "--setup", "shop/setup.json").ShouldExit(0);
        Rgba8.TryParse(color, out var expected).ShouldBeTrue();
        Picture.Read(shop.At("print.png")).Pixels.ShouldAllBe(pixel => pixel == expected);
    }

    [Fact]
    public void A_dry_run_by_patch_is_kept_as_it_was_shown()
    {
        WriteSetup(null);
        shop.Json("dry-run", "paint.csx", "plain.png", "--setup", "shop/setup.json", "--set", "to=chart:C7").ShouldExit(0);
        // The setup's chart is a new one by now; what was shown is kept all the same.
        shop.Write("shop/chart.txt", Chart.Replace("C7 200 16 46", "C7 1 1 1", StringComparison.Ordinal));
        Directory.CreateDirectory(Path.Combine(shop.Home, ".config/recipes/setups"));
        File.Copy(shop.At("shop/setup.json"), Path.Combine(shop.Home, ".config/recipes/setups/navy.json"));
        ((string)shop.Json("commit", "--dry-run", "plain.png.dry-run").ShouldExit(0).Json["parameters"]!["to"]!).ShouldBe("#c8102e");
    }

    [Fact]
    public void A_match_is_taken_from_its_file()
    {
        shop.Json("match", "--measured", Path.Combine(Shop.Root, "tests/Recipes.Codecs.Tests/Values/cgats/synthetic_rgb_125.txt"), "--target", "lab:50,20,10", "-o", "found.json").ShouldExit(0);
        string color = (string)System.Text.Json.Nodes.JsonNode.Parse(File.ReadAllText(shop.At("found.json")))!["computed"]!["rgb"]!;
        var json = shop.Json("run", "paint.csx", "plain.png", "-o", "out", "--setup", "light-garment", "--set", "to=found.json").ShouldExit(0).Json;
        ((string)json["items"]![0]!["parameters"]!["to"]!).ShouldBe(color);
        Rgba8.TryParse(color, out var expected).ShouldBeTrue();
        Picture.Read(shop.At("out/plain.png")).Pixels.ShouldAllBe(pixel => pixel == expected);
    }

    [Fact]
    public void What_is_no_match_is_refused()
    {
        Paints("to=nowhere.json", "light-garment").ShouldFail(3, "R7009");
        shop.Write("other.json", """{ "rgb": "#112233" }""");
        Paints("to=other.json", "light-garment").ShouldFail(3, "R7009");
        shop.Write("broken.json", "{ \"kind\": \"match\", ");
        Paints("to=broken.json", "light-garment").ShouldFail(3, "R7009");
        shop.Write("newer.json", """{ "schema": 2, "kind": "match", "rgb": "#112233" }""");
        var newer = Paints("to=newer.json", "light-garment").ShouldFail(3, "R7009");
        ((string)newer.Json["problems"]![0]!["message"]!).ShouldContain("newer");
        Paints("to=red", "light-garment").ShouldFail(2, "R1005");
    }

    [Fact]
    public void Without_the_chart_there_is_no_patch()
    {
        Paints("to=chart:C7", "light-garment").ShouldFail(2, "R7007");

        WriteSetup(null);
        var unknown = Paints("to=chart:C9", "shop/setup.json").ShouldFail(2, "R7007");
        ((string)unknown.Json["problems"]![0]!["hint"]!).ShouldContain("C7");
        Paints("to=chart:D1", "shop/setup.json").ShouldFail(2, "R7007");
        Paints("to=chart:", "shop/setup.json").ShouldFail(2, "R7007");

        WriteSetup(Shop.HashOf(shop.At("shop/chart.txt")));
        Paints("to=chart:C7", "shop/setup.json").ShouldExit(0);
        File.AppendAllText(shop.At("shop/chart.txt"), "# edited\n");
        Paints("to=chart:C7", "shop/setup.json").ShouldFail(3, "R7008");

        File.Delete(shop.At("shop/chart.txt"));
        Paints("to=chart:C7", "shop/setup.json").ShouldFail(3, "R7001");
    }

    private Answer Paints(string set, string setup) => shop.Json("dry-run", "paint.csx", "plain.png", "--setup", setup, "--set", set);

    // The chart lies beside the setup, and is named from there, wherever the program is called.
    private void WriteSetup(string? sha256) => shop.Write("shop/setup.json",
        $$"""{ "name": "navy", "platen": { "width": 14, "height": 16 }, "chart": { "file": "chart.txt", "sha256": {{(sha256 is null ? "null" : $"\"{sha256}\"")}}, "date": "2026-11-25" } }""");
}
