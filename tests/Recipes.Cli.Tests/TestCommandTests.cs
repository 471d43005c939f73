using System.Text.Json.Nodes;

namespace Recipes.Cli.Tests;

/// <summary><c>test</c> at the command line: what it answers and how it ends. What it does is tested with the host.</summary>
public sealed class TestCommandTests : IDisposable
{
    private const string Mine = "Recipe.Title(\"Mine\");\nArt.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"mine\");\n";
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void It_says_what_failed_and_what_was_updated_and_approve_asks_it_too()
    {
        shop.Write("mine.csx", Mine);
        shop.Run("test", "mine.csx").ShouldExit(0).Out.ShouldContain("compiles, and has no test cases");
        shop.Write("mine.cases/right.json", Case(["bbbb", "b..b", "bbbb"], """{ "rows": ["bbbb", "bppb", "bbbb"], "changed": 2 }"""));
        shop.Write("mine.cases/wrong.json", Case(
            ["bbbb", "b..b", "bbbb"], """{ "rows": ["bbbb", "bp.b", "bbbb"], "changed": 1, "lost": 0, "note": "enclosed" }"""));
        var answer = shop.Json("test", "mine.csx").ShouldFail(1, "R6107").Json;
        ((int)answer["passed"]!, (int)answer["failed"]!).ShouldBe((1, 1));
        var cases = answer["recipes"]![0]!["cases"]!.AsArray().ToDictionary(entry => (string)entry!["name"]!, entry => entry!);
        ((bool)cases["right"]["passed"]!, (bool)cases["wrong"]["passed"]!).ShouldBe((true, false));
        cases["wrong"]["differences"]!.AsArray().Select(text => (string)text!).ShouldContain("changed: 1 was expected, and it is 2");
        ((string)cases["wrong"]["diff"]!).ShouldBe(Path.Combine("recipes.test", "mine", "wrong", "diff.png"));
        File.Exists(shop.At("recipes.test/mine/wrong/diff.png")).ShouldBeTrue();

        // No approval either.
        shop.Json("keys", "new", "press-room").ShouldExit(0);
        shop.Json("approve", "mine.csx", "--by", "night-shift").ShouldFail(1, "R6107");
        File.Exists(shop.At("mine.lock")).ShouldBeFalse();
        shop.Run("test", "mine.csx", "--update").ShouldExit(0).Out.ShouldContain("updated: rows, changed, lost, note");
        shop.Json("approve", "mine.csx", "--by", "night-shift").ShouldExit(0);
        File.ReadAllText(shop.At("mine.lock")).ShouldContain("\ncases 2 passed\n");

        // An art is never written over, and what doesn't compile is told apart from what fails.
        Picture.WriteRing(shop.At("mine.cases/ring.png"));
        shop.Write("mine.cases/ring.json",
            """{ "case": 1, "setup": "light-garment", "art": { "picture": "ring.png" }, "expect": { "picture": "ring.png" } }""");
        shop.Json("test", "mine.csx", "--update").ShouldFail(9, "R8001");
        shop.Write("mine.csx", "Recipe.Title(\"Mine\");\nSystem.IO.File.Delete(\"x\");\n");
        shop.Run("test", "mine.csx").ShouldExit(4).Err.ShouldContain("mine.csx(2,");
        shop.Run("approve", "mine.csx", "--by", "night-shift").ShouldExit(4);
    }

    [Fact]
    public void Without_a_name_all_that_have_cases_are_tested_the_shipped_ones_too()
    {
        shop.Environment["RECIPES_PATH"] = shop.At("shelf");
        shop.Write("shelf/twice/twice.csx", Mine);
        shop.Write("shelf/twice/cases/belly.json", Case(["bb"], """{ "changed": 0 }"""));
        shop.Write("shelf/twice/twice.cases/belly.json", Case(["bb"], """{ "changed": 0 }"""));
        var answer = shop.Json("test").ShouldFail(1, "R6108").Json;
        var recipes = answer["recipes"]!.AsArray().ToDictionary(recipe => (string)recipe!["name"]!, recipe => recipe!);
        recipes["twice"]["cases"]!.AsArray().ShouldBeEmpty();
        ((bool)recipes["white-underbase"]["cases"]![0]!["passed"]!).ShouldBeTrue();
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
