using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Cli.Commands;

/// <summary><c>commit</c>: keeps a recipe's result as one step of the work file.</summary>
internal static class CommitCommand
{
    public static Command Create()
    {
        var recipe = Options.RecipeOrList();
        recipe.Arity = ArgumentArity.ZeroOrOne;
        var art = Options.Art();
        art.Arity = ArgumentArity.ZeroOrOne;
        var job = new RecipeJob();
        var dryRun = new Option<string?>("--dry-run") { Description = "Keep exactly what the dry run in DIR showed, or refuse where anything has changed since", HelpName = "DIR" };
        var again = new Option<bool>("--again") { Description = "Repeat a recipe that says that a second run does harm" };
        var steps = new Option<bool>("--steps") { Description = "Keep each recipe of a list as a step of its own" };
        var by = Options.By();
        var command = new Command("commit", "Keeps a recipe's result as one step, which undo takes back") { recipe, art, dryRun, again, steps, by };
        job.AddTo(command);
        return command.With("recipes commit printable-whites puffin.png --setup light-garment --by night-shift", session =>
        {
            var parse = session.Parse;
            var how = new Keeping(session.By(by), parse.GetValue(again), parse.GetValue(steps), parse.GetValue(job.Timings));
            return (parse.GetValue(dryRun), parse.GetValue(recipe), parse.GetValue(art)) switch
            {
                ({ } folder, var named, null) => KeepDryRun(session, job, folder, named, how),
                (null, { } name, { } path) => ReadyRun.Find(session, job, name, path, original: false, toKeep: true, run =>
                {
                    RefuseRepeat(run, how.Again);
                    return Keep(session, job, run, WorkPath.Of(path, session.WorkFolder), run.Run(session), how);
                }),
                _ => throw new ProblemException(Codes.BadUsage, "'commit' takes a RECIPE and an ART, or --dry-run DIR, with the ART alone where you name it.",
                    "For instance: recipes commit printable-whites puffin.png"),
            };
        });
    }

    private sealed record Keeping(string? By, bool Again, bool EachStep, bool Timings, string? DryRun = null);

    private static Outcome KeepDryRun(Session session, RecipeJob job, string folder, string? namedArt, Keeping how)
    {
        var kept = DryRunFolder.Read(folder);
        if (session.Parse.GetValue(job.Set)!.Length + session.Parse.GetValue(job.Guard)!.Length > 0 || session.Setup(job.Setup) is not null)
        {
            throw new ProblemException(Codes.BadUsage, "'commit --dry-run' keeps what the dry run showed; it takes no --set, --setup or --guard.", "Run the dry run again with other values.");
        }

        RefuseElsewhere(session, job, folder, kept, namedArt);
        using var workers = job.Workers(session);
        string artPath = Path.GetRelativePath(Directory.GetCurrentDirectory(), kept.Art);
        var file = session.ReadArt(artPath);
        string workPath = WorkPath.Of(artPath, session.WorkFolder ?? kept.WorkFolder);
        using var work = session.Timings.Measure("work file", () => WorkFile.Open(workPath, forWriting: true));
        if (work?.Setups.SelectMany(name => work.Line(name).Steps).LastOrDefault(step => step.State == StepState.Done && KeptSteps.DryRunOf(step.Record) == kept.Digest) is { } done)
        {
            throw new ProblemException(Codes.StaleDryRun, $"This dry run has been kept already, as step {done.Number} of {artPath}.",
                "Nothing is left to do. Where the recipe is to run once more, run the dry run again and look at it before you commit.", new Place(folder));
        }

        workers.Expect(file.Reader, work is null ? 1 : 0);
        if (work is null && file.Sha256 != kept.ArtSha256)
        {
            throw Stale();
        }

        // A dry run on a setup that nobody chose shows, but is never kept. An edited flag changes the digest.
        if (kept.SetupIsFallback)
        {
            throw new ProblemException(Codes.NoSetupChosen, $"The dry run shows '{CleanText.Line(kept.Setup, 80)}', a garment setup that nobody chose.",
                "Run the dry run again with --setup NAME, and keep that one; 'recipes setups' lists them.", new Place(folder));
        }

        var setup = new ChosenSetup(Fresh(() => ChosenSetup.Named(work, kept.Setup)), false);
        string recipePath = Path.GetRelativePath(Directory.GetCurrentDirectory(), kept.Recipe);
        var ready = recipePath.EndsWith(RecipeList.Ending, StringComparison.Ordinal)
            ? Fresh(() => session.FindList(RecipeList.Find(recipePath, null)!, null, kept.Sets, toKeep: true, workers)) : null;
        var recipe = ready is null ? Fresh(() => session.FindRecipeToKeep(recipePath, null, workers)) : null;
        var state = session.FindState(file, work, setup, kept.Original && work is null, workers).As(Fresh(() => Options.ReadKind(kept.Kind)));
        var values = Fresh(() => ready?.Given(state) ?? ParameterValues.Resolve(recipe!.Spec, kept.Sets, setup.Setup.ResolutionFor(state.Art), setup.Setup));
        var guardrails = Fresh(() => Options.ReadGuards(kept.Guards));
        var run = new ReadyRun(ready, ready?.Recipes ?? [recipe!], state, setup, values, guardrails, workers);
        if (run.Digest != kept.Digest)
        {
            throw Stale();
        }

        RefuseRepeat(run, how.Again);
        return Keep(session, job, run, workPath, Shown(session, run, folder, kept, how.EachStep), how with { DryRun = kept.Digest }).TellFirst(state);

        // What can't be found, read or compiled any more has changed since the dry run.
        static T Fresh<T>(Func<T> find)
        {
            try
            {
                return find();
            }
            catch (ProblemException e) when (e.Exit is ExitCode.Usage or ExitCode.RecipeRefused)
            {
                throw Stale(e);
            }
        }
    }

    // What the folder showed. Of this user's own, the whole lies in their cache; a list's single steps are computed again. What another wrote is all
    // computed again: pictures and page of another run could lie there.
    private static ListResult Shown(Session session, ReadyRun run, string folder, KeptDryRun kept, bool eachStep)
    {
        bool own = session.Timings.Measure("seal", () => kept.IsOwn.GetAwaiter().GetResult());
        var held = !own || (eachStep && run.List is not null) ? null
            : session.Timings.Measure("take", () => KeptRun.Get(kept.Digest, run.List?.Identity ?? run.Recipes[0].Identity, run.State, run.Values));
        var result = held is { } known ? new ListResult(known.Result, []) : run.Run(session);
        if ((held?.Sha256 ?? KeptRun.ResultSha256(result.Whole.After)) != kept.ResultSha256)
        {
            throw Stale();
        }

        string? odd = own ? null : result.Whole.Report.Refused ? "report.json" : DryRunCommand.Difference(session, run, result, folder, kept);
        return odd is null ? result : throw new ProblemException(
            Codes.StaleDryRun, $"The dry run shows something else than what would be kept: its {odd} isn't what the recipe gives here.",
            "Run the dry run again and look at it before you commit.", new Place(Path.Combine(folder, odd)));
    }

    // Whoever wrote the folder may have named any file of this user's. What they name must lie with the folder, or be named here too.
    private static void RefuseElsewhere(Session session, RecipeJob job, string folder, KeptDryRun kept, string? namedArt)
    {
        if (namedArt is not null && !RealPath.Same(namedArt, kept.Art))
        {
            throw new ProblemException(
                Codes.BadUsage, $"The dry run in {folder} is one of {kept.Art}, not of {namedArt}.",
                "Name the art that it shows, or none.", new Place(namedArt));
        }

        string around = Path.GetDirectoryName(Path.GetFullPath(Path.TrimEndingDirectorySeparator(folder))) ?? folder;
        string[] shelves = [around, .. RecipePath.Folders(session.Parse.GetValue(job.RecipesFolder))];
        (string What, string? File, string[] Where, string Hint)[] named =
        [
            ("art", namedArt is null ? kept.Art : null, [around], $"If you mean it, name it yourself: recipes commit --dry-run {ShellWord.Of(folder)} ART."),
            ("recipe", kept.Recipe, shelves, "Put it on the recipe path, or run the dry run yourself and look at it."),
            ("garment setup", Path.IsPathRooted(kept.Setup) ? kept.Setup : null, [around], "Run the dry run yourself with --setup FILE, and look at it."),
            ("folder of work files", session.WorkFolder is null ? kept.WorkFolder : null, [around], "If you mean it, name it yourself with --work DIR."),
            ("work file", namedArt is null && session.WorkFolder is null ? WorkPath.Of(kept.Art, kept.WorkFolder) : null, [around],
                $"If you mean it, name the art yourself: recipes commit --dry-run {ShellWord.Of(folder)} ART."),
        ];
        foreach (var (what, file, where, hint) in named)
        {
            if (file is not null && !where.Any(place => RealPath.Within(file, place)) && !kept.IsOwn.GetAwaiter().GetResult())
            {
                throw new ProblemException(
                    Codes.StaleDryRun, $"The dry run isn't one of yours, and the {what} that it names lies elsewhere: {file}.", hint, new Place(folder));
            }
        }
    }

    private static ProblemException Stale(ProblemException? cause = null) => new(
        Codes.StaleDryRun,
        $"The dry run is out of date: the art, its current step, the recipe, a parameter or the setup has changed since.{(cause is null ? "" : $" ({cause.Message})")}",
        "Run the dry run again and look at it before you commit.", null, cause);

    private static void RefuseRepeat(ReadyRun run, bool again)
    {
        if (!again && run.RanAlready is { } repeat)
        {
            throw new ProblemException(repeat);
        }
    }

    private static Outcome Keep(Session session, RecipeJob job, ReadyRun run, string workPath, ListResult listed, Keeping how)
    {
        var (state, result) = (run.State, listed.Whole);
        var fields = new JsonObject();
        ReportJson.AddTo(fields, result.Report);
        if ((RecipeJob.Refusal(result.Report) ?? job.Unanswered(session, result.Report)) is { } refusal)
        {
            fields["milliseconds"] = session.Timings.ToJson();
            return new Outcome(fields, text => RunText.Write(text, result.Report)) { Problems = [refusal] };
        }

        // A step that changes nothing would outdate exports, cut off what could be redone, and switch the art's setup.
        if (result.Report.SettlesNothing)
        {
            fields["step"] = state.Step;
            fields["milliseconds"] = session.Timings.ToJson();
            return new Outcome(fields, text =>
            {
                RunText.Write(text, result.Report);
                text.WriteLine($"Nothing to keep: the recipe changes nothing here, so no step was added. {state.File.Path} stays at step {state.Step}.");
            });
        }

        session.Cancel.ThrowIfCancellationRequested();
        var (step, records) = session.Progress.During("Keeping the step", () => session.Timings.Measure("keep", () => Commit(session, run, workPath, listed, how)));
        var unnoted = KeptSteps.Note(state, step, records);
        fields["step"] = step;
        fields["outputs"] = new JsonObject { ["file"] = workPath };
        if (listed.Left is { } left)
        {
            fields["findings"] = ReportJson.Of(left);
        }

        fields["milliseconds"] = session.Timings.ToJson();
        return new Outcome(fields, text =>
        {
            RunText.Write(text, result.Report);
            RunText.Left(text, listed.Left);
            text.WriteLine($"Kept as step {step}. The file itself is untouched; 'recipes undo {state.File.Path}' takes the step back.");
            if (how.Timings)
            {
                session.Timings.Write(text);
            }
        })
        {
            Problems = [.. Session.Warnings(unnoted)],
        };
    }

    private static (int Step, StepRecord[] Records) Commit(Session session, ReadyRun run, string workPath, ListResult listed, Keeping how)
    {
        var changing = listed.Steps.Where(step => !step.Report.SettlesNothing);
        (StepRecord Record, Artwork)[] steps = how.EachStep && listed.Steps.Length > 0
            ? [.. changing.Select(step => (Record(step.Report, []), step.After))]
            : [(Record(listed.Whole.Report, run.Parts), listed.Whole.After)];
        return (KeptSteps.Keep(run.State, workPath, steps), [.. steps.Select(step => step.Record)]);

        StepRecord Record(RunReport report, string[] parts)
        {
            var more = new JsonObject { ["dryRun"] = how.DryRun };
            if (parts.Length > 0)
            {
                more["recipes"] = new JsonArray([.. parts.Select(name => (JsonNode?)name)]);
            }

            return KeptSteps.Record(session, run.State.Setup, report, how.By, more);
        }
    }
}
