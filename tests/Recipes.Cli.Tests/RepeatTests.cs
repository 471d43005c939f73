namespace Recipes.Cli.Tests;

/// <summary>Recipes that say what they are for, and that a second run does harm.</summary>
public sealed class RepeatTests : IDisposable
{
    private readonly Shop shop = new();

    public RepeatTests() => Picture.WriteRing(shop.At("ring.png"));

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_recipe_that_runs_once_is_kept_again_only_on_purpose()
    {
        const string darker = """
            Recipe.Title("Darker");
            Recipe.RunOnce("Each run makes the art darker.");
            Art.Fill(Art.Find.Where(p => p.R < 200), new Rgba8(5, 10, 30), layer: "darker");
            """;
        shop.Write("darker.csx", darker);
        string[] commit = ["commit", "darker.csx", "ring.png", "--setup", "black-garment-opaque-white"];
        shop.Json(commit).ShouldExit(0);
        var before = shop.Snapshot();
        shop.Json(commit).ShouldFail(7, "R6007").Out.ShouldContain("Each run makes the art darker.");
        shop.Snapshot().ShouldBe(before);

        // A try may repeat it; keeping that try may not.
        shop.Json("dry-run", "darker.csx", "ring.png").ShouldExit(0);
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldFail(7, "R6007");
        shop.Json("commit", "--dry-run", "ring.png.dry-run", "--again").ShouldExit(0);

        // Undone steps don't count, and each garment setup has a history of its own.
        shop.Json("undo", "ring.png").ShouldExit(0);
        shop.Json(commit).ShouldExit(0);
    }

    [Theory]
    [InlineData("setup: \"black-garment\"", "it expects the garment setup black-garment, not light-garment")]
    [InlineData("largest: \"10px\"", "it expects sides of at most 10px")]
    [InlineData("mode: \"transparent\"", "no pixel is transparent")]
    public void What_a_recipe_is_not_for_is_declined_before_it_runs(string expects, string why)
    {
        shop.Write("loop.csx", $"Recipe.Expects({expects});\nwhile (true) ;\n");
        shop.Json("dry-run", "loop.csx", "ring.png", "--setup", "light-garment").ShouldFail(5, "R4002").Out.ShouldContain(why);
    }
}
