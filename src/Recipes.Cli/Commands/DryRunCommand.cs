using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting;
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
        var output = new Option<string?>("--out") { Description = "The folder for pictures and report [default: STEM.dry-run beside ART]", HelpName = "DIR" };
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
        List<Problem> problems = [.. refusal is null ? Array.Empty<Problem>() : [refusal], .. RecipeJob.FallbackWarning(setup), .. repeat is null ? Array.Empty<Problem>() : [repeat with { Severity = Severity.Warning }]];
        string digest = run.Digest;
        var fields = new JsonObject();
        ReportJson.AddTo(fields, result.Report);
        fields["outputs"] = folder.Outputs();
        fields["digest"] = digest;
        fields["inputs"] = Inputs(session, folder, run.Path, artPath, session.Parse.GetValue(job.Setup) ?? setup.Setup.Name, original);
        fields["inputs"]!["kind"] = session.Parse.GetValue(job.Kind);
        session.Cancel.ThrowIfCancellationRequested();
        var steps = run.List is null ? [] : session.Progress.During("Drawing the steps", () => session.Timings.Measure("pictures", () => StepPictures(folder, listed, artPath, force)));
        if (run.List is not null)
        {
            fields["steps"] = new JsonArray([.. steps.Select(step => step.Fields)]);
        }

        if (listed.Left is { } left)
        {
            fields["findings"] = ReportJson.Of(left);
        }

        // The hash runs row by row, so it has the cores that drawing leaves.
        bool timed = session.Parse.GetValue(job.Timings);
        var hash = Task.Run(() => KeptRun.ResultSha256(result.After));
        string resultSha256 = session.Progress.During("Drawing the pictures", () => session.Timings.Measure("pictures", () =>
        {
            folder.Draw(result, timed ? session.Timings : null, run.List is null ? session.Cancel : CancellationToken.None);
            return hash.GetAwaiter().GetResult();
        }));
        fields["resultSha256"] = resultSha256;
        if (refusal is null && !setup.IsFallback)
        {
            session.Timings.Measure("keep", () => KeptRun.Put(digest, result, resultSha256));
        }

        // Times are never twice the same, and the folder's files are, unless they are asked for.
        var answer = ReportJson.Answer("dry-run", refusal?.Code.Exit ?? ExitCode.Done, problems, fields);
        fields["milliseconds"] = session.Timings.ToJson();
        if (timed)
        {
            answer["milliseconds"] = session.Timings.ToJson();
        }

        folder.Complete(answer);
        return new Outcome(fields, text =>
        {
            RunText.Write(text, result.Report);
            RunText.Left(text, listed.Left);
            foreach (var (step, pictures, _) in steps)
            {
                text.WriteLine($"  {step.Recipe.Name}: {RunText.Changed(step)}{(step.Refused ? ", refused" : "")}, see {pictures["report.html"]}");
            }

            string picture = folder[result.Report.Changed is null ? "after.png" : "diff.png"];
            text.WriteLine($"{(refusal is null ? "A try: nothing was kept." : result.Report.Refused ? "A guardrail refused this." : "A question is open.")} Look at {folder["report.html"]}, or {picture}.");
            if (result.Report.ChangesNothing)
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

    // Each recipe of a list has a folder of pictures of its own, numbered in order.
    private static List<(RunReport Report, DryRunFolder Pictures, JsonObject Fields)> StepPictures(DryRunFolder folder, ListResult listed, string artPath, bool force)
    {
        const string command = "dry-run step";
        var steps = new List<(RunReport, DryRunFolder, JsonObject)>();
        foreach (var (i, step) in listed.Steps.Index())
        {
            using var pictures = DryRunFolder.Prepare(Path.Combine(folder.Folder, DryRunFolder.StepFolder(i + 1, step.Report.Recipe.Name)), command, force, artPath);
            var fields = new JsonObject();
            ReportJson.AddTo(fields, step.Report);
            fields["outputs"] = pictures.Outputs();
            fields["inputs"] = new JsonObject { ["art"] = pictures.Seen(artPath) };
            pictures.Draw(step);
            pictures.Complete(ReportJson.Answer(command, RecipeJob.Refusal(step.Report)?.Code.Exit ?? ExitCode.Done, [], fields));
            steps.Add((step.Report, pictures, fields));
        }

        return steps;
    }

    private static JsonObject Inputs(Session session, DryRunFolder folder, string recipePath, string artPath, string setup, bool original) => new()
    {
        ["art"] = folder.Seen(artPath),
        ["recipe"] = folder.Seen(recipePath),
        ["work"] = session.WorkFolder is { } work ? folder.Seen(work) : null,
        ["setup"] = File.Exists(setup) ? folder.Seen(setup) : setup,
        ["original"] = original,
    };

    /// <summary><c>STEM.dry-run</c> beside the art.</summary>
    public static string DefaultFolder(string artPath, string kind) =>
        Path.Combine(Path.GetDirectoryName(artPath) ?? "", $"{Path.GetFileNameWithoutExtension(artPath)}.{kind}");
}
