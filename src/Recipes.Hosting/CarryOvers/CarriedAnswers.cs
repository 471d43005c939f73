using System.Collections.Immutable;
using System.Globalization;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Imaging;
using Recipes.Protocol;

namespace Recipes.Hosting.CarryOvers;

/// <summary>A region of the later art whose answer is asked for.</summary>
/// <param name="Region">The region, or the main one of several that go together.</param>
/// <param name="Numbers">Its number and those of its pieces, which take one answer.</param>
/// <param name="Why">Why no earlier answer holds, in a sentence's end.</param>
/// <param name="Was">The numbers of the earlier art that it may belong to.</param>
public sealed record OpenRegion(ReportedRegion Region, ImmutableArray<int> Numbers, string Why, ImmutableArray<int> Was);

/// <summary>What a step's region numbers, given for an earlier art, are on a later one.</summary>
/// <remarks>
/// An answer is what the recipe did with a region, changed it or left it alone, and not only the numbers that say so: where
/// <c>only</c> loses its last number, the recipe would take all regions instead of none.
/// </remarks>
public sealed record CarriedAnswers
{
    // Smaller than the smallest speck that is worth removing: whatever becomes of it, nobody sees it. Common practice, no source.
    private const double SpeckMillimeters2 = 0.06;

    private CarriedAnswers(ImmutableSortedDictionary<string, ImmutableSortedSet<int>> numbers, RegionMatch? match, ImmutableArray<OpenRegion> open, string? why)
    {
        Numbers = numbers;
        Match = match;
        Open = open;
        Why = why;
    }

    /// <summary>The parameters that take region numbers, with those of the later art.</summary>
    public ImmutableSortedDictionary<string, ImmutableSortedSet<int>> Numbers { get; }

    /// <summary>Which regions were found again; null where the recipe lists none that could be.</summary>
    public RegionMatch? Match { get; }

    /// <summary>
    /// The regions of the earlier art where nothing lies now, by number; with <see cref="LeavesOut"/> there may be one too small to be listed.
    /// </summary>
    public IEnumerable<int> Gone => Match is null ? [] : Match.Found.Where(found => found.Fit == RegionFit.Gone).Select(found => found.Number);

    /// <summary>True where a list was full, so that the smallest regions of that art weren't looked at.</summary>
    public bool LeavesOut { get; private init; }

    /// <summary>What is asked, by number.</summary>
    public ImmutableArray<OpenRegion> Open { get; private init; }

    /// <summary>Why no number can be carried over, or null.</summary>
    public string? Why { get; }

    /// <summary>True where nothing is asked.</summary>
    public bool AllFit => Open.IsEmpty && Why is null;

    /// <summary>The parameters of a recipe that take region numbers.</summary>
    public static IEnumerable<ParameterSpec> NumbersOf(RecipeSpec spec)
    {
        ArgumentNullException.ThrowIfNull(spec);
        return spec.Parameters.Where(parameter => parameter.Type == ParameterType.RegionNumbers);
    }

    /// <summary>Carries a step's numbers over.</summary>
    /// <param name="given">The step's values on the earlier art.</param>
    /// <param name="spec">What the recipe takes.</param>
    /// <param name="earlier">The run on the earlier art, with those values; null where the recipe no longer gives what it gave.</param>
    /// <param name="later">A run on the later art without numbers.</param>
    /// <param name="pixelsPerInch">The later art's resolution.</param>
    public static CarriedAnswers Of(ParameterValues given, RecipeSpec spec, RunResult? earlier, RunResult later, double pixelsPerInch)
    {
        ArgumentNullException.ThrowIfNull(given);
        ArgumentNullException.ThrowIfNull(later);
        string[] names = [.. NumbersOf(spec).Select(parameter => parameter.Name)];
        var listed = names.ToDictionary(name => name, name => Listed(given.Resolved[name]));
        var none = names.ToImmutableSortedDictionary(name => name, _ => ImmutableSortedSet<int>.Empty, StringComparer.Ordinal);
        if (earlier is null)
        {
            return new CarriedAnswers(none, null, [],
                "the recipe is another one than the step was made with, and no longer gives what it gave, so its numbers may mean other regions");
        }

        if (earlier.Report.Regions is not [var was] || later.Report.Regions is not [var now] || was.Title != now.Title)
        {
            return new CarriedAnswers(none, null, [],
                listed.Values.All(numbers => numbers.Count == 0) ? null : "the recipe doesn't list the regions that its numbers mean, or lists several kinds");
        }

        var match = RegionMatch.Between(Regions(earlier, was), Regions(later, now));
        double speck = SpeckMillimeters2 * pixelsPerInch * pixelsPerInch / (25.4 * 25.4);
        return Of(listed, match, now.Regions.ToDictionary(region => region.Number), speck, was.IsFull) with { LeavesOut = was.IsFull || now.IsFull };
    }

    private static CarriedAnswers Of(Dictionary<string, SortedSet<int>> listed, RegionMatch match, Dictionary<int, ReportedRegion> now, double speck, bool full)
    {
        var numbers = listed.Keys.ToDictionary(name => name, _ => new SortedSet<int>());
        var open = new SortedDictionary<int, OpenRegion>();
        foreach (var found in match.Found)
        {
            foreach (int number in found.Now)
            {
                Answer(number, found.Number);
            }

            if (found.Fit == RegionFit.Doubtful)
            {
                Ask(found.Now, string.Create(CultureInfo.InvariantCulture, $"region {found.Number} of the earlier art lay there and had another shape or size"),
                    [found.Number]);
            }
        }

        foreach (var piece in match.Unclear)
        {
            if (piece.Candidates.Select(Key).Distinct().Count() == 1 || now[piece.Number].Pixels < speck)
            {
                Answer(piece.Number, piece.Candidates[0]);
            }
            else
            {
                Ask([piece.Number], $"it may belong to any of the regions {string.Join(", ", piece.Candidates)} of the earlier art, "
                    + "which have different answers", piece.Candidates);
            }
        }

        foreach (var added in match.New)
        {
            Ask([added.Number, .. added.Pieces], full ? "no listed region lay there in the earlier art" : "nothing lay there in the earlier art", []);
        }

        // A number that the earlier list doesn't hold: the list keeps the largest regions only.
        int? unknown = listed.Values.SelectMany(all => all).Cast<int?>().FirstOrDefault(number => match.Found.All(found => found.Number != number));
        return new CarriedAnswers(
            numbers.ToImmutableSortedDictionary(pair => pair.Key, pair => pair.Value.ToImmutableSortedSet(), StringComparer.Ordinal), match, [.. open.Values],
            unknown is { } missing ? string.Create(CultureInfo.InvariantCulture, $"the recipe lists no region {missing} on the earlier art") : null);

        string Key(int earlier) => string.Concat(listed.Values.Select(all => all.Contains(earlier) ? '1' : '0'));

        void Answer(int number, int earlier)
        {
            foreach (var (name, all) in listed.Where(pair => pair.Value.Contains(earlier)))
            {
                numbers[name].Add(number);
            }
        }

        void Ask(ImmutableArray<int> together, string why, ImmutableArray<int> candidates)
        {
            if (now[together[0]].Pixels >= speck)
            {
                open[together[0]] = new OpenRegion(now[together[0]], together, why, candidates);
            }
        }
    }

    /// <summary>The same, with what a run with the carried numbers shows: a region that was found and is treated otherwise is asked about.</summary>
    /// <param name="earlier">The run on the earlier art.</param>
    /// <param name="carried">The run on the later art, with <see cref="Numbers"/>.</param>
    public CarriedAnswers CheckedBy(RunResult earlier, RunResult carried)
    {
        ArgumentNullException.ThrowIfNull(earlier);
        ArgumentNullException.ThrowIfNull(carried);
        if (Match is null || carried.Report.Regions is not [var list])
        {
            return this;
        }

        var was = earlier.Report.Regions[0].Regions.ToDictionary(region => region.Number);
        var now = list.Regions.ToDictionary(region => region.Number);
        var open = Open.ToDictionary(region => region.Region.Number);
        foreach (var found in Match.Found.Where(found => found.Fit == RegionFit.Matched))
        {
            int main = found.Now[0];
            if (!open.ContainsKey(main) && now.TryGetValue(main, out var region) && region.Chosen != was[found.Number].Chosen)
            {
                open[main] = new OpenRegion(region, found.Now,
                    region.Chosen ? "the recipe left it alone and would now change it" : "the recipe changed it and would now leave it alone", [found.Number]);
            }
        }

        // What is shown is what the run with the carried numbers does.
        return this with { Open = [.. open.Values.OrderBy(region => region.Region.Number)
            .Select(region => region with { Region = now.GetValueOrDefault(region.Region.Number, region.Region) })] };
    }

    /// <summary>A parameter's numbers without those that are asked about, or with all of them: the two plainest answers.</summary>
    public string NumbersWith(string parameter, bool open)
    {
        ArgumentNullException.ThrowIfNull(parameter);
        var asked = Open.SelectMany(region => region.Numbers);
        return Text(open ? Numbers[parameter].Concat(asked) : ((IEnumerable<int>)Numbers[parameter]).Except(asked));
    }

    private static RegionsOfArt Regions(RunResult run, ReportedRegions list) =>
        RegionsOfArt.Of(run.Before.Flat, [.. list.Regions.DistinctBy(region => region.Number)
            .Select(region => new NumberedRegion(region.Number, region.Box, region.Pixels))]);

    private static SortedSet<int> Listed(string resolved) =>
        [.. resolved.Split(',', StringSplitOptions.RemoveEmptyEntries).Select(number => int.Parse(number, CultureInfo.InvariantCulture))];

    /// <summary>Numbers as <c>--set</c> takes them, <c>2,5,7-9</c>.</summary>
    public static string Text(IEnumerable<int> numbers)
    {
        ArgumentNullException.ThrowIfNull(numbers);
        var runs = new List<(int First, int Last)>();
        foreach (int number in numbers.Distinct().Order())
        {
            if (runs is [.., var last] && last.Last == number - 1)
            {
                runs[^1] = last with { Last = number };
            }
            else
            {
                runs.Add((number, number));
            }
        }

        return string.Join(',', runs.Select(run => string.Create(
            CultureInfo.InvariantCulture, $"{run.First}{(run.Last == run.First ? "" : run.Last == run.First + 1 ? "," : "-")}"
                + $"{(run.Last == run.First ? "" : $"{run.Last}")}")));
    }
}
