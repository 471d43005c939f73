using System.Text.Json.Nodes;
using System.Xml.Linq;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>Recipes that take away most of a print, or all of it, declared or not.</summary>
public sealed class LostInkTests : IDisposable
{
    private const int Side = 100;
    private static readonly Rgba8 Sea = new(34, 92, 140), Sail = new(240, 124, 28), Wing = new(120, 30, 60);
    private readonly Shop shop = new();

    // Paper 10 px wide around 80 x 80 px of print: 16 rows of sail (20%), 16 of wing (20%), the rest sea.
    public LostInkTests()
    {
        Picture.Write(shop.At("a.png"), Side, Side, At);
        shop.Write("sail.csx", Bares("p.R == 240"));
        shop.Write("wing.csx", Bares("p.R == 120"));
        shop.Write("both.csx", Bares("p.R == 120 || p.R == 240"));
    }

    public void Dispose() => shop.Dispose();

    private static Rgba8 At(int x, int y) => x is < 10 or >= 90 || y is < 10 or >= 90 ? Rgba8.White : y < 26 ? Sail : y < 42 ? Wing : Sea;

    private static string Bares(string which, string says = "") =>
        $"Recipe.Title(\"A test\");\nRecipe.Purpose(\"Leaves colors bare.\");\n{says}\nArt.LeaveBare(Art.Find.Where(p => {which}), layer: \"x\");\n";

    [Fact]
    public void Over_a_quarter_is_refused_or_allowed_though_it_is_declared()
    {
        string[] run = ["dry-run", "both.csx", "a.png", "--setup", "light-garment"];
        var refused = shop.Json(run).ShouldFail(6, "R5001").Json;
        Guard(refused, "ink-mostly-lost").ShouldBe(("refuse", 2560, "refused"));
        Guard(refused, "lost-to-transparent").ShouldBe(("protect", 0, "clear"));
        shop.Json("commit", "--dry-run", "a.png.dry-run").ShouldFail(2, "R6006");
        shop.Json("commit", "both.csx", "a.png", "--setup", "light-garment").ShouldFail(6, "R5001");
        File.Exists(shop.At("a.png.work")).ShouldBeFalse();
        var stateless = shop.Json("run", "both.csx", "a.png", "-o", "out", "--setup", "light-garment").ShouldExit(6).Json;
        Guard((JsonObject)stateless["items"]![0]!, "ink-mostly-lost").ShouldBe(("refuse", 2560, "refused"));
        File.Exists(shop.At("out/a.png")).ShouldBeFalse();

        shop.Json([.. run, "--guard", "ink-mostly-lost=protect"]).ShouldFail(2, "R1010");
        Guard(shop.Json([.. run, "--guard", "ink-mostly-lost=allow"]).ShouldExit(0).Json, "ink-mostly-lost").ShouldBe(("allow", 2560, "allowed"));
        shop.Json("commit", "--dry-run", "a.png.dry-run").ShouldExit(0);
        // A fifth is no quarter.
        Guard(shop.Json("dry-run", "sail.csx", "a.png", "--original").ShouldExit(0).Json, "ink-mostly-lost").ShouldBe(("refuse", 0, "clear"));
    }

    [Fact]
    public void A_print_of_nothing_is_refused_with_what_would_let_it_pass()
    {
        shop.Write("none.csx", Bares("true", "Recipe.LeavesBare(\"Everything.\");"));
        string[] run = ["dry-run", "none.csx", "a.png", "--setup", "light-garment"];
        var refused = shop.Json(run).ShouldFail(6, "R5001").Json;
        Guard(refused, "nothing-prints").ShouldBe(("refuse", 6400, "refused"));
        Guard(refused, "ink-mostly-lost").ShouldBe(("refuse", 6400, "allowed"));
        ((string)refused["problems"]![0]!["hint"]!).ShouldContain("--guard nothing-prints=allow");
        shop.Json([.. run, "--guard", "nothing-prints=allow"]).ShouldExit(0);
        shop.Json([.. run, "--guard", "nothing-prints=protect"]).ShouldFail(2, "R1010");
    }

    [Fact]
    public void What_a_recipe_says_of_itself_lets_it_pass_and_is_shown_and_printed_at_approval()
    {
        const string says = "All but the sea stays bare.";
        shop.Write("sea.csx", Bares("p.R != 34", $"Recipe.LeavesBare(\"{says}\");"));
        var guard = shop.Json("dry-run", "sea.csx", "a.png", "--setup", "light-garment").ShouldExit(0).Json["guards"]!.AsArray()
            .Single(guard => (string)guard!["name"]! == "ink-mostly-lost")!;
        ((string)guard["outcome"]!, (string)guard["policy"]!, (long)guard["pixels"]!).ShouldBe(("allowed", "refuse", 2560));
        ((string)guard["why"]!).ShouldContain(says);
        XDocument.Load(shop.At("a.png.dry-run/report.html")).Root!.Value.ShouldContain("as the recipe says of itself");

        ((string)shop.Json("show", "sea.csx").ShouldExit(0).Json["recipe"]!["leavesBare"]!).ShouldBe(says);
        shop.Json("show", "both.csx").ShouldExit(0).Json["recipe"]!["leavesBare"].ShouldBeNull();
        shop.Run("show", "sea.csx").ShouldExit(0).Out.ShouldContain(says);
        shop.Json("keys", "new", "press").ShouldExit(0);
        shop.Run("approve", "sea.csx", "--by", "Mara").ShouldExit(0)
            .Out.ShouldContain($"sea leaves bare on purpose, so the guardrail ink-mostly-lost lets it pass: {says}");
        shop.Write("evening.recipes", "recipes-list 1\nboth\nsea\n");
        ((string)shop.Json("approve", "evening.recipes", "--by", "Mara").ShouldExit(0).Json["leavesBare"]!["sea"]!).ShouldBe(says);
        ((string)shop.Json("show", "test-print").ShouldExit(0).Json["recipe"]!["leavesBare"]!).ShouldNotBeEmpty();
    }

    [Fact]
    public void A_recipe_that_bares_on_purpose_excuses_only_itself()
    {
        shop.Write("corner.csx", Bares("p.R == 34 && p.B == 0", "Recipe.LeavesBare(\"Nothing to speak of.\");"));
        shop.Write("evening.recipes", "recipes-list 1\nsail\ncorner\nwing\n");
        Guard(shop.Json("dry-run", "evening.recipes", "a.png", "--setup", "light-garment").ShouldFail(6, "R5001").Json, "ink-mostly-lost")
            .ShouldBe(("refuse", 2560, "refused"));
    }

    [Fact]
    public void Recipes_that_take_a_fifth_each_are_refused_together()
    {
        shop.Write("evening.recipes", "recipes-list 1\nsail\nwing\n");
        string[] run = ["dry-run", "evening.recipes", "a.png", "--setup", "light-garment"];
        var refused = shop.Json(run).ShouldFail(6, "R5001").Json;
        Guard(refused, "ink-mostly-lost").ShouldBe(("refuse", 2560, "refused"));
        ((string)refused["problems"]![0]!["message"]!).ShouldContain("the recipes together: 2560 of 6400 px");
        shop.Json("commit", "evening.recipes", "a.png", "--setup", "light-garment").ShouldFail(6, "R5001");
        shop.Json("commit", "evening.recipes", "a.png", "--setup", "light-garment", "--steps").ShouldFail(6, "R5001");
        File.Exists(shop.At("a.png.work")).ShouldBeFalse();
        shop.Json([.. run, "--guard", "ink-mostly-lost=allow"]).ShouldExit(0);
    }

    [Fact]
    public void A_file_sent_again_that_would_lose_most_is_refused()
    {
        shop.Json("commit", "sail.csx", "a.png", "--setup", "light-garment").ShouldExit(0);
        // The same picture, in which the sail has grown.
        Picture.Write(shop.At("b.png"), Side, Side, (x, y) => At(x, y) == Wing ? Sail : At(x, y));
        shop.Json("carry-over", "a.png", "b.png", "--recipes", ".").ShouldFail(6, "R5001").Out.ShouldContain("ink-mostly-lost");
        File.Exists(shop.At("b.png.work")).ShouldBeFalse();
    }

    [Fact]
    public void A_connected_loss_over_a_square_centimeter_is_named_where_it_passes()
    {
        // 300 pixels per inch unless the file says otherwise: 1 cm2 is 13,950 px, and 140 x 100 px are 14,000.
        Picture.Write(shop.At("large.png"), 400, 300, (x, y) =>
            x is 0 or 399 || y is 0 or 299 ? Rgba8.White : x is >= 20 and < 160 && y is >= 30 and < 130 ? Sail : Sea);
        var run = shop.Run("dry-run", "sail.csx", "large.png", "--setup", "light-garment").ShouldExit(0);
        run.Out.ShouldContain("ink-mostly-lost noted");
        run.Out.ShouldContain("1.00 cm2 in the box 20,30,140,100 px");
        Guard(shop.Json("dry-run", "sail.csx", "large.png", "--setup", "light-garment").ShouldExit(0).Json, "ink-mostly-lost")
            .ShouldBe(("refuse", 14_000, "noted"));
    }

    [Fact]
    public void Check_and_ticket_say_first_that_next_to_nothing_prints()
    {
        // 400 x 400 px that fill the platen's width of 14 in: 3 x 3 px are 7.1 mm2, and 0.006% of the art.
        Picture.Write(shop.At("speck.png"), 400, 400, (x, y) => x is >= 200 and < 203 && y is >= 200 and < 203 ? Sail : Rgba8.White);
        var findings = shop.Json("check", "speck.png", "--setup", "light-garment").ShouldExit(0).Json["findings"]!.AsArray();
        ((string)findings[0]!["code"]!, (long)findings[0]!["pixels"]!).ShouldBe(("next-to-nothing-prints", 9));
        string[] lines = shop.Run("check", "speck.png", "--setup", "light-garment").ShouldExit(0).Out.Split('\n');
        lines[1].ShouldStartWith("  NEXT TO NOTHING PRINTS: 9 px");
        shop.Run("ticket", "speck.png", "-o", "t.html", "--setup", "light-garment").ShouldExit(0).Out.ShouldStartWith("NEXT TO NOTHING PRINTS: 9 px");
        XDocument.Load(shop.At("t.html")).Descendants("div")
            .First(div => ((string?)div.Attribute("class"))?.StartsWith("sheet", StringComparison.Ordinal) == true)
            .Elements().First().Value.ShouldStartWith("NEXT TO NOTHING PRINTS");

        Picture.Write(shop.At("none.png"), 40, 40, (_, _) => Rgba8.White);
        shop.Run("check", "none.png", "--setup", "light-garment").ShouldExit(0).Out.Split('\n')[1].ShouldStartWith("  NOTHING PRINTS");
        ((string)shop.Json("check", "a.png", "--setup", "light-garment").ShouldExit(0).Out).ShouldNotContain("next-to-nothing-prints");
    }

    private static (string Policy, long Pixels, string Outcome) Guard(JsonObject answer, string name)
    {
        var guard = answer["guards"]!.AsArray().Single(guard => (string)guard!["name"]! == name)!;
        return ((string)guard["policy"]!, (long)guard["pixels"]!, (string)guard["outcome"]!);
    }
}
