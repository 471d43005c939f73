using System.Collections.Immutable;
using Recipes.Hosting.Library;
using Recipes.Hosting.Packs;
using Recipes.Hosting.Trust;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.Sharing;

/// <summary>Installing recipes that arrive: shown first, whole or not at all, and never silently over somebody's work.</summary>
public sealed class ShelfTests : IDisposable
{
    private readonly Bench bench = new();
    private readonly RecipeShelf shelf;

    public ShelfTests() => shelf = new RecipeShelf(bench.At("home/recipes"), [bench.At("home/recipes"), Directory.CreateDirectory(bench.At("shipped")).FullName]);

    public void Dispose() => bench.Dispose();

    private string Here => bench.At("home/recipes/sail-check");

    private ImmutableArray<PlannedRecipe> Plan(House? house = null) => shelf.Plan(RecipePack.ReadFolder(bench.At("shelf")), house ?? House.None);

    private void Install(bool force = false) => shelf.Install(Plan(), "harbor.pack", force);

    private void Edit(string version, string file = "shelf/sail-check/sail-check.csx") =>
        File.WriteAllText(bench.At(file), File.ReadAllText(bench.At(file)).Replace("Version(2)", version, StringComparison.Ordinal));

    [Fact]
    public void A_new_recipe_is_installed_whole()
    {
        Plan().ShouldHaveSingleItem().Arrival.ShouldBe(Arrival.New);
        Directory.Exists(Here).ShouldBeFalse();
        Install();
        bench.Run("diff", "-r", "-x", "added.json", "home/recipes/sail-check", "shelf/sail-check").ShouldBe((0, ""));
        shelf.Added().ShouldHaveSingleItem().ShouldBe(KeyValuePair.Create("sail-check", "harbor.pack"));
        Plan()[0].Arrival.ShouldBe(Arrival.Same);
        Directory.GetFileSystemEntries(bench.At("home/recipes")).Select(Path.GetFileName).ShouldBe(["sail-check"]);
    }

    [Fact]
    public void A_newer_version_shows_its_difference_and_takes_the_place()
    {
        Install();
        Edit("Version(3)");
        File.Delete(bench.At("shelf/sail-check/cases/white-sail.json"));
        var planned = Plan()[0];
        (planned.Arrival, planned.HereVersion, planned.Recipe.Version).ShouldBe((Arrival.Newer, 2, 3));
        planned.Changes.Select(change => change.File).ShouldBe(["cases/white-sail.json", "sail-check.csx"]);
        planned.Changes[0].Lines.ShouldBe(["- { \"art\": \"sail.png\" }"]);
        planned.Changes[1].Lines.ShouldBe(["  #load \"snippets/sail.csx\"", "  Recipe.Title(\"Check the sail\");", "- Recipe.Version(2);", "+ Recipe.Version(3);"]);
        Install();
        File.ReadAllText(Path.Combine(Here, "sail-check.csx")).ShouldContain("Version(3)");
        Directory.Exists(Path.Combine(Here, "cases")).ShouldBeFalse();
        Edit("Version(3)");
        File.AppendAllText(bench.Recipe, "// more\n");
        Plan()[0].Arrival.ShouldBe(Arrival.Changed);
    }

    [Fact]
    public void What_was_changed_here_is_never_silently_undone()
    {
        Install();
        File.AppendAllText(Path.Combine(Here, "sail-check.csx"), "// tonight only\n");
        Edit("Version(3)");
        Plan()[0].Arrival.ShouldBe(Arrival.ChangedHere);
        Bench.CodeOf(() => Install()).ShouldBe(Codes.RecipeHere);
        Codes.RecipeHere.Exit.ShouldBe(ExitCode.Conflict);
        File.ReadAllText(Path.Combine(Here, "sail-check.csx")).ShouldContain("tonight");
        Install(force: true);
        File.ReadAllText(Path.Combine(Here, "sail-check.csx")).ShouldNotContain("tonight");
        // A file more, or a link, is a change as well; so is a recipe that was never added.
        bench.Write("home/recipes/sail-check/cases/mine.json", "{}");
        Plan()[0].Arrival.ShouldBe(Arrival.ChangedHere);
        File.Delete(Path.Combine(Here, "cases/mine.json"));
        Plan()[0].Arrival.ShouldBe(Arrival.Same);
        File.Delete(Path.Combine(Here, "added.json"));
        Edit("Version(4)");
        File.AppendAllText(bench.Recipe, " ");
        Plan()[0].Arrival.ShouldBe(Arrival.ChangedHere);
    }

    [Fact]
    public void An_older_version_comes_only_on_purpose()
    {
        Install();
        Edit("Version(1)");
        Plan()[0].Arrival.ShouldBe(Arrival.Older);
        Bench.CodeOf(() => Install()).ShouldBe(Codes.RecipeHere);
        Install(force: true);
        File.ReadAllText(Path.Combine(Here, "sail-check.csx")).ShouldContain("Version(1)");
    }

    [Theory]
    [InlineData("shipped/sail-check.csx")]
    [InlineData("shipped/sail-check/sail-check.csx")]
    [InlineData("home/recipes/sail-check.csx")]
    public void The_name_of_another_recipe_is_never_taken(string other)
    {
        bench.Write(other, "Recipe.Title(\"Another\");\n");
        Plan()[0].Arrival.ShouldBe(Arrival.Taken);
        Bench.CodeOf(() => Install(force: true)).ShouldBe(Codes.RecipeHere);
        Directory.Exists(Here).ShouldBeFalse();
    }

    [Fact]
    public void One_conflict_stops_all()
    {
        bench.Write("shipped/sail-check.csx", "Recipe.Title(\"Another\");\n");
        bench.Write("shelf/wing-check.csx", "Recipe.Title(\"Wings\");\n");
        Plan().Select(planned => planned.Arrival).ShouldBe([Arrival.Taken, Arrival.New]);
        Bench.CodeOf(() => Install()).ShouldBe(Codes.RecipeHere);
        Directory.Exists(bench.At("home/recipes/wing-check")).ShouldBeFalse();
    }

    [Fact]
    public void What_can_t_be_finished_leaves_everything_as_it_was()
    {
        Install();
        Edit("Version(3)");
        bench.Write("shelf/wing-check.csx", "Recipe.Title(\"Wings\");\n");
        var plan = Plan();
        // Somebody puts a file there after the plan was made.
        bench.Write("home/recipes/wing-check", "in the way");
        Bench.CodeOf(() => shelf.Install(plan, "harbor.pack", force: false)).ShouldBe(Codes.OutputUnwritable);
        File.ReadAllText(Path.Combine(Here, "sail-check.csx")).ShouldContain("Version(2)");
        File.ReadAllText(bench.At("home/recipes/wing-check")).ShouldBe("in the way");
        Directory.GetFileSystemEntries(bench.At("home/recipes")).Select(Path.GetFileName).Order(StringComparer.Ordinal).ShouldBe(["sail-check", "wing-check"]);
    }

    [Fact]
    public void Approvals_are_verified_on_arrival()
    {
        var house = bench.House();
        Plan(house)[0].Approval.State.ShouldBe(ApprovalState.None);
        bench.Approve(bench.Stranger);
        Plan(house)[0].Approval.State.ShouldBe(ApprovalState.Foreign);
        bench.Approve();
        Plan(house)[0].Approval.State.ShouldBe(ApprovalState.Approved);
        Bench.CodeOf(() => Plan(bench.House(", \"revoked\": \"2026-11-25\""))).ShouldBe(Codes.ApprovalVoid);
        File.AppendAllText(bench.Recipe, " ");
        Bench.CodeOf(() => Plan(house)).ShouldBe(Codes.ApprovalVoid);
        // An approved recipe is approved where it was installed, and a recipe that lay flat keeps its approval in a folder of its own.
        Directory.Delete(bench.At("shelf"), recursive: true);
        bench.Write("shelf/wing-check.csx", "Recipe.Title(\"Wings\");\n");
        bench.Write("shelf/wing-check.cases/one.json", "{}\n");
        Approval.Give(RecipeSource.Read("wing-check", bench.At("shelf/wing-check.csx")), 1, bench.Foreman, "Mara", Bench.Today, () => []);
        Plan(house)[0].Approval.State.ShouldBe(ApprovalState.Approved);
        Install();
        Approval.Of(RecipeSource.Read("wing-check", bench.At("home/recipes/wing-check/wing-check.csx")), house).State.ShouldBe(ApprovalState.Approved);
    }

    [Fact]
    public void A_list_arrives_with_its_recipes_and_its_approval()
    {
        var house = bench.House();
        var list = RecipeList.Read(bench.Write("shelf/evening.recipes", "recipes-list 1\nsail-check\n"));
        Approval.Give(list, [bench.Source()], bench.Foreman, "Mara", Bench.Today, () => []);
        File.WriteAllBytes(bench.At("evening.pack"), RecipePack.Write(RecipePack.Collect(list, [bench.Source()])));
        var arriving = RecipePack.Read(bench.At("evening.pack"));
        arriving.Select(one => (one.Name, one.IsList)).ShouldBe([("evening", true), ("sail-check", false)]);
        arriving[0].Files.Keys.ShouldBe(["evening.recipes", "evening.recipes.lock"]);
        shelf.Plan(arriving, house).Select(planned => (planned.Arrival, planned.Approval.State)).ShouldBe([(Arrival.New, ApprovalState.Approved), (Arrival.New, ApprovalState.None)]);
        shelf.Install(shelf.Plan(arriving, house), "evening.pack", force: false);
        shelf.Plan(arriving, house).ShouldAllBe(planned => planned.Arrival == Arrival.Same);
        var here = RecipeList.Find("evening", bench.At("home/recipes")).ShouldNotBeNull();
        here.Folder.ShouldBe(bench.At("home/recipes"));
        Approval.Of(here, [RecipeSource.Read("sail-check", Path.Combine(Here, "sail-check.csx"))], house).State.ShouldBe(ApprovalState.Approved);
        shelf.Sha256Of(arriving[0]).ShouldBe(list.Sha256);

        // A folder gives the same. Another recipe under the list's signature is refused, and so is the list without it.
        RecipePack.ReadFolder(bench.At("shelf")).Zip(arriving).ShouldAllBe(pair => pair.First.Same(pair.Second));
        File.AppendAllText(bench.Recipe, "// later\n");
        Bench.CodeOf(() => Plan(house)).ShouldBe(Codes.ApprovalVoid);
        Bench.CodeOf(() => shelf.Plan([arriving[0]], house)).ShouldBe(Codes.ApprovalVoid);
        // A list never takes a recipe's place.
        bench.Write("other/sail-check.recipes", "recipes-list 1\npure-black\n");
        shelf.Plan(RecipePack.ReadFolder(bench.At("other")), house).ShouldHaveSingleItem().Arrival.ShouldBe(Arrival.Taken);
    }

    [Fact]
    public void An_update_of_a_list_brings_the_recipes_that_it_now_needs()
    {
        bench.Write("shelf/evening.recipes", "recipes-list 1\nsail-check\n");
        Install();
        bench.Write("shelf/evening.recipes", "recipes-list 1\nsail-check\nwing-check\nfin-check\n");
        foreach (string name in (string[])["wing-check", "fin-check", "beak-check"])
        {
            bench.Write($"shelf/{name}.csx", "Recipe.Title(\"Another\");\n");
        }

        // One of them is here by another way and stays; one that no list names isn't taken.
        bench.Write("shipped/fin-check.csx", "Recipe.Title(\"Ours\");\n");
        string[] Newest(params string[] names) => [.. shelf.Newest(RecipePack.ReadFolder(bench.At("shelf")), "harbor.pack", names).Select(recipe => recipe.Name)];
        Newest("evening").ShouldBe(["evening", "sail-check", "wing-check"]);
        Newest("sail-check").ShouldBe(["sail-check"]);
    }

    [Fact]
    public void The_difference_is_a_shortest_one()
    {
        // Worked out by hand: lines 2 and 5 of eight change, one is new at the end.
        SourceDiff.Between("a\nb\nc\nd\ne\nf\ng\nh\n", "a\nB\nc\nd\ng\nh\ni\n").ShouldBe(["  a", "- b", "+ B", "  c", "  d", "- e", "- f", "  g", "  h", "+ i"]);
        SourceDiff.Between("a\n", "a\n").ShouldBeEmpty();
        SourceDiff.Between("", "a\nb\n").ShouldBe(["+ a", "+ b"]);
        SourceDiff.Between("1\n2\n3\n4\n5\n", "1\n2\n3\n4\n6\n").ShouldBe(["  3", "  4", "- 5", "+ 6"]);
    }
}
