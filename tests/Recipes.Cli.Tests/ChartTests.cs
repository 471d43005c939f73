using System.Text.Json.Nodes;

namespace Recipes.Cli.Tests;

/// <summary>Charts to print, and colors found on measured ones: exit codes, JSON and words. What is printed and found is tested in Hosting.</summary>
public sealed class ChartTests : IDisposable
{
    private static readonly string Measured = Path.Combine(Shop.Root, "tests", "Recipes.Codecs.Tests", "Values", "cgats", "synthetic_rgb_125.txt");
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void The_answer_names_pages_cells_and_the_reference()
    {
        var answer = shop.Json("chart", "-o", "chart.png", "--setup", "black-garment", "--grid", "3", "--gray", "4", "--patch", "6mm").ShouldExit(0);
        // Small patches suit the eye, no instrument.
        answer.Codes.ShouldBe(["R7003"]);
        // 27 colors, and of 4 grays the 2 that aren't among them.
        ((int)answer.Json["chart"]!["patches"]!, answer.Json["cells"]!.AsArray().Count).ShouldBe((29, 29));
        answer.Json["outputs"]!["pages"]!.AsArray().Select(page => (string)page!).ShouldBe(["chart.png"]);
        ((string)answer.Json["outputs"]!["reference"]!).ShouldBe("chart.txt");
        ((string)answer.Json["chart"]!["reference"]!["sha256"]!).ShouldBe(Shop.HashOf(shop.At("chart.txt")));
        shop.Json("chart", "-o", "chart.png", "--setup", "black-garment").ShouldFail(9, "R8001");
    }

    [Theory]
    [InlineData("R7004", "--grid", "13")]
    [InlineData("R7004", "--around", "orange")]
    [InlineData("R7004", "--around", "#e07820", "--grid", "5")]
    [InlineData("R7004", "--step", "3")]
    [InlineData("R1001", "--grid", "many")]
    public void A_bad_option_writes_nothing(string code, params string[] options)
    {
        shop.Json(["chart", "-o", "chart.png", "--setup", "light-garment", .. options]).ShouldFail(2, code);
        shop.Snapshot().ShouldBeEmpty();
    }

    [Fact]
    public void A_match_is_answered_and_kept()
    {
        var json = shop.Json("match", "--measured", Measured, "--target", "lab:50,20,10", "-o", "found.json").ShouldExit(0).Json;
        ((int)json["chart"]!["readings"]!, (int)json["chart"]!["colors"]!, (int)json["chart"]!["rgbScale"]!).ShouldBe((125, 125, 255));
        ((string)json["nearest"]!["label"]!).ShouldNotBeEmpty();
        ((bool)json["computed"]!["inGamut"]!).ShouldBeTrue();
        ((double)json["computed"]!["difference"]!).ShouldBeLessThan((double)json["nearest"]!["difference"]!);
        json["hueTrue"].ShouldBeNull();
        json["outliers"]!.AsArray().ShouldBeEmpty();
        Kept().ShouldBe(("match", 1, (string)json["computed"]!["rgb"]!));
        shop.Json("match", "--measured", Measured, "--target", "lab:50,20,10", "-o", "found.json").ShouldFail(9, "R8001");
        shop.Json("match", "--measured", Measured, "--target", "lab:50,20,10", "-o", "found.json", "--force", "--use", "nearest").ShouldExit(0);
        Kept().ShouldBe(("match", 1, (string)json["nearest"]!["rgb"]!));

        (string, int, string) Kept()
        {
            var kept = JsonNode.Parse(File.ReadAllText(shop.At("found.json")))!;
            return ((string)kept["kind"]!, (int)kept["schema"]!, (string)kept["rgb"]!);
        }
    }

    [Fact]
    public void What_cannot_be_matched_is_refused()
    {
        shop.Json("match", "--measured", "nowhere.txt", "--target", "#c8102e").ShouldFail(3, "R7001");
        shop.Json("match", "--measured", Measured, "--target", "red").ShouldFail(2, "R7006");
        shop.Json("match", "--measured", Measured, "--target", "#c8102e", "--rgb-scale", "1").ShouldFail(2, "R1001");
    }

    [Fact]
    public void For_people_the_match_says_both_colors_the_scatter_and_the_gamut()
    {
        string text = shop.Run("match", "--measured", Measured, "--target", "#00ff00").ShouldExit(0).Out;
        foreach (string part in new[] { "nearest   #", "computed  #", "give or take", "out of gamut", "hue-true  #", "RGB from 0 to 255", "CIEDE2000" })
        {
            text.ShouldContain(part);
        }
    }
}
