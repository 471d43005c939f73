using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Imaging.Charts;
using Recipes.Problems;

namespace Recipes.Hosting.Charts;

/// <summary>
/// A color as people give it: <c>#rrggbb</c>, <c>chart:C7</c> for a patch of the garment setup's chart, or the path of a file
/// that <c>match</c> kept.
/// </summary>
public static class ChartColor
{
    private const string Prefix = "chart:";

    /// <summary>The color, or null where the text is none of the three.</summary>
    /// <exception cref="ProblemException">R7001, R7002, R7005 the chart file; R7007 no such patch; R7008 another chart; R7009 the match file.</exception>
    public static Rgba8? Of(string text, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(setup);
        return text.StartsWith(Prefix, StringComparison.Ordinal) ? Patch(text[Prefix.Length..].Trim(), setup)
            : text.EndsWith(".json", StringComparison.OrdinalIgnoreCase) ? MatchFile.Read(text)
            : Rgba8.TryParse(text, out var color) ? color : null;
    }

    private static Rgba8 Patch(string label, GarmentSetup setup)
    {
        if (setup.Chart is not { } chart)
        {
            throw new ProblemException(Codes.UnknownPatch,
                $"The garment setup '{setup.Name}' names no chart, so there is no patch {CleanText.Line(label, 40)}.",
                "Add chart { file, sha256, date } to the setup; docs/charts.md shows it. Or give the color as #rrggbb.");
        }

        if (chart.File.Contains('\0', StringComparison.Ordinal))
        {
            throw new ProblemException(Codes.UnknownPatch, "The garment setup's chart has no usable file name.", "Mend the setup.");
        }

        // A shipped setup, or one that only a work file knows, has no folder of its own.
        string path = Path.Combine(setup.Folder ?? SetupStore.UserFolder ?? "", chart.File);
        var rows = ReadChart.Read(path, null, chart.Sha256).File.Rows;
        var found = rows.Where(row => row.Label == label).ToList();
        found = found.Count > 0 ? found : [.. rows.Where(row => string.Equals(row.Label, label, StringComparison.OrdinalIgnoreCase))];
        var colors = found.Select(row => new Rgb(row.R, row.G, row.B).ToRgba8()).Distinct().ToList();
        return colors.Count switch
        {
            1 => colors[0],
            0 => throw new ProblemException(Codes.UnknownPatch, $"The chart has no patch '{CleanText.Line(label, 40)}'.",
                $"It has {rows.Length} patches, from {CleanText.Line(rows[0].Label, 40)} to {CleanText.Line(rows[^1].Label, 40)}.", new Place(path)),
            _ => throw new ProblemException(Codes.UnknownPatch,
                $"The chart has several patches '{CleanText.Line(label, 40)}', of {string.Join(" and ", colors.Take(3))}.",
                "Give the color as #rrggbb.", new Place(path)),
        };
    }
}
