using System.Collections.Immutable;

namespace Recipes.Hosting.Reports;

/// <summary>What becomes of numbered regions that a parameter doesn't name, and of those that it names, in a sentence's end.</summary>
/// <param name="Unnamed">For instance <c>prints</c>: what the run did, which didn't name them.</param>
/// <param name="Named">For instance <c>stays bare</c>.</param>
public sealed record RegionFate(string Unnamed, string Named)
{
    /// <summary>The words for regions of a run that named none of them.</summary>
    /// <param name="report">The run. Whether it lays ink or takes ink says what choosing a region means.</param>
    /// <param name="regions">The regions. Where some were chosen and others weren't, no word holds for all.</param>
    public static RegionFate Of(RunReport report, ImmutableArray<ReportedRegion> regions)
    {
        ArgumentNullException.ThrowIfNull(report);
        var (gained, lost) = (report.Ink.Gained, report.Ink.Lost);
        var (chosen, left) = gained > lost ? ("prints", "stays bare") : lost > gained ? ("stays bare", "prints") : ("is changed", "is left alone");
        return regions.All(region => region.Chosen) ? new RegionFate(chosen, left)
            : regions.Any(region => region.Chosen) ? new RegionFate("is as the pictures show", "is the other way round") : new RegionFate(left, chosen);
    }
}
