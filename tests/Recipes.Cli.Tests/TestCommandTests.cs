using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary><c>test</c>: cases pass or fail as their pixels say, failing ones leave pictures, and only <c>--update</c> changes a case.</summary>
public sealed class TestCommandTests : IDisposable
{
    private const string Mine = "Recipe.Title(\"Mine\");\nArt.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"mine\");\n";
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_failing_case_says_how_and_leaves_pictures_and_only_update_changes_it()
    {
        shop.Write("mine.csx", Mine);
        string right = Case(["bbbb", "b..b", "bbbb"], """{ "rows": ["bbbb", "bppb", "bbbb"], "changed": 2 }""");
        shop.Write("mine.cases/right.json", right);
        shop.Json("test", "mine.csx").ShouldExit(0);
        Directory.Exists(shop.At("recipes.test")).ShouldBeFalse();

        // One pixel and one count are wrong, one note isn't said, one problem doesn't come, and one file is none.
        shop.Write("mine.cases/wrong.json", Case(["bbbb", "b..b", "bbbb"], """{ "rows": ["bbbb", "bp.b", "bbbb"], "changed": 1, "lost": 0, "note": "enclosed" }"""));
        shop.Write("mine.cases/declines.json", Case(["bb"], """{ "problem": "R4002" }"""));
        shop.Write("mine.cases/letter.json", Case(["bx"], """{ "changed": 0 }"""));
        var answer = shop.Json("test", "mine.csx").ShouldFail(1, "R6107");
        var cases = answer.Json["recipes"]![0]!["cases"]!.AsArray().ToDictionary(entry => (string)entry!["name"]!, entry => entry!["differences"]!.AsArray().Select(text => (string)text!).ToArray());
        cases["right"].ShouldBeEmpty();
        cases["wrong"].ShouldBe(["rows: 1 px differ by at most 1 levels, in the box 2,1,1,1", "changed: 1 was expected, and it is 2", "note: 'enclosed' was expected, and it said ''"]);
        cases["declines"].ShouldHaveSingleItem().ShouldContain("R4002 was expected");
        cases["letter"].ShouldHaveSingleItem().ShouldContain("R6108");
        string pictures = shop.At("recipes.test/mine/wrong");
        Picture.Read(Path.Combine(pictures, "expected.png")).Pixels[(1 * 4) + 2].ShouldBe(Rgba8.White);
        Picture.Read(Path.Combine(pictures, "after.png")).Pixels[(1 * 4) + 2].ShouldBe(new Rgba8(254, 254, 254));
        File.Exists(Path.Combine(pictures, "wrong.png")).ShouldBeTrue();
        File.Exists(Path.Combine(pictures, "diff.png")).ShouldBeTrue();

        // No approval either.
        shop.Json("keys", "new", "press-room").ShouldExit(0);
        shop.Json("approve", "mine.csx", "--by", "night-shift").ShouldFail(1, "R6107");
        File.Exists(shop.At("mine.lock")).ShouldBeFalse();

        File.Delete(shop.At("mine.cases/declines.json"));
        File.Delete(shop.At("mine.cases/letter.json"));
        shop.Run("test", "mine.csx", "--update").ShouldExit(0).Out.ShouldContain("updated: rows, changed, lost, note");
        var updated = JsonNode.Parse(File.ReadAllText(shop.At("mine.cases/wrong.json")))!["expect"]!;
        updated["rows"]!.AsArray().Select(row => (string)row!).ShouldBe(["bbbb", "bppb", "bbbb"]);
        ((int)updated["changed"]!).ShouldBe(2);
        File.ReadAllText(shop.At("mine.cases/right.json")).ShouldBe(right);
        shop.Json("approve", "mine.csx", "--by", "night-shift").ShouldExit(0);
        File.ReadAllText(shop.At("mine.lock")).ShouldContain("\ncases 2 passed\n");
    }

    [Fact]
    public void Cases_that_can_t_be_listed_or_written_keep_the_others_as_they_are()
    {
        shop.Environment["RECIPES_PATH"] = shop.At("shelf");
        foreach (string name in (string[])["good", "twice"])
        {
            shop.Write($"shelf/{name}/{name}.csx", Mine);
            shop.Write($"shelf/{name}/cases/belly.json", Case(["bbbb", "b..b", "bbbb"], """{ "changed": 2 }"""));
        }

        shop.Write("shelf/twice/twice.cases/belly.json", Case(["bb"], """{ "changed": 0 }"""));
        // The shipped recipes are tested too, and after the one that can't be.
        var answer = shop.Json("test").ShouldFail(1, "R6108").Json;
        var recipes = answer["recipes"]!.AsArray().ToDictionary(recipe => (string)recipe!["name"]!, recipe => recipe!);
        recipes["twice"]["cases"]!.AsArray().ShouldBeEmpty();
        ((bool)recipes["good"]["cases"]![0]!["passed"]!).ShouldBeTrue();
        ((bool)recipes["white-underbase"]["cases"]![0]!["passed"]!).ShouldBeTrue();

        // A folder where the last case's new picture would go: no case is changed.
        shop.Write("shelf/good/cases/belly.json", Case(["bbbb", "b..b", "bbbb"], """{ "changed": 1 }"""));
        shop.Write("shelf/good/cases/wing.json", Case(["bbbb", "b..b", "bbbb"], """{ "picture": "wing.png" }"""));
        Directory.CreateDirectory(shop.At("shelf/good/cases/wing.png"));
        var before = shop.Snapshot();
        shop.Json("test", "good", "--update").ShouldFail(9, "R8002");
        shop.Snapshot().ShouldBe(before);
        Directory.Delete(shop.At("shelf/good/cases/wing.png"));
        // Nothing to compare with yet is a case that couldn't be judged.
        Picture.WriteRing(shop.At("shelf/good/cases/wing.png"));
        shop.Json("test", "good", "--update").ShouldExit(0);
        shop.Json("test", "good").ShouldExit(0);
    }

    [Fact]
    public void A_picture_beside_the_case_is_art_and_expectation_too()
    {
        shop.Write("mine.csx", Mine);
        Directory.CreateDirectory(shop.At("mine.cases"));
        Picture.WriteRing(shop.At("mine.cases/ring.png"));
        shop.Write("mine.cases/ring.json", """{ "case": 1, "setup": "light-garment", "art": { "picture": "ring.png" }, "expect": { "picture": "ring.png" } }""");
        // A side of 40 with a ring from 8 to 12 leaves 16 x 16 px inside.
        shop.Run("test", "mine.csx").ShouldExit(1).Out.ShouldContain("picture: 256 px differ by at most 1 levels, in the box 12,12,16,16");
        // An art is no expectation that may be written anew, whichever case begins with it.
        string art = Shop.HashOf(shop.At("mine.cases/ring.png"));
        shop.Json("test", "mine.csx", "--update").ShouldFail(9, "R8001");
        shop.Write("mine.cases/ring.json", """{ "case": 1, "setup": "light-garment", "art": { "picture": "ring.png" }, "expect": { "changed": 1 } }""");
        shop.Write("mine.cases/other.json", Case(["bb"], """{ "picture": "ring.png" }"""));
        shop.Json("test", "mine.csx", "--update").ShouldFail(9, "R8001");
        Shop.HashOf(shop.At("mine.cases/ring.png")).ShouldBe(art);
        File.Delete(shop.At("mine.cases/other.json"));

        // JSON has one kind of number (RFC 8259, section 6). What somebody else left where a picture would go stays.
        shop.Write("mine.cases/ring.json", """{ "case": 1, "setup": "light-garment", "art": { "picture": "ring.png" }, "expect": { "changed": 256.0 } }""");
        shop.Json("test", "mine.csx").ShouldExit(0);
        shop.Write("mine.cases/ring.json", """{ "case": 1, "setup": "light-garment", "art": { "picture": "ring.png" }, "expect": { "changed": 1 } }""");
        shop.Write("mine.test/mine/ring/expected.png", "mine");
        shop.Json("test", "mine.csx", "--out", "mine.test").ShouldFail(9, "R8001");
        File.ReadAllText(shop.At("mine.test/mine/ring/expected.png")).ShouldBe("mine");
        shop.Write("mine.cases/ring.json", """{ "case": 1, "setup": "light-garment", "art": { "picture": "../ring.png" }, "expect": { "changed": 256 } }""");
        shop.Json("test", "mine.csx").ShouldFail(1, "R6107");
    }

    [Fact]
    public void A_recipe_that_does_not_compile_or_never_ends_is_told_apart_from_a_failing_one()
    {
        shop.Write("mine.csx", "Recipe.Title(\"Mine\");\nSystem.IO.File.Delete(\"x\");\n");
        shop.Run("test", "mine.csx").ShouldExit(4).Err.ShouldContain("mine.csx(2,");
        shop.Write("mine.csx", "Recipe.Title(\"Mine\");\n");
        shop.Run("test", "mine.csx").ShouldExit(0).Out.ShouldContain("compiles, and has no test cases");
        shop.Write("mine.csx", "Recipe.Title(\"Mine\");\nRecipe.Purpose(\"Never ends.\");\nwhile (true) { }\n");
        // Compiled ahead, so that the limit is the run's alone.
        shop.Json("show", "mine.csx").ShouldExit(0);
        shop.Write("mine.cases/ends.json", Case(["bb"], """{ "changed": 0 }"""));
        shop.Run("test", "mine.csx", "--time-limit", "10").ShouldExit(1).Out.ShouldContain("R4003");
        // Nor is it approved, and the answer says why.
        shop.Json("keys", "new", "press-room").ShouldExit(0);
        shop.Json("approve", "mine.csx", "--by", "night-shift", "--time-limit", "1").ShouldFail(1, "R6107").Out.ShouldContain("ends: mine.csx: error R4003");
        File.Exists(shop.At("mine.lock")).ShouldBeFalse();
        // What a later program may need is told as such, not as a slip of the pen.
        shop.Write("mine.csx", "Recipe.Title(\"Mine\");\nRecipe.NeedsApi(2);\nArt.Sail();\n");
        shop.Json("approve", "mine.csx", "--by", "night-shift").ShouldFail(4, "R2009").Codes.Length.ShouldBe(1);
    }

    // No recipe can be made to give two results, but a case can: its art is another one each time that it is looked at.
    [Theory]
    [InlineData("approve", "second")]
    [InlineData("test", "first")]
    public async Task Cases_that_count_run_twice(string command, string changes)
    {
        shop.Write("mine.csx", Mine);
        string one = Case(["bbbb", "b..b", "bbbb"], """{ "note": "" }"""), other = Case(["bbbb", "b.bb", "bbbb"], """{ "note": "" }""");
        shop.Write("mine.cases/first.json", one);
        shop.Write("mine.cases/second.json", one);
        shop.Json("keys", "new", "press-room").ShouldExit(0);
        using var enough = new CancellationTokenSource();
        var swapping = Task.Run(
            () =>
            {
                for (int i = 0; !enough.IsCancellationRequested; i++)
                {
                    File.Move(shop.Write("next.json", i % 2 == 0 ? other : one), shop.At($"mine.cases/{changes}.json"), overwrite: true);
                }
            },
            TestContext.Current.CancellationToken);
        bool seen = false;
        // Twice the same is as likely as not.
        for (int i = 0; i < 20 && !seen; i++)
        {
            seen = shop.Json(command == "approve" ? ["approve", "mine.csx", "--by", "night-shift"] : ["test", "mine.csx"]).Codes.Contains("R6111");
        }

        await enough.CancelAsync();
        await swapping;
        seen.ShouldBeTrue();
    }

    private static string Case(string[] rows, string expect) => new JsonObject
    {
        ["case"] = 1,
        ["setup"] = "light-garment",
        ["colors"] = new JsonObject { ["b"] = "#101010", ["."] = "#ffffff", ["p"] = "#fefefe" },
        ["art"] = new JsonObject { ["rows"] = new JsonArray([.. rows.Select(row => (JsonNode?)row)]) },
        ["expect"] = JsonNode.Parse(expect),
    }.ToJsonString();
}
