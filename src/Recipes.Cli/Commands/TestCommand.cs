using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Hosting.Cases;
using Recipes.Hosting.Workers;

namespace Recipes.Cli.Commands;

/// <summary><c>test</c>: runs the test cases that lie beside recipes.</summary>
internal static class TestCommand
{
    private const string DefaultFolder = "recipes.test";

    public static Command Create()
    {
        var recipe = new Argument<string?>("RECIPE")
        {
            HelpName = "RECIPE", Description = "A recipe's or list's name, or a .csx or .recipes file [default: all recipes that have cases]",
            Arity = ArgumentArity.ZeroOrOne, CompletionSources = { Names.RecipesAndLists },
        };
        var output = new Option<string>("--out")
        {
            Description = "The folder for pictures of failing cases", HelpName = "DIR", DefaultValueFactory = _ => DefaultFolder,
        };
        var update = new Option<bool>("--update") { Description = "Make failing cases expect what came out, and say what changed" };
        var folder = Options.RecipesFolder();
        var force = Options.Force();
        var time = Options.TimeLimit();
        var memory = Options.MemoryLimit();
        var command = new Command("test", "Runs the test cases that lie beside a recipe, or beside those of a list")
        {
            recipe, output, update, folder, force, time, memory,
        };
        return command.With("recipes test printable-whites", session =>
        {
            var parse = session.Parse;
            using var workers = new WorkerPool(Options.ReadLimits(parse.GetValue(time), parse.GetValue(memory)));
            return Told(TestRecipes.Run(session.Shop, new TestRequest(parse.GetValue(output)!)
            {
                Recipe = parse.GetValue(recipe), RecipesFolder = parse.GetValue(folder), Update = parse.GetValue(update), Force = parse.GetValue(force),
            }, workers));
        });
    }

    private static Outcome Told(ImmutableArray<TestedRecipe> tested)
    {
        int passed = tested.Sum(recipe => recipe.Passed), failed = tested.Sum(recipe => recipe.Cases.Length) - passed;
        var fields = new JsonObject { ["recipes"] = new JsonArray([.. tested.Select(Fields)]), ["passed"] = passed, ["failed"] = failed };
        return new Outcome(fields, text =>
        {
            foreach (var recipe in tested.Where(recipe => recipe.Compiles == true))
            {
                Write(text, recipe);
            }

            if (tested.Length != 1)
            {
                text.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{tested.Length} recipes, {passed} cases passed, {failed} failed."));
            }
        })
        {
            Problems = [.. tested.SelectMany(recipe => recipe.Problems)],
        };
    }

    private static void Write(TextWriter text, TestedRecipe tested)
    {
        text.WriteLine(tested.Cases.IsEmpty
            ? $"{tested.Name}: compiles, and has no test cases. docs/testing.md tells how to write one."
            : string.Create(CultureInfo.InvariantCulture, $"{tested.Name}: {tested.Passed} of {tested.Cases.Length} cases passed"));
        foreach (var one in tested.Cases.Where(one => !one.Outcome.Passed))
        {
            var outcome = one.Outcome;
            text.WriteLine($"  {outcome.Name}{(outcome.Case?.About is { Length: > 0 } about ? $": {about}" : "")}");
            foreach (string difference in outcome.Differences)
            {
                text.WriteLine($"    {difference}");
            }

            if (one.Updated is { } changes)
            {
                text.WriteLine($"    updated: {changes.Fields} in {outcome.Path}");
            }
            else if (one.Picture is { } picture)
            {
                text.WriteLine($"    see {picture}{(outcome.Expected is null ? "" : ", and expected.png and wrong.png beside it")}");
            }
        }
    }

    private static JsonObject Fields(TestedRecipe tested) => new()
    {
        ["name"] = tested.Name,
        ["file"] = tested.File,
        ["sha256"] = tested.Sha256,
        ["compiles"] = tested.Compiles,
        ["cases"] = new JsonArray([.. tested.Cases.Select(one => new JsonObject
        {
            ["name"] = one.Outcome.Name,
            ["file"] = one.Outcome.Path,
            ["passed"] = one.Outcome.Passed,
            ["differences"] = new JsonArray([.. one.Outcome.Differences.Select(difference => (JsonNode?)difference)]),
            ["updated"] = one.Updated?.Fields,
            ["diff"] = one.Picture,
        })]),
    };
}
