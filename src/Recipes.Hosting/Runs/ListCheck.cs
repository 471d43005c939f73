using Recipes.Hosting.Checks;
using Recipes.Hosting.Reports;
using Recipes.Imaging;

namespace Recipes.Hosting.Runs;

/// <summary>What a check finds of the art that a list left.</summary>
public static class ListCheck
{
    /// <summary>The list's result with it; a refused one as it is.</summary>
    public static ListResult Of(ListResult listed, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(listed);
        var report = listed.Whole.Report;
        return report.Refused ? listed : listed with { Left = ArtCheck.Of(listed.Whole.After, setup, Decisions.Of(report)).Findings };
    }
}
