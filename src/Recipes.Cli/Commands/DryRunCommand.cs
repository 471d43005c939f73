using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>dry-run</c>: a try. Nothing is kept; the pictures show what would be.</summary>
internal static class DryRunCommand
{
    public static Command Create()
    {
        var recipe = Options.RecipeOrList();
        var art = Options.Art();
        var job = new RecipeJob();
        var output = new Option<string?>("--out")
        {
            Description = "The folder for pictures and report [default: FILENAME.dry-run beside ART]", HelpName = "DIR",
        };
        var original = Options.Original();
        var force = Options.Force();
        var command = new Command("dry-run", "Tries a recipe without touching anything, and shows what it would change") { recipe, art, output, original, force };
        job.AddTo(command);
        return command.With("recipes dry-run printable-whites puffin.png --setup light-garment", session =>
        {
            var parse = session.Parse;
            string path = parse.GetRequiredValue(art);
            bool asItCame = parse.GetValue(original);
            return ReadyRun.Find(session, job, parse.GetRequiredValue(recipe), path, asItCame, toKeep: false,
                run => Run(session, job, run, path, parse.GetValue(output), asItCame, parse.GetValue(force)));
        });
    }

    private static Outcome Run(Session session, RecipeJob job, ReadyRun run, string artPath, string? output, bool original, bool force)
    {
        using var folder = DryRunFolder.Prepare(output ?? DefaultFolder(artPath, "dry-run"), "dry-run", force, artPath);
        var listed = run.Run(session);
        var (setup, result) = (run.Setup, listed.Whole);
        var refusal = RecipeJob.Refusal(result.Report) ?? job.Unanswered(session, result.Report);
        var repeat = original ? null : run.RanAlready;
        var problems = Problems(refusal, setup, repeat);
        bool timed = session.Parse.GetValue(job.Timings);
        string setupName = session.Setup(job.Setup) ?? setup.Setup.Name;
        var inputs = Inputs(session, folder, run.Path, artPath, setupName, original, session.Parse.GetValue(job.Kind));
        var (fields, steps) = Draw(session, run, listed, folder, inputs, new Drawing(problems, timed, Keep: refusal is null && !setup.IsFallback, force));
        fields["milliseconds"] = session.Timings.ToJson();
        return new Outcome(fields, text =>
        {
            RunText.Write(text, result.Report);
            RunText.Left(text, listed.Left);
            foreach (var (step, pictures) in listed.Steps.Select(step => step.Report).Zip(steps))
            {
                text.WriteLine($"  {step.Recipe.Name}: {RunText.Changed(step)}{(step.Refused ? ", refused" : "")}, see {pictures["report.html"]}");
            }

            string picture = folder[result.Report.Changed is null ? "after.png" : "diff.png"];
            text.WriteLine($"{(refusal is null ? "A try: nothing was kept." : result.Report.Refused ? "A guardrail refused this." : "A question is open.")} Look at {folder["report.html"]}, or {picture}.");
            if (result.Report.SettlesNothing)
            {
                text.WriteLine("Nothing to keep: the recipe changes nothing here.");
            }
            else if (refusal is null && setup.IsFallback)
            {
                text.WriteLine("To keep it, run it again with --setup NAME.");
            }
            else if (refusal is null)
            {
                text.WriteLine($"Keep it with: recipes commit --dry-run {ShellWord.Of(folder.Folder)}{(repeat is null ? "" : " --again")}");
            }

            if (timed)
            {
                session.Timings.Write(text);
            }
        })
        {
            Problems = problems,
        };
    }

    private static List<Problem> Problems(Problem? refusal, ChosenSetup setup, Problem? repeat) =>
        refusal?.Code == Codes.GuardrailRefused && repeat is not null
            // That it ran already is why a guardrail trips, so that comes first, and with it what to do.
            ? [repeat with { Severity = Severity.Warning, Hint = "Undo that step first." }, refusal, .. RecipeJob.FallbackWarning(setup)]
            : [.. Session.Warnings(refusal), .. RecipeJob.FallbackWarning(setup),
                .. Session.Warnings(repeat is null ? null : repeat with { Severity = Severity.Warning })];

    /// <summary>
    /// The first file of another's dry run that isn't, byte for byte, what its recipe does here, or null where all are. It is drawn again where only this user
    /// may look, under the path that the other gave the art, which stands on the page.
    /// </summary>
    /// <param name="session">The command.</param>
    /// <param name="run">The run, as found here.</param>
    /// <param name="listed">What it gave.</param>
    /// <param name="folder">The other's folder.</param>
    /// <param name="kept">Its report.</param>
    public static string? Difference(Session session, ReadyRun run, ListResult listed, string folder, KeptDryRun kept)
    {
        if (kept.Report.Object("art").Text("path") is not { } path || Path.GetFileName(path) != Path.GetFileName(kept.Art))
        {
            return "report.json";
        }

        var identity = run.State.Identity with { Path = path };
        var shown = run with { State = run.State with { File = new ArtFile(path, run.State.File.Bytes, run.State.File.Sha256) } };
        listed = listed with { Whole = Named(listed.Whole), Steps = [.. listed.Steps.Select(Named)] };
        string again = Directory.CreateTempSubdirectory("recipes-dry-run-").FullName;
        try
        {
            using var into = DryRunFolder.Prepare(again, "dry-run", force: false, run.State.File.Path);
            var problems = Problems(null, run.Setup, kept.Original ? null : shown.RanAlready);
            Draw(session, shown, listed, into, [], new Drawing(problems, Timed: false, Keep: false, Force: false));
            return DryRunFolder.Difference(folder, kept.Report, again);
        }
        finally
        {
            Directory.Delete(again, recursive: true);
        }

        RunResult Named(RunResult result) => result with { Report = result.Report with { Art = identity } };
    }

    private sealed record Drawing(IReadOnlyList<Problem> Problems, bool Timed, bool Keep, bool Force);

    // Pictures, pages and report; gives the report's fields, and the folders of a list's recipes.
    private static (JsonObject Fields, List<DryRunFolder> Steps) Draw(
        Session session, ReadyRun run, ListResult listed, DryRunFolder folder, JsonObject inputs, Drawing how)
    {
        var result = listed.Whole;
        var fields = new JsonObject();
        ReportJson.AddTo(fields, result.Report);
        fields["outputs"] = folder.Outputs();
        fields["digest"] = run.Digest;
        fields["inputs"] = inputs;
        session.Cancel.ThrowIfCancellationRequested();
        var steps = new List<DryRunFolder>();
        if (run.List is not null)
        {
            fields["steps"] = session.Progress.During("Drawing the steps", () => session.Timings.Measure("pictures", () =>
                StepPictures(folder, listed, run.State.File.Path, how.Force, steps)));
        }

        if (listed.Left is { } left)
        {
            fields["findings"] = ReportJson.Of(left);
        }

        // The hash runs row by row, so it has the cores that drawing leaves.
        var hash = Task.Run(() => KeptRun.ResultSha256(result.After));
        string resultSha256 = session.Progress.During("Drawing the pictures", () => session.Timings.Measure("pictures", () =>
        {
            folder.Draw(result, how.Timed ? session.Timings : null, run.List is null ? session.Cancel : CancellationToken.None);
            return hash.GetAwaiter().GetResult();
        }));
        fields["resultSha256"] = resultSha256;
        if (how.Keep)
        {
            session.Timings.Measure("keep", () => KeptRun.Put(run.Digest, result, resultSha256));
        }

        // Times are never twice the same, and the folder's files are, unless they are asked for.
        var exit = how.Problems.FirstOrDefault(problem => problem.Severity == Severity.Error)?.Code.Exit ?? ExitCode.Done;
        var answer = ReportJson.Answer("dry-run", exit, how.Problems, fields);
        if (how.Timed)
        {
            answer["milliseconds"] = session.Timings.ToJson();
        }

        folder.CompleteSealed(answer, steps);
        return (fields, steps);
    }

    // Each recipe of a list has a folder of pictures of its own, numbered in order.
    private static JsonArray StepPictures(DryRunFolder folder, ListResult listed, string artPath, bool force, List<DryRunFolder> folders)
    {
        const string command = "dry-run step";
        var steps = new JsonArray();
        foreach (var (i, step) in listed.Steps.Index())
        {
            using var pictures = DryRunFolder.Prepare(Path.Combine(folder.Folder, ReportPage.StepFolder(i + 1, step.Report.Recipe.Name)), command, force, artPath);
            var fields = new JsonObject();
            ReportJson.AddTo(fields, step.Report);
            fields["outputs"] = pictures.Outputs();
            fields["inputs"] = new JsonObject { ["art"] = pictures.Seen(artPath) };
            pictures.Draw(step);
            pictures.Complete(ReportJson.Answer(command, RecipeJob.Refusal(step.Report)?.Code.Exit ?? ExitCode.Done, [], fields));
            folders.Add(pictures);
            steps.Add(fields);
        }

        return steps;
    }

    private static JsonObject Inputs(
        Session session, DryRunFolder folder, string recipePath, string artPath, string setup, bool original, string? kind) => new()
    {
        ["art"] = folder.Seen(artPath),
        ["recipe"] = folder.Seen(recipePath),
        ["work"] = session.WorkFolder is { } work ? folder.Seen(work) : null,
        ["setup"] = File.Exists(setup) ? folder.Seen(setup) : setup,
        ["original"] = original,
        ["kind"] = kind,
    };

    /// <summary><c>FILENAME.dry-run</c> beside the art, where its work file is <c>FILENAME.work</c>: kids.jpg and kids.png share neither.</summary>
    public static string DefaultFolder(string artPath, string kind) => $"{artPath}.{kind}";
}
