using System.Collections.Immutable;
using Recipes.Api;
using Recipes.Checking;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Worker;

namespace Recipes_Scripting_Tests;

/// <summary>
/// Honest recipes pass every check and run without the compiler. The first line of each says what its note must be, worked
/// out by hand.
/// </summary>
public class HonestRecipes
{
    private static readonly GarmentSetup Light = new() { Name = "light-garment", PlatenWidth = 14, PlatenHeight = 16 };

    public static TheoryData<string> Files =>
        [.. Directory.GetFiles(Path.Combine(AppContext.BaseDirectory, "Honest"), "*.csx").Select(file => Path.GetFileName(file)!).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Files))]
    public void Run(string file)
    {
        string source = File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Honest", file));
        var values = ImmutableDictionary<string, string>.Empty
            .Add("smallest", "0").Add("near", "24").Add("where", "enclosed").Add("on", "true").Add("only", "");
        Notes(Recipe.Checked(source), values).ShouldBe([source.Split('\n')[0]["// note: ".Length..]]);
    }

    [Fact]
    public void ThereAreManyKinds() => Files.Count.ShouldBeGreaterThanOrEqualTo(40);

    [Fact]
    public void TheSameTextGivesTheSameBytes() =>
        Recipe.Compile("Report.Note(\"x\");").Assembly.ShouldBe(Recipe.Compile("Report.Note(\"x\");").Assembly);

    [Fact]
    public void AFailureNamesTheLine()
    {
        var recipe = Recipe.Checked("int Third(int[] all) =>\n    all[0] +\n    all[3];\n\nvar few = new[] { 1, 2 };\nReport.Note($\"{Third(few)}\");");
        var problem = Should.Throw<ProblemException>(() => Notes(recipe)).Problems.ShouldHaveSingleItem();
        problem.Code.ShouldBe(Codes.RecipeThrew);
        problem.Where.ShouldBe(new Place("recipe", 2, 5));
        problem.Message.ShouldStartWith("The recipe failed: IndexOutOfRangeException: ");
    }

    [Fact]
    public void AFailureAtTheTopLevelNamesTheLine()
    {
        var recipe = Recipe.Checked("int zero = 0;\nReport.Note(\"before\");\n\nReport.Note($\"{1 / zero}\");");
        Should.Throw<ProblemException>(() => Notes(recipe)).Problems[0].Where.ShouldBe(new Place("recipe", 4, 1));
    }

    [Fact]
    public void DecliningIsNoFailure()
    {
        var recipe = Recipe.Checked("Recipe.Decline(\"This sail is gray already.\");");
        var problem = Should.Throw<ProblemException>(() => Notes(recipe)).Problems[0];
        problem.Code.ShouldBe(Codes.RecipeDeclined);
        problem.Message.ShouldContain("This sail is gray already.");
    }

    // Sorting and searching hand on whatever a comparison throws as an InvalidOperationException.
    [Theory]
    [InlineData("few.Sort((a, b) => { Recipe.Decline(\"Not this one.\"); return 0; });")]
    [InlineData("Array.Sort(few.ToArray(), (a, b) => { Recipe.Decline(\"Not this one.\"); return 0; });")]
    public void WhatEndsTheRunIsNotCaughtAsAnother(string hides)
    {
        var recipe = Recipe.Checked($"var few = new List<int> {{ 3, 1, 2 }};\ntry\n{{\n    {hides}\n}}\ncatch (InvalidOperationException)\n{{\n}}\n");
        Should.Throw<ProblemException>(() => Notes(recipe)).Problems[0].Code.ShouldBe(Codes.RecipeDeclined);
    }

    [Fact]
    public void AnExceptionWithAHostileMessageIsStillAFailure()
    {
        var recipe = Recipe.Checked("class E { public override string ToString() => throw new InvalidOperationException(); }\n"
            + "throw new ArgumentOutOfRangeException(\"beak\", new E(), \"no\");");
        Should.Throw<ProblemException>(() => Notes(recipe)).Problems[0].Message.ShouldContain("ArgumentOutOfRangeException: (no message)");
    }

    [Fact]
    public void RecipesReachNothingOfTheCompiler()
    {
        // The loader's assembly refers to the compiler for its other work; the recipe itself must not.
        var context = new System.Runtime.Loader.AssemblyLoadContext("look");
        using var image = new MemoryStream(Recipe.Checked("Report.Note(\"x\");").Assembly.ToArray());
        context.LoadFromStream(image).GetReferencedAssemblies().Select(name => name.Name)
            .ShouldBe(["System.Runtime", "Recipes.Api"], ignoreOrder: true);
    }

    private static IReadOnlyList<string> Notes(CheckedRecipe recipe, IReadOnlyDictionary<string, string>? values = null)
    {
        Rgba8[] samples =
        [
            Rgba8.White, new(255, 255, 255, 1), new(254, 255, 255), Rgba8.ClearWhite,
            Rgba8.Black, new(1, 0, 0), new(0, 0, 0, 0), new(250, 140, 20),
        ];
        var run = new RecipeRun(
            Artwork.FromPixels(Plane<Rgba8>.FromContiguous(4, 2, samples), 300), Light, values ?? ImmutableDictionary<string, string>.Empty);
        World.Begin(run);
        RecipeLoader.Run(recipe);
        return run.Reporter.Notes;
    }
}
