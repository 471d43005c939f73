using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Cases;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Library;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Problems;

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
        var output = new Option<string>("--out") { Description = "The folder for pictures of failing cases", HelpName = "DIR", DefaultValueFactory = _ => DefaultFolder };
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
            var how = new Testing(session, workers, parse.GetValue(output)!) { Update = parse.GetValue(update), Force = parse.GetValue(force) };
            return Run(how, parse.GetValue(recipe), parse.GetValue(folder));
        });
    }

    private static Outcome Run(Testing how, string? name, string? recipesFolder)
    {
        var list = name is null ? null : RecipeList.Find(name, recipesFolder);
        IEnumerable<Tested?> each = (list, name) switch
        {
            ({ } several, _) => several.Recipes.Select(one =>
                TestReadable(how, one.Name, several.Path, () => ShopRecipes.Read(several, one.Name, recipesFolder))),
            (_, { } one) => [Test(how, ShopRecipes.Read(one, recipesFolder))],
            _ => RecipePath.All(recipesFolder).Select(found => TestReadable(how, found.Name, found.File, () => ReadWithCases(found))),
        };
        Tested[] tested = [.. each.OfType<Tested>()];
        // At the end and all at once: where one can't be written, none is changed.
        AtomicFile.WriteAll([.. tested.SelectMany(test => test.Updated.Values).SelectMany(one => one.Files)]);

        int passed = tested.Sum(test => test.Outcomes.Count(outcome => outcome.Passed)), all = tested.Sum(test => test.Outcomes.Length);
        var fields = new JsonObject
        {
            ["recipes"] = new JsonArray([.. tested.Select(Fields)]),
            ["passed"] = passed,
            ["failed"] = all - passed,
        };
        return new Outcome(fields, text =>
        {
            foreach (var test in tested.Where(test => test.Compiles == true))
            {
                Write(text, test);
            }

            if (tested.Length != 1)
            {
                text.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{tested.Length} recipes, {passed} cases passed, {all - passed} failed."));
            }
        })
        {
            Problems = [.. tested.SelectMany(test => test.Problems)],
        };
    }

    // Null where it has no cases.
    private static RecipeSource? ReadWithCases(FoundRecipe found) => RecipeCase.Files(found.File).Count == 0 ? null : RecipeSource.Read(found.Name, found.File);

    // Of several, whatever is wrong with one recipe or its files, the others are tested all the same.
    private static Tested? TestReadable(Testing how, string name, string file, Func<RecipeSource?> read)
    {
        RecipeSource? source;
        try
        {
            source = read();
        }
        catch (ProblemException e)
        {
            return new Tested(name, file, null, [], [], [], null, e.Problems);
        }

        return source is null ? null : Test(how, source);
    }

    private static Tested Test(Testing how, RecipeSource source)
    {
        var (session, workers, output) = how;
        ReadyRecipe recipe;
        try
        {
            recipe = session.Shop.Compile(source, workers);
        }
        catch (ProblemException e) when (e.Exit == ExitCode.RecipeRefused)
        {
            return new Tested(source.Name, source.Path, source.Sha256, [], [], [], false, e.Problems);
        }

        var outcomes = session.Progress.During($"Testing {source.Name}", () => CaseRunner.Run(recipe, workers, twice: 1, session.Cancel));
        // A result with pixels was read from art that has a sound name.
        string[] originals = [.. outcomes.Where(outcome => outcome.Result is not null).Select(outcome => outcome.Case!.ArtPicture).OfType<string>()];
        var updated = how.Update
            ? outcomes.Where(outcome => !outcome.Passed && outcome.Unsteady.Length == 0)
                .Select(outcome => (outcome.Name, Changes: CaseRunner.Update(outcome, originals))).Where(entry => entry.Changes is not null)
                .ToDictionary(entry => entry.Name, entry => entry.Changes!)
            : [];
        var pictures = new Dictionary<string, string>();
        foreach (var outcome in outcomes.Where(outcome => !outcome.Passed && outcome.Result is not null && !updated.ContainsKey(outcome.Name)))
        {
            pictures[outcome.Name] = Draw(outcome, Path.Combine(output, source.Name, outcome.Name), originals, how.Force);
        }

        var failed = outcomes.Where(outcome => !outcome.Passed && !updated.ContainsKey(outcome.Name)).ToList();
        var unsteady = outcomes.Where(outcome => outcome.Unsteady.Length > 0).SelectMany(outcome => outcome.TwoResults(source.Path).Problems);
        return new Tested(source.Name, source.Path, source.Sha256, outcomes, updated, pictures, true, failed.Count == 0 ? [.. unsteady] :
            [.. unsteady, new Problem(failed.Any(outcome => outcome.Case is not null) ? Codes.CasesFailed : Codes.BadCase,
                string.Create(CultureInfo.InvariantCulture, $"{failed.Count} of {outcomes.Length} test cases failed: {CleanText.Line(string.Join(", ", failed.Select(outcome => outcome.Name)), 300)}."),
                "Mend the recipe, or the case if it is the case that is wrong.", new Place(source.Path))]);
    }

    // What came out, as a dry run shows it; and where pixels were expected, those and how what came out differs from them.
    private static string Draw(CaseOutcome outcome, string folder, string[] originals, bool force)
    {
        var result = outcome.Result!;
        string expected = Path.Combine(folder, "expected.png"), wrong = Path.Combine(folder, "wrong.png");
        foreach (string own in (string[])[expected, wrong])
        {
            AtomicFile.RefuseOriginal(own, originals);
            // Where there is a report, it says whose the folder is.
            if (!force && File.Exists(own) && !File.Exists(Path.Combine(folder, "report.json")))
            {
                throw AtomicFile.Exists(own);
            }
        }

        using var pictures = DryRunFolder.Prepare(folder, "test", force, [outcome.Path, .. originals]);
        var fields = new JsonObject();
        ReportJson.AddTo(fields, result.Report);
        fields["outputs"] = pictures.Outputs();
        fields["inputs"] = new JsonObject { ["art"] = pictures.Seen(outcome.Path) };
        pictures.Draw(result);
        pictures.Complete(ReportJson.Answer("test", ExitCode.TestFailed, [], fields));
        AtomicFile.Delete(expected);
        AtomicFile.Delete(wrong);
        if (outcome.Expected is { } pixels)
        {
            AtomicFile.Write(expected, stream => PngWriter.Write(stream, pixels, result.After.PixelsPerInch));
            if (pixels.Grid == result.After.Grid)
            {
                var difference = DiffPicture.Render(pixels, result.After.Flat, result.Report.Setup.Ink);
                AtomicFile.Write(wrong, stream => PngWriter.Write(stream, difference, result.After.PixelsPerInch));
            }
        }

        return pictures["diff.png"];
    }

    private static void Write(TextWriter text, Tested test)
    {
        int passed = test.Outcomes.Count(outcome => outcome.Passed);
        text.WriteLine(test.Outcomes.IsEmpty
            ? $"{test.Name}: compiles, and has no test cases. docs/testing.md tells how to write one."
            : string.Create(CultureInfo.InvariantCulture, $"{test.Name}: {passed} of {test.Outcomes.Length} cases passed"));
        foreach (var outcome in test.Outcomes.Where(outcome => !outcome.Passed))
        {
            text.WriteLine($"  {outcome.Name}{(outcome.Case?.About is { Length: > 0 } about ? $": {about}" : "")}");
            foreach (string difference in outcome.Differences)
            {
                text.WriteLine($"    {difference}");
            }

            if (test.Updated.TryGetValue(outcome.Name, out var changes))
            {
                text.WriteLine($"    updated: {changes.Fields} in {outcome.Path}");
            }
            else if (test.Pictures.TryGetValue(outcome.Name, out string? picture))
            {
                text.WriteLine($"    see {picture}{(outcome.Expected is null ? "" : ", and expected.png and wrong.png beside it")}");
            }
        }
    }

    private static JsonObject Fields(Tested test) => new()
    {
        ["name"] = test.Name,
        ["file"] = test.File,
        ["sha256"] = test.Sha256,
        ["compiles"] = test.Compiles,
        ["cases"] = new JsonArray([.. test.Outcomes.Select(outcome => new JsonObject
        {
            ["name"] = outcome.Name,
            ["file"] = outcome.Path,
            ["passed"] = outcome.Passed,
            ["differences"] = new JsonArray([.. outcome.Differences.Select(difference => (JsonNode?)difference)]),
            ["updated"] = test.Updated.GetValueOrDefault(outcome.Name)?.Fields,
            ["diff"] = test.Pictures.GetValueOrDefault(outcome.Name),
        })]),
    };

    // What all recipes are tested with.
    private sealed record Testing(Session Session, WorkerPool Workers, string Output)
    {
        public bool Update { get; init; }

        public bool Force { get; init; }
    }

    private sealed record Tested(
        string Name, string File, string? Sha256, ImmutableArray<CaseOutcome> Outcomes, Dictionary<string, CaseUpdate> Updated, Dictionary<string, string> Pictures, bool? Compiles, IReadOnlyList<Problem> Problems);
}
