using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Imaging.Charts;
using Recipes.Problems;

namespace Recipes.Hosting.Charts;

/// <summary>Which color of a match is kept.</summary>
public enum MatchChoice
{
    /// <summary>The computed one; the nearest patch where nothing can be computed.</summary>
    Computed,

    /// <summary>The nearest printed patch.</summary>
    Nearest,

    /// <summary>Out of gamut, the color that keeps the hue; else the computed one, which has it already.</summary>
    HueTrue,
}

/// <summary>A color that is to be found on a measured chart.</summary>
/// <param name="Measured">The measured chart's file.</param>
/// <param name="Target">The color wanted: of a screen as <c>#rrggbb</c>, or measured as <c>lab:L,a,b</c> under D50.</param>
public sealed record MatchRequest(string Measured, string Target)
{
    /// <summary>The scale of the chart's RGB values; null detects it.</summary>
    public RgbScale? Scale { get; init; }

    /// <summary>Where the result is kept, a .json that a color parameter takes; null keeps none.</summary>
    public string? Path { get; init; }

    /// <summary>Which color is kept.</summary>
    public MatchChoice Use { get; init; }

    /// <summary>True: takes the place of a file that is there.</summary>
    public bool Force { get; init; }
}

/// <summary>A color that was found.</summary>
/// <param name="Read">The chart's file.</param>
/// <param name="Chart">What was measured.</param>
/// <param name="Match">What was found.</param>
/// <param name="Kept">The color that is kept where a result is.</param>
/// <param name="Fields">What a kept result says of it.</param>
public sealed record MatchedColor(ReadChart Read, MeasuredChart Chart, ColorMatch Match, Rgba8 Kept, JsonObject Fields)
{
    /// <summary>What to doubt about it.</summary>
    public IReadOnlyList<Problem> Doubts
    {
        get
        {
            List<Problem> problems = [.. Read.File.Doubts.Select(doubt => Doubt(doubt, "Check that this is what the file means."))];
            if (Chart.Outliers.Length > 0)
            {
                string labels = string.Join(", ", Chart.Outliers.Take(8).Select(outlier => $"{outlier.Label} ({MatchFile.Text(outlier.Difference)})"));
                problems.Add(Doubt(
                    $"{Chart.Outliers.Length} of {Chart.Readings} readings stand out from what the others let expect, and were left out: "
                        + $"{labels}{(Chart.Outliers.Length > 8 ? ", …" : "")}.",
                    "Measure these patches again. If the readings hold, look at the print: a clogged nozzle, a seam or a fold."));
            }

            if (Match.Computed is null)
            {
                problems.Add(Doubt(
                    $"Nothing can be computed from {Chart.Patches.Length} colors that are so few or so alike; only the nearest patch is given.",
                    "Measure a chart of at least 3x3x3 patches."));
            }

            return problems;
        }
    }

    private Problem Doubt(string message, string hint) => new(Codes.DoubtfulChart, message, hint, new Place(Read.Path), Severity.Warning);
}

/// <summary>Finds the color to print for a color wanted, from a measured chart.</summary>
public static class MatchColor
{
    /// <summary>Finds it, and keeps it where that is asked for.</summary>
    /// <exception cref="ProblemException">
    /// R1001 the result's name is no .json; R7001, R7002, R7005 the chart; R7006 the target; R8001 the result's file exists; R8002 it can't be written.
    /// </exception>
    public static MatchedColor Find(Shop shop, MatchRequest request)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        var target = TargetOf(request.Target);
        if (request.Path is { } path)
        {
            RefuseOutput(request, path);
        }

        var read = shop.Timings.Measure("read", () => ReadChart.Read(request.Measured, request.Scale));
        var (chart, match) = shop.Progress.During("Computing", () => shop.Timings.Measure("compute", () =>
        {
            var measured = MeasuredChart.Of(read.Readings);
            return (measured, ColorMatch.Find(measured, target));
        }));
        shop.Cancel.ThrowIfCancellationRequested();
        var fields = MatchFile.Fields(request.Target, match);
        fields["chart"] = new JsonObject
        {
            ["file"] = request.Measured, ["sha256"] = read.Sha256, ["colors"] = chart.Patches.Length, ["readings"] = chart.Readings,
            ["rgbScale"] = (int)read.File.Scale,
        };
        var found = new MatchedColor(read, chart, match, Chosen(match, request.Use), fields);
        if (request.Path is { } kept)
        {
            MatchFile.Write(kept, found.Kept, fields, request.Force);
        }

        return found;
    }

    private static void RefuseOutput(MatchRequest request, string path)
    {
        if (!path.EndsWith(".json", StringComparison.OrdinalIgnoreCase))
        {
            throw new ProblemException(
                Codes.BadUsage, $"'{CleanText.Line(path, 120)}' is not a .json file name; match keeps its result as .json.", "Name the file with .json.");
        }

        AtomicFile.RefuseOriginal(path, request.Measured);
        if (!request.Force && File.Exists(path))
        {
            throw AtomicFile.Exists(path);
        }
    }

    private static Rgba8 Chosen(ColorMatch match, MatchChoice use) => use switch
    {
        MatchChoice.Nearest => match.Nearest.Color.ToRgba8(),
        MatchChoice.HueTrue when match.HueTrue is { } hueTrue => hueTrue.Color,
        // In gamut, the computed color has the hue already; where nothing can be computed, the printed patch is all there is.
        _ => match.Computed?.Color ?? match.Nearest.Color.ToRgba8(),
    };

    private static Lab TargetOf(string text)
    {
        if (Rgba8.TryParse(text, out var color))
        {
            return LabSpace.D50.Of(color);
        }

        double?[] parts = text.StartsWith("lab:", StringComparison.OrdinalIgnoreCase) ? [.. text[4..].Split(',').Select(NumberOf)] : [];
        return parts is [>= 0 and <= 100 and var l, >= -200 and <= 200 and var a, >= -200 and <= 200 and var b]
            ? new Lab(l, a, b)
            : throw new ProblemException(Codes.BadTarget, $"The target '{CleanText.Line(text, 60)}' is neither #rrggbb nor lab:L,a,b.",
                "Write --target \"#c8102e\" for a color of a screen, or --target lab:44.2,64.1,31.5 for one measured under D50: "
                    + "L from 0 to 100, a and b from -200 to 200.");
    }

    private static double? NumberOf(string text) => double.TryParse(
        text.Trim(), NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double value) ? value : null;
}
