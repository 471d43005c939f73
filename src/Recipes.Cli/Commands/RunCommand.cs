using System.CommandLine;
using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Hosting;
using Recipes.Imaging;
using Recipes.Problems;
using Serilog;

namespace Recipes.Cli.Commands;

/// <summary><c>run</c>: many files through one recipe, without work files, several at a time.</summary>
internal static class RunCommand
{
    private const long LongestRecord = 64_000_000;
    private static readonly JsonSerializerOptions Indented = new() { WriteIndented = true, NewLine = "\n" };

    public static Command Create()
    {
        var recipe = Options.Recipe();
        var art = new Argument<string[]>("ART") { Description = "The pictures", Arity = ArgumentArity.OneOrMore };
        var output = new Option<string>("--output", "-o") { Description = "The folder for STEM.png and STEM.json of each picture", HelpName = "DIR", Required = true };
        var force = Options.Force();
        var job = new RecipeJob();
        var command = new Command("run", "Runs a recipe on many files at once and writes the results elsewhere") { recipe, art, output, force };
        job.AddTo(command);
        return command.With("recipes run clean-background orders/*.png -o printed --setup light-garment", session => Run(
            session, job, session.Parse.GetRequiredValue(recipe), session.Parse.GetRequiredValue(art), session.Parse.GetRequiredValue(output), session.Parse.GetValue(force)));
    }

    private static Outcome Run(Session session, RecipeJob job, string recipeName, string[] arts, string folder, bool force)
    {
        using var workers = job.Workers(session);
        var guardrails = Options.ReadGuards(session.Parse.GetValue(job.Guard)!);
        RefuseEqualStems(arts);
        var setup = ChosenSetup.Find(session.Parse.GetValue(job.Setup), null).Required();
        string[] sets = session.Parse.GetValue(job.Set)!;
        var recipe = session.FindRecipeToKeep(recipeName, session.Parse.GetValue(job.RecipesFolder), workers);
        // A parameter that no file could be run with is refused before the first one.
        ParameterValues.Resolve(recipe.Spec, sets, setup.Setup.PixelsPerInch, setup.Setup);
        AtomicFile.CreateFolder(folder);
        workers.Expect("decode", arts.Length);
        workers.Expect("run", arts.Length);

        var done = new Item?[arts.Length];
        try
        {
            session.Progress.Counting($"Running {recipe.Source.Name}", arts.Length, count =>
                Parallel.For(0, arts.Length, new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = session.Cancel }, i =>
                {
                    done[i] = One(session, recipe, setup, sets, guardrails, workers, arts[i], folder, force);
                    count();
                }));
        }
        catch (Exception e) when (session.Cancel.IsCancellationRequested && e is OperationCanceledException or AggregateException)
        {
            Log.Debug(e, "Interrupted");
        }

        Item[] items = [.. done.OfType<Item>()];
        var failed = items.Where(item => item.Problems.Count > 0).ToList();
        int written = items.Length - failed.Count;
        var fields = new JsonObject
        {
            ["recipe"] = new JsonObject { ["name"] = recipe.Identity.Name, ["version"] = recipe.Identity.Version, ["sha256"] = recipe.Identity.Sha256, ["title"] = recipe.Identity.Title },
            ["setup"] = SetupJson.ToJson(setup.Setup),
            ["items"] = new JsonArray([.. items.Select(item => item.Json)]),
            ["milliseconds"] = session.Timings.ToJson(),
        };
        return new Outcome(fields, text =>
        {
            foreach (var item in items)
            {
                text.WriteLine(item.Problems.Count > 0
                    ? $"{item.Art}: not written"
                    : $"{item.Art}: {RunText.N(item.Changed)} px changed, wrote {item.Output}");
            }

            text.WriteLine($"{RunText.N(written)} of {RunText.N(arts.Length)} written to {folder}.");
            if (session.Parse.GetValue(job.Timings))
            {
                session.Timings.Write(text);
            }
        })
        {
            // The first failed file's problem comes first, and so decides the exit code.
            Problems =
            [
                .. session.Cancel.IsCancellationRequested
                    ? new[] { new Problem(Codes.Interrupted, $"Interrupted: {written} of {arts.Length} were written.", "Run it again for the others.") } : [],
                .. failed.SelectMany(item => item.Problems),
            ],
        };
    }

    private sealed record Item(string Art, string? Output, long Changed, IReadOnlyList<Problem> Problems, JsonObject Json);

    private static Item One(
        Session session, ReadyRecipe recipe, ChosenSetup setup, string[] sets, Guardrails guardrails, Workers workers, string artPath, string folder, bool force)
    {
        var timings = new Timings();
        string stem = Path.GetFileNameWithoutExtension(artPath), picture = Path.Combine(folder, stem + ".png"), record = Path.Combine(folder, stem + ".json");
        var fields = new JsonObject
        {
            ["art"] = new JsonObject { ["path"] = artPath },
            ["inputs"] = new JsonObject { ["art"] = Path.GetRelativePath(Path.GetFullPath(folder), Path.GetFullPath(artPath)) },
        };
        bool ours = false;
        try
        {
            RefuseForeignOutput(artPath, picture, record, force);
            ours = true;
            var file = timings.Measure("read", () => ArtFile.Read(artPath));
            var state = timings.Measure("decode", () => ArtState.Find(file, null, setup, true, workers, session.Cancel));
            var values = ParameterValues.Resolve(recipe.Spec, sets, setup.Setup.ResolutionFor(state.Art), setup.Setup);
            var result = timings.Measure("run", () => new RecipeRunner(workers, guardrails, session.Cancel).Run(recipe, state, values));
            ReportJson.AddTo(fields, result.Report);
            if (RecipeJob.Refusal(result.Report) is { } refusal)
            {
                return Failed([refusal]);
            }

            // An unfinished record first, so that a picture without its own record never passes for a good one.
            Record(false, [new Problem(Codes.Interrupted, "The picture was not finished.", "Run it again.", new Place(artPath))]);
            timings.Measure("write", () => AtomicFile.Write(picture, stream => PngWriter.Write(stream, result.After.Flat, result.After.PixelsPerInch)));
            fields["outputs"] = new JsonObject { ["file"] = picture, ["report"] = record };
            fields["milliseconds"] = timings.ToJson();
            Record(true, []);
            session.Timings.Add(timings);
            return new Item(artPath, picture, result.Report.Changed?.Pixels ?? 0, [], ReportJson.Answer("run", ExitCode.Done, [], fields));
        }
        catch (ProblemException e)
        {
            Log.Debug(e, "A file failed");
            return Failed(e.Problems);
        }
#pragma warning disable CA1031 // One file's fault must not take the others' results with it.
        catch (Exception e) when (e is not OperationCanceledException)
#pragma warning restore CA1031
        {
            Log.Error(e, "A fault of the program");
            return Failed([new Problem(Codes.Fault, $"A fault of the program: {CleanText.Line(e.Message, 300)}", "Please report it; --verbose shows more.", new Place(artPath))]);
        }

        Item Failed(IReadOnlyList<Problem> problems)
        {
            // What an earlier run left must not pass for this one's result; where there is nothing, nothing is left.
            if (ours && (File.Exists(picture) || File.Exists(record)))
            {
                try
                {
                    Record(false, problems);
                }
                catch (ProblemException e)
                {
                    Log.Debug(e, "The failure couldn't be recorded");
                }
            }

            return new Item(artPath, null, 0, problems, ReportJson.Answer("run", problems[0].Code.Exit, problems, fields));
        }

        // A record that isn't good leaves no picture beside it.
        void Record(bool keepPicture, IReadOnlyList<Problem> problems)
        {
            var answer = ReportJson.Answer("run", problems.Count == 0 ? ExitCode.Done : problems[0].Code.Exit, problems, fields);
            AtomicFile.Write(record, stream => JsonSerializer.Serialize(stream, answer, Indented));
            if (!keepPicture)
            {
                AtomicFile.Delete(picture);
            }
        }
    }

    private static void RefuseEqualStems(string[] arts)
    {
        var equal = arts.GroupBy(Path.GetFileNameWithoutExtension, StringComparer.OrdinalIgnoreCase).FirstOrDefault(group => group.Count() > 1);
        if (equal is not null)
        {
            throw new ProblemException(Codes.SameOutput, $"{string.Join(" and ", equal)} would both give {equal.Key}.png.", "Rename one of them, or run them into different folders.");
        }
    }

    // What an earlier run of the same art wrote may be replaced; anything else may not.
    private static void RefuseForeignOutput(string artPath, string picture, string record, bool force)
    {
        AtomicFile.RefuseOriginal(picture, artPath);
        AtomicFile.RefuseOriginal(record, artPath);
        if (force || (!File.Exists(picture) && !File.Exists(record)))
        {
            return;
        }

        if (!IsOurs(record, artPath))
        {
            throw AtomicFile.Exists(File.Exists(picture) ? picture : record);
        }
    }

    private static bool IsOurs(string record, string artPath) =>
        OutsideJson.ReadFile(record, LongestRecord) is { } json && json.Text("command") == "run"
        && OutsideJson.PathFrom(Path.GetDirectoryName(Path.GetFullPath(record))!, json.Object("inputs").Text("art")) == Path.GetFullPath(artPath);
}
