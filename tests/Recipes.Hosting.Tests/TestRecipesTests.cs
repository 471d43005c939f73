using System.Collections.Immutable;
using System.Text.Json.Nodes;
using Recipes.Hosting.Cases;
using Recipes.Hosting.Tests.Workers;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Jail;
using Recipes.Problems;

namespace Recipes.Hosting.Tests;

/// <summary>Cases pass or fail as their pixels say, failing ones leave pictures, and only an update changes a case.</summary>
[Collection(nameof(Alone))]
public sealed class TestRecipesTests : IDisposable
{
    private const string Mine = "Recipe.Title(\"Mine\");\nArt.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"mine\");\n";
    private readonly ShopAlone shop = new();

    public void Dispose() => shop.Dispose();

    private ImmutableArray<TestedRecipe> Test(string? recipe, bool update = false, WorkerPool? workers = null, string pictures = "test") => TestRecipes.Run(
        shop.Shop, new TestRequest(shop.At(pictures)) { Recipe = recipe is null ? null : shop.At(recipe), Update = update }, workers ?? shop.Workers);

    private static string[] Codes(IEnumerable<TestedRecipe> tested) => [.. tested.SelectMany(recipe => recipe.Problems).Select(problem => problem.Code.Id)];

    [Fact]
    public void A_failing_case_says_how_and_leaves_pictures_and_only_update_changes_it()
    {
        shop.Write("mine.csx", Mine);
        string right = Case(["bbbb", "b..b", "bbbb"], """{ "rows": ["bbbb", "bppb", "bbbb"], "changed": 2 }""");
        shop.Write("mine.cases/right.json", right);
        var passed = Test("mine.csx").ShouldHaveSingleItem();
        (passed.Compiles, passed.Passed, passed.Cases.Length, passed.Problems.Length).ShouldBe((true, 1, 1, 0));
        Directory.Exists(shop.At("test")).ShouldBeFalse();

        // One pixel and one count are wrong, one note isn't said, one problem doesn't come, and one file is none.
        shop.Write("mine.cases/wrong.json", Case(
            ["bbbb", "b..b", "bbbb"], """{ "rows": ["bbbb", "bp.b", "bbbb"], "changed": 1, "lost": 0, "note": "enclosed" }"""));
        shop.Write("mine.cases/declines.json", Case(["bb"], """{ "problem": "R4002" }"""));
        shop.Write("mine.cases/letter.json", Case(["bx"], """{ "changed": 0 }"""));
        var failed = Test("mine.csx").ShouldHaveSingleItem();
        Codes([failed]).ShouldBe(["R6107"]);
        failed.Problems[0].Message.ShouldBe("3 of 4 test cases failed: declines, letter, wrong.");
        var differences = failed.Cases.ToDictionary(one => one.Outcome.Name, one => one.Outcome.Differences);
        differences["right"].ShouldBeEmpty();
        differences["wrong"].ShouldBe(
        [
            "rows: 1 px differ by at most 1 levels, in the box 2,1,1,1", "changed: 1 was expected, and it is 2",
            "note: 'enclosed' was expected, and it said ''",
        ]);
        differences["declines"].ShouldHaveSingleItem().ShouldContain("R4002 was expected");
        differences["letter"].ShouldHaveSingleItem().ShouldContain("R6108");
        // What didn't run has no picture.
        failed.Cases.Where(one => one.Picture is not null).Select(one => one.Outcome.Name).ShouldBe(["declines", "wrong"]);
        failed.Cases.ShouldAllBe(one => one.Updated == null);
        shop.Pixels(shop.At("test/mine/wrong/expected.png"))[2, 1].ShouldBe(Rgba8.White);
        shop.Pixels(shop.At("test/mine/wrong/after.png"))[2, 1].ShouldBe(new Rgba8(254, 254, 254));
        File.Exists(shop.At("test/mine/wrong/wrong.png")).ShouldBeTrue();
        File.Exists(shop.At("test/mine/wrong/diff.png")).ShouldBeTrue();

        File.Delete(shop.At("mine.cases/declines.json"));
        File.Delete(shop.At("mine.cases/letter.json"));
        var updated = Test("mine.csx", update: true).ShouldHaveSingleItem();
        updated.Problems.ShouldBeEmpty();
        updated.Cases.Select(one => (one.Outcome.Name, one.Updated?.Fields)).ShouldBe([("right", null), ("wrong", "rows, changed, lost, note")]);
        var expect = JsonNode.Parse(File.ReadAllText(shop.At("mine.cases/wrong.json")))!["expect"]!;
        expect["rows"]!.AsArray().Select(row => (string)row!).ShouldBe(["bbbb", "bppb", "bbbb"]);
        ((int)expect["changed"]!).ShouldBe(2);
        File.ReadAllText(shop.At("mine.cases/right.json")).ShouldBe(right);
    }

    [Fact]
    public void Cases_that_can_t_be_listed_or_written_keep_the_others_as_they_are()
    {
        Environment.SetEnvironmentVariable("RECIPES_PATH", shop.At("shelf"));
        foreach (string name in (string[])["good", "twice"])
        {
            shop.Write($"shelf/{name}/{name}.csx", Mine);
            shop.Write($"shelf/{name}/cases/belly.json", Case(["bbbb", "b..b", "bbbb"], """{ "changed": 2 }"""));
        }

        // Two of one name, and one without cases.
        shop.Write("shelf/twice/twice.cases/belly.json", Case(["bb"], """{ "changed": 0 }"""));
        shop.Write("shelf/zero.csx", Mine);
        var tested = Test(null).ToDictionary(recipe => recipe.Name);
        tested.Keys.Order().ShouldBe(["good", "twice"]);
        Codes([tested["twice"]]).ShouldBe(["R6108"]);
        tested["twice"].Cases.ShouldBeEmpty();
        tested["good"].Passed.ShouldBe(1);

        // A folder where the last case's new picture would go: no case is changed.
        shop.Write("shelf/good/cases/belly.json", Case(["bbbb", "b..b", "bbbb"], """{ "changed": 1 }"""));
        shop.Write("shelf/good/cases/wing.json", Case(["bbbb", "b..b", "bbbb"], """{ "picture": "wing.png" }"""));
        Directory.CreateDirectory(shop.At("shelf/good/cases/wing.png"));
        var before = shop.Snapshot();
        ShopAlone.CodeOf(() => Test("shelf/good/good.csx", update: true)).ShouldBe(Problems.Codes.OutputUnwritable);
        shop.Snapshot().ShouldBe(before);
        Directory.Delete(shop.At("shelf/good/cases/wing.png"));
        // Nothing to compare with yet is a case that couldn't be judged.
        shop.WriteRing("shelf/good/cases/wing.png");
        Test("shelf/good/good.csx", update: true)[0].Problems.ShouldBeEmpty();
        Test("shelf/good/good.csx")[0].Passed.ShouldBe(2);
    }

    [Fact]
    public void A_list_s_recipes_are_tested_each_whatever_is_wrong_with_another()
    {
        shop.Write("mine.csx", Mine);
        shop.Write("mine.cases/belly.json", Case(["bbbb", "b..b", "bbbb"], """{ "changed": 2 }"""));
        shop.Write("bad.csx", "Recipe.Title(\"Bad\");\nSystem.IO.File.Delete(\"x\");\n");
        shop.Write("evening.recipes", "recipes-list 1\nnone-such\nbad\nmine\n");
        var tested = Test("evening.recipes");
        tested.Select(recipe => (recipe.Name, recipe.Compiles, recipe.Passed)).ShouldBe([("none-such", null, 0), ("bad", false, 0), ("mine", true, 1)]);
        Codes(tested).Take(2).ShouldBe(["R1002", tested[1].Problems[0].Code.Id]);
        tested[1].Problems[0].Code.Exit.ShouldBe(ExitCode.RecipeRefused);
        tested[1].Problems[0].Where!.Line.ShouldBe(2);
        tested[0].File.ShouldBe(shop.At("evening.recipes"));
    }

    [Fact]
    public void A_picture_beside_the_case_is_art_and_expectation_too()
    {
        shop.Write("mine.csx", Mine);
        shop.WriteRing("mine.cases/ring.png");
        Ring("""{ "picture": "ring.png" }""");
        // A side of 40 with a ring from 8 to 12 leaves 16 x 16 px inside.
        Test("mine.csx")[0].Cases[0].Outcome.Differences.ShouldBe(["picture: 256 px differ by at most 1 levels, in the box 12,12,16,16"]);
        // An art is no expectation that may be written anew, whichever case begins with it.
        string art = ShopAlone.HashOf(shop.At("mine.cases/ring.png"));
        ShopAlone.CodeOf(() => Test("mine.csx", update: true)).ShouldBe(Problems.Codes.OutputExists);
        Ring("""{ "changed": 1 }""");
        shop.Write("mine.cases/other.json", Case(["bb"], """{ "picture": "ring.png" }"""));
        ShopAlone.CodeOf(() => Test("mine.csx", update: true)).ShouldBe(Problems.Codes.OutputExists);
        ShopAlone.HashOf(shop.At("mine.cases/ring.png")).ShouldBe(art);
        File.Delete(shop.At("mine.cases/other.json"));

        // JSON has one kind of number (RFC 8259, section 6). What somebody else left where a picture would go stays.
        Ring("""{ "changed": 256.0 }""");
        Test("mine.csx")[0].Passed.ShouldBe(1);
        Ring("""{ "changed": 1 }""");
        shop.Write("other/mine/ring/expected.png", "mine");
        ShopAlone.CodeOf(() => Test("mine.csx", pictures: "other")).ShouldBe(Problems.Codes.OutputExists);
        File.ReadAllText(shop.At("other/mine/ring/expected.png")).ShouldBe("mine");
        Ring("""{ "changed": 256 }""", "../ring.png");
        Codes(Test("mine.csx")).ShouldBe(["R6107"]);

        void Ring(string expect, string picture = "ring.png") => shop.Write("mine.cases/ring.json",
            $$"""{ "case": 1, "setup": "light-garment", "art": { "picture": "{{picture}}" }, "expect": {{expect}} }""");
    }

    [Fact]
    public void A_recipe_that_never_ends_is_a_failing_case()
    {
        shop.Write("mine.csx", "Recipe.Title(\"Mine\");\nRecipe.Purpose(\"Never ends.\");\nwhile (true) { }\n");
        // Compiled ahead, so that the limit is the run's alone.
        Test("mine.csx")[0].Cases.ShouldBeEmpty();
        shop.Write("mine.cases/ends.json", Case(["bb"], """{ "changed": 0 }"""));
        using var hasty = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(3), null));
        var tested = Test("mine.csx", workers: hasty)[0];
        tested.Cases[0].Outcome.Differences.ShouldHaveSingleItem().ShouldContain("R4003");
        Codes([tested]).ShouldBe(["R6107"]);
    }

    // No recipe can be made to give two results, so its runs go to a stand-in, each of whose processes declines in words of its own. The recipe is compiled
    // before, by the worker that it has. Where approve alone is asked, a parameter that it doesn't have keeps its first case from running at all.
    [Theory]
    [InlineData(false, "first")]
    [InlineData(true, "second")]
    public void Cases_that_count_run_twice_each_time_in_a_process_of_its_own(bool approve, string unsteady)
    {
        Assert.SkipUnless(JailSupport.CanConfine, "needs a system that can confine");
        SigningKey.Create("press-room");
        shop.Write("mine.csx", Mine);
        Test("mine.csx")[0].Problems.ShouldBeEmpty();
        string declines = Case(["bb"], """{ "problem": "R4001" }""");
        shop.Write("mine.cases/second.json", declines);
        shop.Write("mine.cases/first.json", !approve ? declines
            : Case(["bb"], """{ "problem": "R1004" }""").Replace("\"setup\"", "\"set\":{\"sail\":\"red\"},\"setup\"", StringComparison.Ordinal));
        using var standIns = new WorkerPool(
            new WorkerLimits(TimeSpan.FromSeconds(300), null), new WorkerProgram(Path.Combine(AppContext.BaseDirectory, "recipes-probe.dll")));
        var problem = approve
            ? Should.Throw<ProblemException>(() => Approve.Run(shop.Shop, new ApproveRequest(shop.At("mine.csx"), "Mara"), standIns))
                .Problems.ShouldHaveSingleItem()
            : Test("mine.csx", workers: standIns)[0].Problems.ShouldHaveSingleItem();
        problem.Code.Id.ShouldBe("R6111", problem.Message);
        problem.Message.ShouldStartWith($"Two runs of the case {unsteady} differ");
        File.Exists(shop.At("mine.lock")).ShouldBeFalse();
    }

    internal static string Case(string[] rows, string expect) => new JsonObject
    {
        ["case"] = 1,
        ["setup"] = "light-garment",
        ["colors"] = new JsonObject { ["b"] = "#101010", ["."] = "#ffffff", ["p"] = "#fefefe" },
        ["art"] = new JsonObject { ["rows"] = new JsonArray([.. rows.Select(row => (JsonNode?)row)]) },
        ["expect"] = JsonNode.Parse(expect),
    }.ToJsonString();
}
