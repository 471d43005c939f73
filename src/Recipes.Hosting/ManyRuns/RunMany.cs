using System.Collections.Immutable;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Library;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Workers;
using Recipes.Problems;
using Serilog;

namespace Recipes.Hosting.ManyRuns;

/// <summary>Many pictures that were run.</summary>
/// <param name="Total">How many were to be.</param>
/// <param name="Items">What became of each that was begun.</param>
public sealed record ManyRun(int Total, ImmutableArray<RunItem> Items)
{
    /// <summary>True where somebody ended it before the last one.</summary>
    public bool Interrupted { get; init; }

    /// <summary>How many were written.</summary>
    public int Written => Items.Count(item => item.Problems.Count == 0);

    /// <summary>All that is to be said beside the first lines; the first failed file's problem comes first, and so decides the exit code.</summary>
    public ImmutableArray<Problem> Problems { get; init; } = [];

    internal static ManyRun Of(Shop shop, RunItem?[] all)
    {
        ImmutableArray<RunItem> items = [.. all.OfType<RunItem>()];
        var done = new ManyRun(all.Length, items) { Interrupted = shop.Cancel.IsCancellationRequested };
        var unnoted = Journal.Note([.. items.Select(item => item.Entry).OfType<JournalEntry>()]);
        Problem[] interrupted = !done.Interrupted ? []
            : [new Problem(Codes.Interrupted, $"Interrupted: {done.Written} of {done.Total} were written.", "Run it again for the others.")];
        return done with
        {
            Problems =
            [
                .. interrupted, .. items.SelectMany(item => item.Problems.Select(problem => RunItem.Named(item.Art, item.Order, problem))),
                .. items.SelectMany(item => item.Warnings), .. unnoted is null ? Array.Empty<Problem>() : [unnoted],
            ],
        };
    }
}

/// <summary>Pictures that were run with one recipe or list.</summary>
/// <param name="Recipe">The recipe or list.</param>
/// <param name="Setup">The garment setup.</param>
/// <param name="Run">What became of them.</param>
public sealed record ManyArts(RecipeIdentity Recipe, ChosenSetup Setup, ManyRun Run)
{
    /// <summary>Pictures in folders that were named that this program wrote itself.</summary>
    public ImmutableArray<string> Skipped { get; init; } = [];

    /// <summary>Left from an earlier run, of an art whose result has a longer name now.</summary>
    public ImmutableArray<string> Stale { get; init; } = [];

    /// <summary>Work files that can't be read, as warnings.</summary>
    public ImmutableArray<Problem> LeftOut { get; init; } = [];
}

/// <summary>Runs many pictures at once: each has a file and a record of its own, and a bad one doesn't stop the others.</summary>
public static class RunMany
{
    /// <summary>Runs one recipe or list on many pictures.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="request">How.</param>
    /// <param name="recipe">The recipe or list.</param>
    /// <param name="named">Pictures, or folders of them.</param>
    /// <param name="workers">Where they run.</param>
    /// <exception cref="ProblemException">
    /// The recipe, a parameter or the setup is unfit, or the folder can't be made; a single picture's fault is in its item.
    /// </exception>
    public static ManyArts Arts(Shop shop, ManyRunsRequest request, string recipe, IEnumerable<string> named, WorkerPool workers)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(workers);
        var found = RunArts.Of(named, shop.WorkFolder);
        string[] arts = [.. found.Arts];
        var stems = RunArts.Stems(arts);
        // They start while the recipe is still being found and read; of a list it takes more.
        ExpectReaders(workers, arts);
        workers.Expect("run", arts.Length);
        Array.ForEach(arts, Originals.Add);
        var setup = ChosenSetup.Find(request.SetupName, null).Required();
        var recipes = shop.Find(new RecipeRequest(recipe) { Folder = request.RecipesFolder, Sets = request.Sets, ToKeep = true }, workers);
        // A parameter that no file could be run with is refused before the first one.
        recipes.CheckValues(setup.Setup);
        workers.Expect("run", arts.Length * (recipes.All.Length - 1));
        ToRun[] works = [.. arts.Zip(stems, (art, stem) => new ToRun(art, recipes, setup, stem, null))];
        var run = ManyRun.Of(shop, Make(shop, request, $"Running {recipes.Identity.Name}", works, workers));
        return new ManyArts(recipes.Identity, setup, run)
        {
            Skipped = found.Skipped, LeftOut = found.LeftOut,
            Stale = [.. Stale(request.Folder, run.Items.Where(item => item.Output is not null))],
        };
    }

    internal static void ExpectReaders(WorkerPool workers, IEnumerable<string> arts)
    {
        foreach (var (reader, count) in arts.CountBy(ArtFile.ReaderAt))
        {
            workers.Expect(reader, count);
        }
    }

    internal static RunItem?[] Make(Shop shop, ManyRunsRequest request, string what, ToRun[] works, WorkerPool workers)
    {
        AtomicFile.CreateFolder(request.Folder);
        var done = new RunItem?[works.Length];
        // A long journal is read once for all of them.
        var prints = new Lazy<ImmutableArray<JournalEntry>>(() => Journal.Holding("\"print\"", EarlierPrint.IsPrint));
        try
        {
            var all = new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = shop.Cancel };
            shop.Progress.Counting(what, works.Length, count => Parallel.For(0, works.Length, all, i =>
            {
                var aside = shop.Aside();
                done[i] = new OneOfMany(aside, request, works[i], workers, prints).Make();
                shop.Timings.Add(aside.Timings);
                count();
            }));
        }
        catch (Exception e) when (shop.Cancel.IsCancellationRequested && e is OperationCanceledException or AggregateException)
        {
            Log.Debug(e, "Interrupted");
        }

        return done;
    }

    // What an earlier run of the same art wrote under its stem, where no other stem met it.
    private static IEnumerable<string> Stale(string folder, IEnumerable<RunItem> items) => items
        .Where(item => item.Output != RunOutput.Of(folder, Path.GetFileNameWithoutExtension(item.Art), item.Art).Picture)
        .Select(item => RunOutput.Of(folder, Path.GetFileNameWithoutExtension(item.Art), item.Art))
        .Where(earlier => File.Exists(earlier.Picture) && earlier.IsOurs()).Select(earlier => earlier.Picture).Distinct();
}
