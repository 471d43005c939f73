using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Imaging;

namespace Recipes.Hosting.Reports;

/// <summary>Pixels of the flattened art that go from bare to printing and back, and the counts on both sides.</summary>
public sealed record InkChange(InkCount Before, InkCount After, long Gained, long Lost)
{
    /// <summary>Counts two flattened states; where they differ in size, nothing is comparable and gained and lost are 0.</summary>
    public static InkChange Between(Plane<Rgba8> before, Plane<Rgba8> after, InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        ArgumentNullException.ThrowIfNull(rules);
        long gained = 0, lost = 0;
        for (int i = 0; before.Grid == after.Grid && i < before.Tiles.Length; i++)
        {
            if (ReferenceEquals(before.Tiles[i], after.Tiles[i]))
            {
                continue;
            }

            foreach (var run in new ChangedRuns(before.Tiles[i], after.Tiles[i]))
            {
                bool printed = rules.StateOf(run.Before) == InkState.Prints, prints = rules.StateOf(run.After) == InkState.Prints;
                gained += !printed && prints ? run.Pixels : 0;
                lost += printed && !prints ? run.Pixels : 0;
            }
        }

        return new InkChange(InkCount.Of(before, rules), InkCount.Of(after, rules), gained, lost);
    }
}

/// <summary>How many pixels the recipe declared for each intent.</summary>
/// <param name="Printable">Pixels that are to print.</param>
/// <param name="Bare">Pixels that are to stay bare.</param>
/// <param name="DroppedBlack">Black that is to show the garment.</param>
/// <param name="PrintedBlack">Black that is to print.</param>
/// <param name="SizeChange">True where the size was to change.</param>
/// <param name="SizedBy">Of a list, the recipe that changed the size last; null where none did, and of one recipe.</param>
public sealed record DeclaredCount(long Printable, long Bare, long DroppedBlack, long PrintedBlack, bool SizeChange, string? SizedBy = null);

/// <summary>One numbered region that the recipe listed.</summary>
/// <param name="Number">From 1, in reading order.</param>
/// <param name="Box">The smallest box around it.</param>
/// <param name="Pixels">Its size.</param>
/// <param name="Chosen">True where the recipe changes it.</param>
/// <param name="Class">What it is, <c>enclosed-white</c> or <c>edge-white</c> for instance, where its list holds several kinds; else empty.</param>
public sealed record ReportedRegion(int Number, Box Box, long Pixels, bool Chosen, string Class = "");

/// <summary>A list of numbered regions.</summary>
public sealed record ReportedRegions(string Title, ImmutableArray<ReportedRegion> Regions)
{
    /// <summary>The most regions of one list.</summary>
    public const int Most = 10_000;

    /// <summary>True where there may be smaller regions that the list leaves out.</summary>
    public bool IsFull => Regions.Length >= Most;
}

/// <summary>One color and how many pixels have it.</summary>
public sealed record ReportedColor(Rgba8 Color, long Pixels);

/// <summary>A list of colors, most pixels first; <paramref name="Others"/> further ones are left out.</summary>
public sealed record ReportedColors(string Title, ImmutableArray<ReportedColor> Colors, int Others);

/// <summary>All that is known about one run of a recipe: what a dry run shows and a commit records.</summary>
public sealed record RunReport
{
    /// <summary>The recipe.</summary>
    public required RecipeIdentity Recipe { get; init; }

    /// <summary>The art.</summary>
    public required ArtIdentity Art { get; init; }

    /// <summary>The step of the work file that the recipe started from; 0 is the original.</summary>
    public required int FromStep { get; init; }

    /// <summary>The recipe of a list that came before and left the art that this one started from; null where none did.</summary>
    public string? FromRecipe { get; init; }

    /// <summary>The recipes of a list that ran, in order; each has a report of its own. Empty for one recipe.</summary>
    public ImmutableArray<string> Steps { get; init; } = [];

    /// <summary>Every parameter as <c>--set</c> would give it.</summary>
    public required ImmutableSortedDictionary<string, string> Parameters { get; init; }

    /// <summary>The garment setup.</summary>
    public required GarmentSetup Setup { get; init; }

    /// <summary>True where nobody chose the setup and the program fell back on it.</summary>
    public bool SetupIsFallback { get; init; }

    /// <summary>What differs between the art before and after.</summary>
    public required ArtChange Change { get; init; }

    /// <summary>The exact difference; null where the size changed.</summary>
    public ArtworkDiff? Changed => Change.Pixels;

    /// <summary>What prints before and after.</summary>
    public InkChange Ink => Change.Ink;

    /// <summary>What the recipe declared.</summary>
    public required DeclaredCount Declared { get; init; }

    /// <summary>What each guardrail did.</summary>
    public required ImmutableArray<GuardResult> Guards { get; init; }

    /// <summary>The guardrails that were told to let everything pass, by name; none by themselves.</summary>
    public IEnumerable<string> Loosened => Guards.Where(guard => guard.Policy == GuardPolicy.Allow).Select(guard => guard.Name);

    /// <summary>True for a guardrail that compares pixels where the size changed, and nothing of it tripped at another step of a list.</summary>
    public bool HadNothingToJudge(GuardResult guard)
    {
        ArgumentNullException.ThrowIfNull(guard);
        return Changed is null && guard.Outcome == GuardOutcome.Clear
            && guard.Name is not (Guardrails.PrintedBox or Guardrails.SizeChange or Guardrails.NothingPrints);
    }

    /// <summary>What the recipe noted.</summary>
    public ImmutableArray<string> Notes { get; init; } = [];

    /// <summary>The numbered regions that it listed.</summary>
    public ImmutableArray<ReportedRegions> Regions { get; init; } = [];

    /// <summary>The colors that it listed.</summary>
    public ImmutableArray<ReportedColors> Colors { get; init; } = [];

    /// <summary>Where the picture's edge was when they were numbered, in px of the canvas of then.</summary>
    public Box? WhitesEdge { get; init; }

    /// <summary>The whites that were numbered, the largest; of a list those of the last recipe that numbered any. A step remembers which were left
    /// bare.</summary>
    public ImmutableArray<ReportedRegion> Whites { get; init; } = [];

    /// <summary>The most that are remembered, so that they fit beside the rest of a step's report.</summary>
    public const int MostWhites = 2000;

    /// <summary>What the recipe had to guess, and what its parameters answered.</summary>
    public ImmutableArray<AskedQuestion> Questions { get; init; } = [];

    /// <summary>The questions that nobody has answered: the proposals were taken.</summary>
    public IEnumerable<AskedQuestion> OpenQuestions => Questions.Where(question => question.Decision is null);

    /// <summary>What the figure lies on, afterwards.</summary>
    public required Ground Ground { get; init; }

    /// <summary>True where neither a pixel nor the white ink under it changes, nor the resolution, which says how large it prints.</summary>
    public bool ChangesNothing => Change is { Pixels.Pixels: 0, White: null, Resolution: null };

    /// <summary>True where there is nothing to keep: nothing differs, and no question was answered.</summary>
    public bool SettlesNothing => ChangesNothing && Questions.All(question => question.Decision is null);

    /// <summary>True where a guardrail refused.</summary>
    public bool Refused => Guards.Any(guard => guard.Outcome == GuardOutcome.Refused);
}
