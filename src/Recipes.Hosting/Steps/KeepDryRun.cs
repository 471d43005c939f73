using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Steps;

/// <summary>A dry run that is to be kept.</summary>
/// <param name="Folder">Its folder.</param>
/// <param name="How">How it is kept.</param>
public sealed record KeepDryRunRequest(string Folder, KeepOptions How)
{
    /// <summary>The art, where somebody names it, or null for the one that the dry run names.</summary>
    public string? NamedArt { get; init; }

    /// <summary>A folder of recipes to look in first, or null.</summary>
    public string? RecipesFolder { get; init; }

    /// <summary>The folder that relative paths are told from.</summary>
    public required string Here { get; init; }
}

/// <summary>Keeps exactly what a dry run showed, or refuses where anything has changed since.</summary>
public static class KeepDryRun
{
    /// <summary>Keeps it, and goes on while the work file is open.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="request">Which dry run, and how.</param>
    /// <param name="kept">What it says of itself: <see cref="DryRunFolder.Read"/>.</param>
    /// <param name="workers">Where it is computed again where the cache no longer has it.</param>
    /// <param name="then">What to tell of it; it is given the state that the step was made from.</param>
    /// <exception cref="ProblemException">R6001 something has changed, or was never so; R1001 another art is named; R1008 nobody chose the setup;
    /// R6007 it must not run twice; R6003 the work file is in use.</exception>
    public static T Run<T>(Shop shop, KeepDryRunRequest request, DryRunRecord kept, WorkerPool workers, Func<Kept, ArtState, T> then)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(kept);
        ArgumentNullException.ThrowIfNull(workers);
        ArgumentNullException.ThrowIfNull(then);
        RefuseElsewhere(shop, request, kept);
        string artPath = Path.GetRelativePath(request.Here, kept.Art);
        var file = shop.ReadArt(artPath);
        string workPath = WorkPath.Of(artPath, shop.WorkFolder ?? kept.WorkFolder);
        using var work = shop.Timings.Measure("work file", () => WorkFile.Open(workPath, forWriting: true));
        RefuseKept(work, kept, artPath, request.Folder);
        workers.Expect(file.Reader, work is null ? 1 : 0);
        if (work is null && file.Sha256 != kept.ArtSha256)
        {
            throw Stale();
        }

        // A dry run on a setup that nobody chose shows, but is never kept. An edited flag changes the digest.
        if (kept.SetupIsFallback)
        {
            throw new ProblemException(Codes.NoSetupChosen, $"The dry run shows '{CleanText.Line(kept.Setup, 80)}', a garment setup that nobody chose.",
                "Run the dry run again with --setup NAME, and keep that one; 'recipes setups' lists them.", new Place(request.Folder));
        }

        var run = Found(shop, request, kept, workers, (file, work));
        if (run.Digest != kept.Digest)
        {
            throw Stale();
        }

        Keep.RefuseRepeat(run, request.How.Again);
        return then(Keep.Result(shop, run, workPath, Shown(shop, run, request, kept), request.How with { DryRun = kept.Digest }), run.State);
    }

    private static ReadyRun Found(Shop shop, KeepDryRunRequest request, DryRunRecord kept, WorkerPool workers, (ArtFile File, WorkFile? Work) art)
    {
        var setup = new ChosenSetup(Fresh(() => ChosenSetup.Named(art.Work, kept.Setup)), false);
        var recipe = new RecipeRequest(Path.GetRelativePath(request.Here, kept.Recipe)) { Sets = kept.Sets, ToKeep = true };
        var recipes = Fresh(() => shop.Find(recipe, workers));
        var kind = Fresh(() => GroundJson.ReadKind(kept.Kind));
        var state = shop.FindState(art.File, art.Work, setup, kept.Original && art.Work is null, workers).As(kind);
        var values = Fresh(() => recipes.Values(state));
        return new ReadyRun(recipes, state, values, Fresh(() => GuardrailText.Read(kept.Guards)), workers);

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

    private static void RefuseKept(WorkFile? work, DryRunRecord kept, string artPath, string folder)
    {
        if (work?.Setups.SelectMany(name => work.Line(name).Steps)
            .LastOrDefault(step => step.State == StepState.Done && NewSteps.DryRunOf(step.Record) == kept.Digest) is { } done)
        {
            throw new ProblemException(Codes.StaleDryRun, $"This dry run has been kept already, as step {done.Number} of {artPath}.",
                "Nothing is left to do. Where the recipe is to run once more, run the dry run again and look at it before you commit.", new Place(folder));
        }
    }

    // What the folder showed. Of this user's own, the whole lies in their cache; a list's single steps are computed again. What another wrote is all
    // computed again: pictures and page of another run could lie there.
    private static ListResult Shown(Shop shop, ReadyRun run, KeepDryRunRequest request, DryRunRecord kept)
    {
        bool own = shop.Timings.Measure("seal", () => kept.IsOwn.GetAwaiter().GetResult());
        var held = !own || (request.How.EachStep && run.Recipes.List is not null) ? null
            : shop.Timings.Measure("take", () => RunCache.Get(kept.Digest, run.Recipes.Identity, run.State, run.Values));
        var result = held is { } known ? new ListResult(known.Result, []) : run.Run(shop);
        if ((held?.Sha256 ?? RunCache.ResultSha256(result.Whole.After)) != kept.ResultSha256)
        {
            throw Stale();
        }

        string? odd = own ? null : result.Whole.Report.Refused ? "report.json" : DryRun.Difference(shop, run, result, request.Folder, kept);
        return odd is null ? result : throw new ProblemException(
            Codes.StaleDryRun, $"The dry run shows something else than what would be kept: its {odd} isn't what the recipe gives here.",
            "Run the dry run again and look at it before you commit.", new Place(Path.Combine(request.Folder, odd)));
    }

    // Whoever wrote the folder may have named any file of this user's. What they name must lie with the folder, or be named here too.
    private static void RefuseElsewhere(Shop shop, KeepDryRunRequest request, DryRunRecord kept)
    {
        string folder = request.Folder;
        string? namedArt = request.NamedArt;
        if (namedArt is not null && !RealPath.Same(namedArt, kept.Art))
        {
            throw new ProblemException(
                Codes.BadUsage, $"The dry run in {folder} is one of {kept.Art}, not of {namedArt}.",
                "Name the art that it shows, or none.", new Place(namedArt));
        }

        string around = Path.GetDirectoryName(Path.GetFullPath(Path.TrimEndingDirectorySeparator(folder))) ?? folder;
        string[] shelves = [around, .. RecipePath.Folders(request.RecipesFolder)];
        (string What, string? File, string[] Where, string Hint)[] named =
        [
            ("art", namedArt is null ? kept.Art : null, [around], $"If you mean it, name it yourself: recipes commit --dry-run {ShellWord.Of(folder)} ART."),
            ("recipe", kept.Recipe, shelves, "Put it on the recipe path, or run the dry run yourself and look at it."),
            ("garment setup", Path.IsPathRooted(kept.Setup) ? kept.Setup : null, [around], "Run the dry run yourself with --setup FILE, and look at it."),
            ("folder of work files", shop.WorkFolder is null ? kept.WorkFolder : null, [around], "If you mean it, name it yourself with --work DIR."),
            ("work file", namedArt is null && shop.WorkFolder is null ? WorkPath.Of(kept.Art, kept.WorkFolder) : null, [around],
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
        "The dry run is out of date: the art, its current step, the recipe, a parameter or the setup has changed since."
            + $"{(cause is null ? "" : $" ({cause.Message})")}",
        "Run the dry run again and look at it before you commit.", null, cause);
}
