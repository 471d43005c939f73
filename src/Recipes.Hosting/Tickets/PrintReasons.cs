using System.Collections.Immutable;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tickets;

/// <summary>Which prints are counted; all where nothing is asked for.</summary>
/// <param name="Since">Only those that were told from this moment on.</param>
/// <param name="Setup">Only those under a garment setup of this name.</param>
/// <param name="Recipe">Only those that this recipe had a part in.</param>
/// <param name="By">Only those that this person or shift told, in small or capital letters.</param>
public sealed record PrintFilter(DateTimeOffset? Since = null, string? Setup = null, string? Recipe = null, string? By = null)
{
    internal bool Takes(CountedPrint print) => (Since is null || print.Print.At >= Since) && (Setup is null || print.Setup == Setup)
        && (Recipe is null || print.Recipes.Contains(Recipe)) && (By is null || string.Equals(print.Print.By, By, StringComparison.OrdinalIgnoreCase));
}

/// <summary>A print that is counted, and what it was printed with. All texts are a work file's, which anybody could have written.</summary>
/// <param name="Print">The print.</param>
/// <param name="Setup">The garment setup's name.</param>
/// <param name="Recipes">The recipes of the steps that led to it; of a list its own.</param>
internal sealed record CountedPrint(PrintRecord Print, string Setup, ImmutableArray<string> Recipes)
{
    private readonly JsonObject? with = OutsideJson.Parse(Encoding.UTF8.GetBytes(Print.SetupJson));

    public string? Garment => with.Text("garment");

    public string? Lot => with.Text("inkLot");

    // More distinct recipes than this led to no print of anybody's.
    private const int MostRecipes = 1000;

    public static IEnumerable<CountedPrint> Of(WorkFile work, CancellationToken cancel) => work.Setups.Select(work.Line).SelectMany(line =>
    {
        // What anybody wrote may be long: a step is read once, and so are the steps that led to another.
        var parts = new string[]?[line.Steps.Length];
        var known = new Dictionary<int, ImmutableArray<string>>();
        return line.Prints.Select(print =>
        {
            if (!known.TryGetValue(print.Step, out var recipes))
            {
                known[print.Step] = recipes = LedTo(line, print.Step, parts, cancel);
            }

            return new CountedPrint(print, line.Setup, recipes);
        });
    });

    private static ImmutableArray<string> LedTo(WorkLine line, int step, string[]?[] parts, CancellationToken cancel)
    {
        var recipes = new HashSet<string>(StringComparer.Ordinal);
        for (int at = step; at > 0 && recipes.Count < MostRecipes; at = line.Steps[at - 1].Parent)
        {
            cancel.ThrowIfCancellationRequested();
            recipes.UnionWith(parts[at - 1] ??= PartsOf(line.Steps[at - 1].Record));
        }

        return [.. recipes];
    }

    private static string[] PartsOf(StepRecord step) =>
        StepRecipes.PartsOf(step).Take(RecipeList.MostRecipes).ToArray() is { Length: > 0 } parts ? parts : [step.Recipe];
}

/// <summary>How many prints of one name were bad.</summary>
/// <param name="Name">The cause, recipe, setup, garment, lot or shift; null for those that have none.</param>
/// <param name="Bad">How many were bad.</param>
/// <param name="Prints">Of how many.</param>
/// <param name="Costs">What the bad ones cost, a sum for each currency.</param>
public sealed record ReasonCount(string? Name, int Bad, int Prints, ImmutableArray<PrintCost> Costs);

/// <summary>The counts by one thing, the worst first.</summary>
/// <param name="By"><c>cause</c>, <c>recipe</c>, <c>setup</c>, <c>garment</c>, <c>lot</c> or <c>shift</c>.</param>
/// <param name="None">What to call those that have none.</param>
/// <param name="Counts">Each that had a bad print.</param>
public sealed record ReasonGroup(string By, string None, ImmutableArray<ReasonCount> Counts);

/// <summary>What bad prints have in common, over one art or many.</summary>
/// <param name="Arts">How many arts were printed.</param>
/// <param name="All">All prints together.</param>
/// <param name="Groups">The counts.</param>
/// <param name="LeftOut">Work files in folders that can't be read, as warnings.</param>
public sealed record PrintReasons(int Arts, ReasonCount All, ImmutableArray<ReasonGroup> Groups, ImmutableArray<Problem> LeftOut)
{
    // Names come from work files; longer ones would break the table.
    private const int LongestName = 80;

    /// <summary>Counts the prints of arts and of all arts whose work files lie in folders.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="paths">Arts, and folders of work files.</param>
    /// <param name="filter">Which prints.</param>
    /// <exception cref="ProblemException">R3001 there is no such art; R3 codes of an art's own work file, while one in a folder is left out.</exception>
    public static PrintReasons Of(Shop shop, IEnumerable<string> paths, PrintFilter filter)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(paths);
        ArgumentNullException.ThrowIfNull(filter);
        return shop.Progress.During("Counting", () => Count(shop, paths, filter));
    }

    private static PrintReasons Count(Shop shop, IEnumerable<string> paths, PrintFilter filter)
    {
        var (prints, leftOut, seen) = (new List<CountedPrint>(), new List<Problem>(), new HashSet<string>(StringComparer.Ordinal));
        int arts = 0;
        foreach (var (file, isListed) in paths.SelectMany(path => FilesOf(path, shop.WorkFolder)).Where(found => seen.Add(Path.GetFullPath(found.File))))
        {
            shop.Cancel.ThrowIfCancellationRequested();
            try
            {
                using var work = WorkFile.Open(file);
                CountedPrint[] counted = work is null ? [] : [.. CountedPrint.Of(work, shop.Cancel).Where(filter.Takes)];
                prints.AddRange(counted);
                arts += counted.Length > 0 ? 1 : 0;
            }
            catch (ProblemException e) when (isListed)
            {
                leftOut.AddRange(e.LeftOut());
            }
        }

        return Of(prints, arts) with { LeftOut = [.. leftOut] };
    }

    internal static PrintReasons Of(IReadOnlyCollection<CountedPrint> prints, int arts)
    {
        return new PrintReasons(arts, Count(null, prints),
        [
            Group("cause", "none named", print => print.Print.IsGood ? [] : [print.Print.Cause]),
            Group("recipe", "none, the original", print => print.Recipes.Cast<string?>().DefaultIfEmpty()),
            Group("setup", "none", print => [print.Setup]),
            Group("garment", "none noted", print => [print.Garment]),
            Group("lot", "none noted", print => [print.Lot]),
            Group("shift", "nobody named", print => [print.Print.By]),
        ], []);

        // A print counts once for each name that it has.
        ReasonGroup Group(string by, string none, Func<CountedPrint, IEnumerable<string?>> names) => new(by, none,
        [
            .. prints.SelectMany(print => names(print).Select(name => (Name: Clean(name), Print: print))).GroupBy(named => named.Name)
                .Select(same => Count(same.Key, [.. same.Select(named => named.Print)])).Where(count => count.Bad > 0)
                .OrderByDescending(count => count.Bad).ThenBy(count => count.Name, StringComparer.Ordinal),
        ]);
    }

    private static ReasonCount Count(string? name, IReadOnlyCollection<CountedPrint> prints)
    {
        PrintRecord[] bad = [.. prints.Select(print => print.Print).Where(print => !print.IsGood)];
        return new ReasonCount(name, bad.Length, prints.Count, PrintCost.Sums(bad.Select(print => print.Cost).OfType<PrintCost>()));
    }

    private static string? Clean(string? name) => string.IsNullOrWhiteSpace(name) ? null : CleanText.Line(name, LongestName);

    private static IEnumerable<(string File, bool IsListed)> FilesOf(string path, string? workFolder)
    {
        if (Directory.Exists(path))
        {
            return OutsideFile.In(path, "*.work").Order(StringComparer.Ordinal).Select(file => (file, true));
        }

        string work = path.Length == 0 ? "" : WorkPath.Of(path, workFolder);
        return File.Exists(path) || File.Exists(work) ? [(work, false)] : throw new ProblemException(
            Codes.ArtMissing, $"There is no file {path}.", "Name arts, or folders in which work files lie.", new Place(path));
    }
}
