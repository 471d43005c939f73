using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Problems;

namespace Recipes.Hosting.DryRuns;

/// <summary>What a dry run is told beside the run.</summary>
public sealed record DryRunOptions
{
    /// <summary>True: the pictures show the art as it came, whatever its work file holds.</summary>
    public bool Original { get; init; }

    /// <summary>The setup's name or file, as it was given; null for the one that was found.</summary>
    public string? Setup { get; init; }

    /// <summary>The kind of art, as it was given, or null.</summary>
    public string? Kind { get; init; }

    /// <summary>True: an open question is a refusal.</summary>
    public bool Strict { get; init; }

    /// <summary>True: page and report say how long each phase took, and are never twice the same.</summary>
    public bool Timed { get; init; }

    /// <summary>True: folders of a list's recipes are replaced whoever wrote them.</summary>
    public bool Force { get; init; }
}

/// <summary>A dry run whose pictures are drawn.</summary>
/// <param name="Listed">The result.</param>
/// <param name="Fields">The report's fields.</param>
/// <param name="Steps">The folders of a list's recipes.</param>
public sealed record DrawnDryRun(ListResult Listed, JsonObject Fields, IReadOnlyList<DryRunFolder> Steps)
{
    /// <summary>Why its result can't be kept, or null.</summary>
    public Problem? Refusal { get; init; }

    /// <summary>That a recipe ran on this art already and says that a second run does harm, or null.</summary>
    public Problem? Repeat { get; init; }

    /// <summary>All that is to be said of it.</summary>
    public IReadOnlyList<Problem> Problems { get; init; } = [];
}

/// <summary>A try: nothing is kept; the pictures show what would be.</summary>
public static class DryRun
{
    /// <summary>Runs it and draws the pictures.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="run">The run.</param>
    /// <param name="folder">Where to.</param>
    /// <param name="how">What else there is to know.</param>
    /// <exception cref="ProblemException">R4 codes it failed; R8002 a file can't be written.</exception>
    public static DrawnDryRun Make(Shop shop, ReadyRun run, DryRunFolder folder, DryRunOptions how)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(run);
        ArgumentNullException.ThrowIfNull(folder);
        ArgumentNullException.ThrowIfNull(how);
        var listed = run.Run(shop);
        var report = listed.Whole.Report;
        var refusal = RunProblems.Refusal(report) ?? (how.Strict ? RunProblems.Unanswered(report) : null);
        var repeat = how.Original ? null : run.RanAlready;
        var problems = Problems(refusal, run.State, repeat);
        var drawing = new Drawing(problems, how.Timed, Keep: refusal is null && !run.State.SetupIsFallback, how.Force);
        var (fields, steps) = Draw(shop, run, listed, new Into(folder, Inputs(shop, run, folder, how)), drawing);
        return new DrawnDryRun(listed, fields, steps) { Refusal = refusal, Repeat = repeat, Problems = problems };
    }

    private static List<Problem> Problems(Problem? refusal, ArtState state, Problem? repeat) =>
        refusal?.Code == Codes.GuardrailRefused && repeat is not null
            // That it ran already is why a guardrail trips, so that comes first, and with it what to do.
            ? [repeat with { Severity = Severity.Warning, Hint = "Undo that step first." }, refusal, .. RunProblems.Fallback(state)]
            : [.. refusal is null ? Array.Empty<Problem>() : [refusal], .. RunProblems.Fallback(state),
                .. repeat is null ? Array.Empty<Problem>() : [repeat with { Severity = Severity.Warning }]];

    /// <summary>
    /// The first file of another's dry run that isn't, byte for byte, what its recipe does here, or null where all are. It is drawn again where only this user
    /// may look, under the path that the other gave the art, which stands on the page.
    /// </summary>
    /// <param name="shop">The shop.</param>
    /// <param name="run">The run, as found here.</param>
    /// <param name="listed">What it gave.</param>
    /// <param name="folder">The other's folder.</param>
    /// <param name="kept">Its report.</param>
    internal static string? Difference(Shop shop, ReadyRun run, ListResult listed, string folder, DryRunRecord kept)
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
            var problems = Problems(null, run.State, kept.Original ? null : shown.RanAlready);
            Draw(shop, shown, listed, new Into(into, []), new Drawing(problems, Timed: false, Keep: false, Force: false));
            return DryRunFolder.Difference(folder, kept.Report, again);
        }
        finally
        {
            Directory.Delete(again, recursive: true);
        }

        RunResult Named(RunResult result) => result with { Report = result.Report with { Art = identity } };
    }

    // A folder, and what its report says of the files that were read.
    private sealed record Into(DryRunFolder Folder, JsonObject Inputs);

    private sealed record Drawing(IReadOnlyList<Problem> Problems, bool Timed, bool Keep, bool Force);

    // Pictures, pages and report; gives the report's fields, and the folders of a list's recipes.
    private static (JsonObject Fields, List<DryRunFolder> Steps) Draw(Shop shop, ReadyRun run, ListResult listed, Into into, Drawing how)
    {
        var (folder, inputs) = into;
        var result = listed.Whole;
        var fields = new JsonObject();
        ReportJson.AddTo(fields, result.Report);
        fields["outputs"] = folder.Outputs();
        fields["digest"] = run.Digest;
        fields["inputs"] = inputs;
        shop.Cancel.ThrowIfCancellationRequested();
        var steps = new List<DryRunFolder>();
        if (run.Recipes.List is not null)
        {
            fields["steps"] = shop.Progress.During("Drawing the steps", () => shop.Timings.Measure("pictures", () =>
                StepPictures(folder, listed, run.State.File.Path, how.Force, steps)));
        }

        if (listed.Left is { } left)
        {
            fields["findings"] = ReportJson.Of(left);
        }

        // The hash runs row by row, so it has the cores that drawing leaves.
        var hash = Task.Run(() => RunCache.ResultSha256(result.After));
        string resultSha256 = shop.Progress.During("Drawing the pictures", () => shop.Timings.Measure("pictures", () =>
        {
            folder.Draw(result, how.Timed ? shop.Timings : null, run.Recipes.List is null ? shop.Cancel : CancellationToken.None);
            return hash.GetAwaiter().GetResult();
        }));
        fields["resultSha256"] = resultSha256;
        if (how.Keep)
        {
            shop.Timings.Measure("keep", () => RunCache.Put(run.Digest, result, resultSha256));
        }

        // Times are never twice the same, and the folder's files are, unless they are asked for.
        var exit = how.Problems.FirstOrDefault(problem => problem.Severity == Severity.Error)?.Code.Exit ?? ExitCode.Done;
        var answer = ReportJson.Answer("dry-run", exit, how.Problems, fields);
        if (how.Timed)
        {
            answer["milliseconds"] = shop.Timings.ToJson();
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
            string own = Path.Combine(folder.Folder, ReportPage.StepFolder(i + 1, step.Report.Recipe.Name));
            using var pictures = DryRunFolder.Prepare(own, command, force, artPath);
            var fields = new JsonObject();
            ReportJson.AddTo(fields, step.Report);
            fields["outputs"] = pictures.Outputs();
            fields["inputs"] = new JsonObject { ["art"] = pictures.Seen(artPath) };
            pictures.Draw(step);
            pictures.Complete(ReportJson.Answer(command, RunProblems.Refusal(step.Report)?.Code.Exit ?? ExitCode.Done, [], fields));
            folders.Add(pictures);
            steps.Add(fields);
        }

        return steps;
    }

    private static JsonObject Inputs(Shop shop, ReadyRun run, DryRunFolder folder, DryRunOptions how)
    {
        string setup = how.Setup ?? run.State.Setup.Name;
        return new JsonObject
        {
            ["art"] = folder.Seen(run.State.File.Path),
            ["recipe"] = folder.Seen(run.Recipes.Path),
            ["work"] = shop.WorkFolder is { } work ? folder.Seen(work) : null,
            ["setup"] = File.Exists(setup) ? folder.Seen(setup) : setup,
            ["original"] = how.Original,
            ["kind"] = how.Kind,
        };
    }
}
