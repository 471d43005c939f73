using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>Recipes that do to printing what they don't declare.</summary>
public sealed class GuardrailTests : IDisposable
{
    private const int Side = 120;
    private static readonly Rgba8 Ground = new(90, 140, 60), Spot = new(200, 10, 10), Patch = new(10, 10, 200);
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    // A spot of 9 px, a patch of 400 px, a white spot of 9 px, a border that is white; 14,400 px in all, so 0.1% is 14.4 px.
    private static Rgba8 Rule(int x, int y) => x is 0 or Side - 1 || y is 0 or Side - 1 ? Rgba8.White
        : x is >= 20 and < 23 && y is >= 20 and < 23 ? Spot
        : x is >= 40 and < 60 && y is >= 40 and < 60 ? Patch
        : x is >= 80 and < 83 && y is >= 80 and < 83 ? Rgba8.White
        : Ground;

    private const string Head = "Recipe.Title(\"A test\");\nRecipe.Purpose(\"Does what it doesn't say.\");\n";
    private const string FillSpot = Head + "Art.Fill(Art.Find.Where(p => p.R == 200), {0}, layer: \"x\");\n";

    [Theory]
    [InlineData("lost-to-white", "Rgba8.White", "light-garment")]
    [InlineData("lost-to-black", "Rgba8.Black", "black-garment")]
    [InlineData("lost-to-transparent", "Rgba8.ClearWhite", "light-garment")]
    public void Lost_ink_is_put_back_refused_or_allowed(string guard, string color, string setup)
    {
        shop.Write("fill.csx", FillSpot.Replace("{0}", color, StringComparison.Ordinal));
        ThreeWays(guard, setup, (x, y) => Rule(x, y) == Spot, lost: 9, gained: 0);
    }

    [Fact]
    public void Added_ink_is_put_back_refused_or_allowed()
    {
        shop.Write("fill.csx", Head + "Art.Fill(Art.Find.PureWhite().Except(Art.Find.PureWhite().OnBorder()), new Rgba8(1, 2, 3), layer: \"x\");\n");
        ThreeWays("added-ink", "light-garment", (x, y) => x is >= 80 and < 83 && y is >= 80 and < 83, lost: 0, gained: 9);
    }

    private void ThreeWays(string guard, string setup, Func<int, int, bool> concerned, long lost, long gained)
    {
        string art = Picture.Write(shop.At("a.png"), Side, Side, Rule), hash = Shop.HashOf(art);
        var before = Picture.Read(art).Pixels;

        var protect = shop.Json("dry-run", "fill.csx", "a.png", "--setup", setup).ShouldExit(0).Json;
        Guard(protect, guard).ShouldBe(("protect", 9L, "protected"));
        Picture.Read(shop.At("a.png.dry-run/after.png")).Pixels.ShouldBe(before);
        ((long)protect["changed"]!["pixels"]!).ShouldBe(0);

        var refuse = shop.Json("dry-run", "fill.csx", "a.png", "--setup", setup, "--guard", $"{guard}=refuse").ShouldFail(6, "R5001").Json;
        Guard(refuse, guard).ShouldBe(("refuse", 9L, "refused"));
        shop.Json("commit", "--dry-run", "a.png.dry-run").ShouldFail(2, "R6006");
        shop.Json("commit", "fill.csx", "a.png", "--setup", setup, "--guard", $"{guard}=refuse").ShouldFail(6, "R5001");
        File.Exists(shop.At("a.png.work")).ShouldBeFalse();

        var allow = shop.Json("dry-run", "fill.csx", "a.png", "--setup", setup, "--guard", $"{guard}=allow").ShouldExit(0).Json;
        Guard(allow, guard).ShouldBe(("allow", 9L, "allowed"));
        ((long)allow["ink"]!["lost"]!).ShouldBe(lost);
        ((long)allow["ink"]!["gained"]!).ShouldBe(gained);
        var after = Picture.Read(shop.At("a.png.dry-run/after.png")).Pixels;
        Enumerable.Range(0, after.Length).Where(i => after[i] != before[i]).ShouldBe(
            Enumerable.Range(0, after.Length).Where(i => concerned(i % Side, i / Side)));
        shop.Json("commit", "--dry-run", "a.png.dry-run").ShouldExit(0);
        Shop.HashOf(art).ShouldBe(hash);
    }

    [Fact]
    public void A_lot_or_something_at_the_border_is_refused_not_put_back()
    {
        Picture.Write(shop.At("a.png"), Side, Side, Rule);
        shop.Write("lot.csx", Head + "Art.Fill(Art.Find.Where(p => p.B == 200), Rgba8.White, layer: \"x\");\n");
        Guard(shop.Json("dry-run", "lot.csx", "a.png", "--setup", "light-garment").ShouldFail(6, "R5001").Json, "lost-to-white").ShouldBe(("protect", 400L, "refused"));
        Picture.Write(shop.At("edge.png"), Side, Side, (x, y) => x is 50 && y is 0 ? Spot : Ground);
        shop.Write("edge.csx", FillSpot.Replace("{0}", "Rgba8.White", StringComparison.Ordinal));
        Guard(shop.Json("dry-run", "edge.csx", "edge.png", "--setup", "light-garment").ShouldFail(6, "R5001").Json, "lost-to-white").ShouldBe(("protect", 1L, "refused"));
    }

    [Fact]
    public void A_printed_box_is_refused_even_where_it_is_declared()
    {
        Picture.Write(shop.At("a.png"), Side, Side, Rule);
        shop.Write("box.csx", Head + "Art.MakePrintable(Art.Find.PureWhite(), layer: \"x\");\n");
        const long border = (4 * Side) - 4;
        Guard(shop.Json("dry-run", "box.csx", "a.png", "--setup", "light-garment").ShouldFail(6, "R5001").Json, "printed-box").ShouldBe(("refuse", border, "refused"));
        var allowed = shop.Json("dry-run", "box.csx", "a.png", "--setup", "light-garment", "--guard", "printed-box=allow").ShouldExit(0).Json;
        Guard(allowed, "printed-box").ShouldBe(("allow", border, "allowed"));
        ((long)allowed["declared"]!["printable"]!).ShouldBe(border + 9);
    }

    private static (string Policy, long Pixels, string Outcome) Guard(JsonObject answer, string name)
    {
        var guard = answer["guards"]!.AsArray().Single(guard => (string)guard!["name"]! == name)!;
        return ((string)guard["policy"]!, (long)guard["pixels"]!, (string)guard["outcome"]!);
    }
}
