namespace Recipes.Cli.Tests;

/// <summary>Recipes that are refused or fail: each with its code, and the art and its work file as before.</summary>
public sealed class BadRecipeTests : IDisposable
{
    private const string Head = "Recipe.Title(\"A test\");\nRecipe.Purpose(\"Goes wrong.\");\n";
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Theory]
    [InlineData("var white = Art.Find.PureWite();", 4, "R2001")]
    [InlineData("var text = System.IO.File.ReadAllText(\"/etc/hostname\");", 4, "R2002")]
    [InlineData("var client = new System.Net.Http.HttpClient();", 4, "R2002")]
    [InlineData("System.Diagnostics.Process.Start(\"ls\");", 4, "R2002")]
    [InlineData("#load \"snippets/no-such.csx\"", 4, "R2007")]
    [InlineData("throw new InvalidOperationException(\"on purpose\");", 5, "R4001")]
    [InlineData("Recipe.Decline(\"Not this one.\");", 5, "R4002")]
    [InlineData("static int Down(int n) => Down(n + 1) + 1;\nReport.Note($\"{Down(0)}\");", 5, "R4005")]
    [InlineData("var all = new List<long[]>();\nwhile (true) all.Add(Enumerable.Repeat(1L, 1000000).ToArray());", 5, "R4004", "--memory-limit", "256")]
    public void A_recipe_that_goes_wrong_changes_nothing(string code, int exit, string problem, params string[] options)
    {
        var before = ArtWithOneStep(code);
        var answer = shop.Json(["commit", "bad.csx", "ring.png", .. options]).ShouldFail(exit, problem);
        ((string)answer.Json["problems"]![0]!["where"]!["file"]!).ShouldEndWith("bad.csx");
        shop.Snapshot().ShouldBe(before);
        ((int)shop.Json("history", "ring.png").ShouldExit(0).Json["setups"]![0]!["head"]!).ShouldBe(1);
    }

    [Fact]
    public void A_color_of_a_number_that_is_no_level_is_told_with_its_line()
    {
        shop.Write("bad.csx", $"{Head}var level = 250;\nArt.Fill(Art.Find.PureWhite(), new Rgba8(level, level + 6, 0), layer: \"too light\");\n");
        Picture.WriteRing(shop.At("ring.png"));
        var problem = shop.Json("dry-run", "bad.csx", "ring.png").ShouldFail(5, "R4001").Json["problems"]![0]!;
        ((string)problem["message"]!).ShouldContain("A color's channels are whole numbers from 0 to 255, and its green is 256.");
        ((int)problem["where"]!["line"]!).ShouldBe(4);
    }

    [Fact]
    public void A_recipe_that_never_ends_is_stopped()
    {
        var before = ArtWithOneStep("while (true) { }");
        // Compiled beforehand, since the limit is for compiling too.
        shop.Json("show", "bad.csx").ShouldExit(0);
        shop.Json("commit", "bad.csx", "ring.png", "--time-limit", "3").ShouldFail(5, "R4003");
        shop.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void A_recipe_that_does_not_compile_is_shown_at_its_place_and_refused_before_any_file()
    {
        ArtWithOneStep("var white = Art.Find.PureWite();");
        var where = shop.Json("run", "bad.csx", "ring.png", "missing.png", "-o", "out", "--setup", "light-garment").ShouldFail(4, "R2001").Json["problems"]![0]!["where"]!;
        ((int)where["line"]!).ShouldBe(3);
        ((int)where["column"]!).ShouldBe("var white = Art.Find.".Length + 1);
        Directory.Exists(shop.At("out")).ShouldBeFalse();
        shop.Run("commit", "bad.csx", "ring.png").ShouldExit(4).Err.ShouldStartWith("bad.csx(3,22): error R2001: ");
    }

    [Theory]
    [InlineData("", "R2008")]
    [InlineData("\n\n", "R2001")]
    [InlineData("// only a word\n/* and another */\n", "R2001")]
    [InlineData("#region nothing\n#endregion\n", "R2001")]
    public void A_recipe_of_nothing_is_told_so_at_its_place(string text, string code)
    {
        shop.Write("nothing.csx", text);
        Picture.WriteRing(shop.At("ring.png"));
        string[] dryRun = ["dry-run", "nothing.csx", "ring.png"], commit = ["commit", "nothing.csx", "ring.png", "--setup", "light-garment"];
        foreach (string[] command in (string[][])[["show", "nothing.csx"], dryRun, commit])
        {
            var problem = shop.Json(command).ShouldFail(4, code).Json["problems"]![0]!;
            ((int)problem["where"]!["line"]!, (int)problem["where"]!["column"]!).ShouldBe((1, 1));
            ((string)problem["message"]!).ShouldMatch("empty");
            ((string)problem["message"]!).ShouldNotContain("parameters");
        }
    }

    private SortedDictionary<string, string> ArtWithOneStep(string code)
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        shop.Write("bad.csx", code.StartsWith("#load", StringComparison.Ordinal) ? code + "\n" + Head : Head + code + "\n");
        return shop.Snapshot();
    }
}
