using System.Collections.Concurrent;
using System.Globalization;
using Recipes.Api;
using Recipes.Checking;
using Recipes.Imaging;
using Recipes.Protocol;
using Recipes.Scripting;
using Recipes.Worker;

namespace Recipes.Shipped.Tests;

/// <summary>What a shipped recipe made of an art, and what the guardrails say.</summary>
internal sealed record Outcome(Artwork Before, RecipeRun Run, GuardedArt Guarded)
{
    public Rgba8[] Pixels => Run.Art.Artwork.Flat.ToContiguous();

    public void ShouldBeClear() => Guarded.Guards.Where(guard => guard.Outcome != GuardOutcome.Clear).ShouldBeEmpty();

    /// <summary>One guardrail did something, all others are clear.</summary>
    public void ShouldBeClearBut(string name, GuardOutcome outcome) =>
        Guarded.Guards.Where(guard => guard.Outcome != GuardOutcome.Clear).Select(guard => (guard.Name, guard.Outcome)).ShouldBe([(name, outcome)]);
}

/// <summary>The shipped recipes as they lie in the repository, compiled and run in this process the way a worker does.</summary>
internal static class Shelf
{
    public static readonly GarmentSetup Light = new() { Name = "light-garment", PlatenWidth = 14, PlatenHeight = 16 };

    public static readonly GarmentSetup Black = Light with { Name = "black-garment", Garment = Rgba8.Black, Ink = new InkRules { BlackBare = true } };

    private static readonly ConcurrentDictionary<string, (CheckedRecipe Recipe, RecipeSpec Spec)> Compiled = [];

    public static Outcome Run(string name, Plane<Rgba8> art, GarmentSetup setup, params (string Name, string Value)[] set) =>
        Run(name, Artwork.FromPixels(art, 300), setup, set);

    public static Outcome Run(string name, Artwork art, GarmentSetup setup, params (string Name, string Value)[] set) =>
        Run(Compiled.GetOrAdd(name, CompileShipped), name, art, setup, set);

    /// <summary>A recipe that isn't shipped, such as one of a page; it may load the shipped snippets.</summary>
    public static Outcome RunText(string text, Plane<Rgba8> art, GarmentSetup setup, params (string Name, string Value)[] set) =>
        Run(Compiled.GetOrAdd(text, source => Compile("page", source)), "page", Artwork.FromPixels(art, 300), setup, set);

    private static Outcome Run((CheckedRecipe, RecipeSpec) compiled, string name, Artwork art, GarmentSetup setup, (string Name, string Value)[] set)
    {
        var (recipe, spec) = compiled;
        var values = spec.Parameters.ToDictionary(parameter => parameter.Name, parameter => Resolved(set.FirstOrDefault(pair => pair.Name == parameter.Name).Value ?? parameter.Default));
        var run = new RecipeRun(art, setup, values);
        lock (Compiled)
        {
            // What a recipe sees is static: one run at a time.
            World.Begin(run);
            RecipeLoader.Run(recipe);
        }

        return new Outcome(art, run,
            Guardrails.Default.Judge(art, run.Art.Artwork, run.Art.Declared with { LeavesBare = spec.LeavesBare }, setup.Ink, setup.ResolutionFor(art)));
    }

    // Lengths and areas reach a recipe in px; the arts of these tests have 300 ppi, or lengths in px.
    private static string Resolved(string value)
    {
        foreach (var (unit, px) in new[] { ("mm2", 300 * 300 / (25.4 * 25.4)), ("mm", 300 / 25.4), ("in", 300.0), ("px", 1.0) })
        {
            if (value.EndsWith(unit, StringComparison.Ordinal) && double.TryParse(value[..^unit.Length], NumberStyles.Float, CultureInfo.InvariantCulture, out double number))
            {
                return (number * px).ToString("R", CultureInfo.InvariantCulture);
            }
        }

        return value;
    }

    private static (CheckedRecipe, RecipeSpec) CompileShipped(string name) =>
        Compile(name, File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "recipes", name + ".csx")));

    private static (CheckedRecipe, RecipeSpec) Compile(string name, string text)
    {
        var snippets = Directory.EnumerateFiles(Path.Combine(AppContext.BaseDirectory, "snippets"))
            .Select(file => new LoadedText("snippets/" + Path.GetFileName(file), File.ReadAllText(file)));
        var compiled = RecipeCompiler.Compile(new CompileRequest(text, [.. snippets]));
        compiled.Reply.Problems.ShouldBeEmpty();
        MetadataCheck.Check(compiled.Assembly, name + ".csx", out var recipe).ShouldBeEmpty();
        return (recipe!, compiled.Reply.Spec!);
    }
}
