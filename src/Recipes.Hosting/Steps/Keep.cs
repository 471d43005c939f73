using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Steps;

/// <summary>How a result is kept.</summary>
/// <param name="By">Who keeps it, or null.</param>
public sealed record KeepOptions(string? By)
{
    /// <summary>True: a recipe that says that a second run does harm may be repeated.</summary>
    public bool Again { get; init; }

    /// <summary>True: each recipe of a list is a step of its own.</summary>
    public bool EachStep { get; init; }

    /// <summary>True: nothing is kept while a question is open.</summary>
    public bool Strict { get; init; }

    /// <summary>The digest of the dry run that showed it, or null.</summary>
    public string? DryRun { get; init; }
}

/// <summary>What became of a result that was to be kept.</summary>
/// <param name="Listed">The result.</param>
/// <param name="WorkPath">The work file.</param>
/// <param name="Step">The step that the art is at now.</param>
public sealed record Kept(ListResult Listed, string WorkPath, int Step)
{
    /// <summary>Why it wasn't kept, or null.</summary>
    public Problem? Refusal { get; init; }

    /// <summary>True where a step was added.</summary>
    public bool IsNew { get; init; }

    /// <summary>That the journal doesn't know of it, or null.</summary>
    public Problem? Unnoted { get; init; }
}

/// <summary>Keeps a recipe's result as one step of the work file, or a list's as one step or several.</summary>
public static class Keep
{
    /// <summary>Runs it and keeps what comes out.</summary>
    /// <exception cref="ProblemException">
    /// R4 codes it failed; R6007 it must not run twice; R6003 the work file is in use; R8002 it can't be written.
    /// </exception>
    public static Kept Run(Shop shop, ReadyRun run, string workPath, KeepOptions how)
    {
        ArgumentNullException.ThrowIfNull(run);
        ArgumentNullException.ThrowIfNull(how);
        RefuseRepeat(run, how.Again);
        return Result(shop, run, workPath, run.Run(shop), how);
    }

    /// <summary>
    /// Keeps what a try showed, where art, steps, recipe and setup are still those that it was of: nothing holds a work file between try and keep.
    /// </summary>
    /// <param name="shop">The shop.</param>
    /// <param name="request">What was tried.</param>
    /// <param name="run">The run that was tried.</param>
    /// <param name="listed">What it showed.</param>
    /// <param name="how">How it is kept.</param>
    /// <exception cref="ProblemException">
    /// R6001 something has changed since; R1008 nobody chose the setup; R61 codes: the house demands an approval; R6007 it must not run twice; R6003 the work
    /// file is in use; R8002 it can't be written.
    /// </exception>
    public static Kept Shown(Shop shop, TryRequest request, ReadyRun run, ListResult listed, KeepOptions how)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(run);
        ArgumentNullException.ThrowIfNull(how);
        string path = request.Art.Path;
        bool sameRecipe = shop.Find(request.Recipe with { ToKeep = true }, run.Workers).Identity == run.Recipes.Identity;
        using var open = OpenArt.Of(shop, request.Art, forWriting: true, toWrite: true);
        if (!sameRecipe || !run.State.IsStill(open))
        {
            throw new ProblemException(Codes.StaleDryRun,
                $"{path} isn't any more what was tried: the file, its steps, the recipe or the garment setup have changed since.",
                "Look at it as it is now, and try again.", new Place(path));
        }

        RefuseRepeat(run, how.Again);
        return Result(shop, run with { State = run.State with { Work = open.Work } }, shop.WorkPathOf(path), listed, how);
    }

    /// <summary>Refuses a recipe that is among the art's steps and says that a second run does harm.</summary>
    /// <exception cref="ProblemException">R6007.</exception>
    internal static void RefuseRepeat(ReadyRun run, bool again)
    {
        if (!again && run.RanAlready is { } repeat)
        {
            throw new ProblemException(repeat);
        }
    }

    /// <summary>Keeps a result that is known already.</summary>
    internal static Kept Result(Shop shop, ReadyRun run, string workPath, ListResult listed, KeepOptions how)
    {
        var report = listed.Whole.Report;
        var kept = new Kept(listed, workPath, run.State.Step) { Refusal = RunProblems.Refusal(report) ?? (how.Strict ? RunProblems.Unanswered(report) : null) };
        // A step that changes nothing would outdate exports, cut off what could be redone, and switch the art's setup.
        if (kept.Refusal is not null || report.SettlesNothing)
        {
            return kept;
        }

        shop.Cancel.ThrowIfCancellationRequested();
        var (step, records) = shop.Progress.During("Keeping the step", () => shop.Timings.Measure("keep", () => Commit(shop, run, workPath, listed, how)));
        return kept with { Step = step, IsNew = true, Unnoted = NewSteps.Note(run.State, step, records) };
    }

    private static (int Step, StepRecord[] Records) Commit(Shop shop, ReadyRun run, string workPath, ListResult listed, KeepOptions how)
    {
        var changing = listed.Steps.Where(step => !step.Report.SettlesNothing);
        (StepRecord Record, Artwork)[] steps = how.EachStep && listed.Steps.Length > 0
            ? [.. changing.Select(step => (Record(step.Report, []), step.After))]
            : [(Record(listed.Whole.Report, run.Recipes.Parts), listed.Whole.After)];
        return (NewSteps.Keep(run.State, workPath, steps), [.. steps.Select(step => step.Record)]);

        StepRecord Record(RunReport report, string[] parts)
        {
            var more = new JsonObject { ["dryRun"] = how.DryRun };
            if (parts.Length > 0)
            {
                more["recipes"] = new JsonArray([.. parts.Select(name => (JsonNode?)name)]);
            }

            return NewSteps.Record(shop, run.State.Setup, report, how.By, more);
        }
    }
}
