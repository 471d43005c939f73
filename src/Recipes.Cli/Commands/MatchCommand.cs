using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Charts;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Imaging.Charts;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>match</c>: which color to send, so that the print shows the one wanted.</summary>
internal static class MatchCommand
{
    private enum Choice
    {
        Computed,
        Nearest,
        HueTrue,
    }

    private static readonly Dictionary<string, Choice> Choices = new() { ["computed"] = Choice.Computed, ["nearest"] = Choice.Nearest, ["hue-true"] = Choice.HueTrue };

    public static Command Create()
    {
        var measured = new Option<string>("--measured") { Description = "The measured chart, CGATS.17 or ISO 28178 text", HelpName = "FILE", Required = true };
        var target = new Option<string>("--target") { Description = "The color wanted: of a screen as #rrggbb, or measured as lab:L,a,b under D50", HelpName = "COLOR", Required = true };
        var scale = new Option<string?>("--rgb-scale") { Description = "The scale of the chart's RGB values, where the file leaves it open: 255 or 100", HelpName = "N" };
        var output = new Option<string?>("--output", "-o") { Description = "Keep the result as a .json file, which a color parameter takes", HelpName = "FILE" };
        var use = new Option<string>("--use") { Description = "Which color to keep: computed, nearest or hue-true", HelpName = "WHICH", DefaultValueFactory = _ => "computed" };
        use.AcceptOnlyFromAmong([.. Choices.Keys]);
        var force = Options.Force();
        var command = new Command("match", "Finds the color to print for a color wanted, from a measured chart") { measured, target, scale, output, use, force };
        return command.With("recipes match --measured chart-measured.txt --target \"#c8102e\"\n  recipes match --measured chart-measured.txt --target lab:44.2,64.1,31.5 -o red.json", session => Run(
            session, session.Parse.GetRequiredValue(measured), session.Parse.GetRequiredValue(target), session.Parse.GetValue(scale), session.Parse.GetValue(output),
            Choices[session.Parse.GetValue(use)!], session.Parse.GetValue(force)));
    }

    private static Outcome Run(Session session, string path, string targetText, string? scaleText, string? kept, Choice use, bool force)
    {
        var target = Target(targetText);
        RgbScale? scale = scaleText switch
        {
            null => null,
            "255" => RgbScale.Levels,
            "100" => RgbScale.Percent,
            _ => throw new ProblemException(Codes.BadUsage, $"'--rgb-scale' takes 255 or 100, not '{CleanText.Line(scaleText, 40)}'.", "Write --rgb-scale 255, for instance."),
        };
        if (kept is not null)
        {
            if (!kept.EndsWith(".json", StringComparison.OrdinalIgnoreCase))
            {
                throw new ProblemException(Codes.BadUsage, $"'{CleanText.Line(kept, 120)}' is not a .json file name; match keeps its result as .json.", "Name the file with .json.");
            }

            AtomicFile.RefuseOriginal(kept, path);
            if (!force && File.Exists(kept))
            {
                throw AtomicFile.Exists(kept);
            }
        }

        var read = session.Timings.Measure("read", () => ReadChart.Read(path, scale));
        var (chart, match) = session.Progress.During("Computing", () => session.Timings.Measure("compute", () =>
        {
            var measured = MeasuredChart.Of(read.Readings);
            return (measured, ColorMatch.Find(measured, target));
        }));
        session.Cancel.ThrowIfCancellationRequested();

        var fields = MatchFile.Fields(targetText, match);
        fields["chart"] = new JsonObject { ["file"] = path, ["sha256"] = read.Sha256, ["colors"] = chart.Patches.Length, ["readings"] = chart.Readings, ["rgbScale"] = (int)read.File.Scale };
        if (kept is not null)
        {
            MatchFile.Write(kept, Chosen(match, use), fields, force);
        }

        fields["scatter"] = chart.RepeatScatter is { } scatter ? MatchFile.Round(scatter) : null;
        fields["model"] = chart.Model switch
        {
            SplineModel spline => new JsonObject { ["kind"] = "spline", ["degree"] = spline.Degree, ["smoothing"] = spline.Smoothing, ["patches"] = spline.Patches.Length },
            TetrahedralModel grid => new JsonObject { ["kind"] = "tetrahedral", ["patches"] = grid.Count },
            _ => null,
        };
        fields["modelsDiffer"] = match.ModelsDiffer is { } differ ? MatchFile.Round(differ) : null;
        fields["outliers"] = new JsonArray([.. chart.Outliers.Select(outlier => new JsonObject
        {
            ["label"] = outlier.Label, ["rgb"] = outlier.Color.ToRgba8().ToString(), ["lab"] = MatchFile.Of(outlier.Lab), ["expected"] = MatchFile.Of(outlier.Expected), ["difference"] = MatchFile.Round(outlier.Difference),
        })]);
        fields["outputs"] = new JsonObject { ["file"] = kept };
        fields["milliseconds"] = session.Timings.ToJson();
        return new Outcome(fields, text => Write(text, read, chart, match, targetText, kept, use)) { Problems = Doubts(read, chart, match) };
    }

    private static Rgba8 Chosen(ColorMatch match, Choice use) => use switch
    {
        Choice.Nearest => match.Nearest.Color.ToRgba8(),
        Choice.HueTrue when match.HueTrue is { } hueTrue => hueTrue.Color,
        // In gamut, the computed color has the hue already; where nothing can be computed, the printed patch is all there is.
        _ => match.Computed?.Color ?? match.Nearest.Color.ToRgba8(),
    };

    private static Lab Target(string text)
    {
        if (Rgba8.TryParse(text, out var color))
        {
            return LabSpace.D50.Of(color);
        }

        double?[] parts = text.StartsWith("lab:", StringComparison.OrdinalIgnoreCase)
            ? [.. text[4..].Split(',').Select(part => double.TryParse(part.Trim(), NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double value) ? value : (double?)null)]
            : [];
        return parts is [>= 0 and <= 100 and var l, >= -200 and <= 200 and var a, >= -200 and <= 200 and var b]
            ? new Lab(l, a, b)
            : throw new ProblemException(Codes.BadTarget, $"The target '{CleanText.Line(text, 60)}' is neither #rrggbb nor lab:L,a,b.",
                "Write --target \"#c8102e\" for a color of a screen, or --target lab:44.2,64.1,31.5 for one measured under D50: L from 0 to 100, a and b from -200 to 200.");
    }

    private static List<Problem> Doubts(ReadChart read, MeasuredChart chart, ColorMatch match)
    {
        var place = new Place(read.Path);
        List<Problem> problems = [.. read.File.Doubts.Select(doubt => Doubt(doubt, "Check that this is what the file means."))];
        if (chart.Outliers.Length > 0)
        {
            string labels = string.Join(", ", chart.Outliers.Take(8).Select(outlier => $"{outlier.Label} ({N(outlier.Difference)})"));
            problems.Add(Doubt($"{chart.Outliers.Length} of {chart.Readings} readings stand out from what the others let expect, and were left out: {labels}{(chart.Outliers.Length > 8 ? ", …" : "")}.",
                "Measure these patches again. If the readings hold, look at the print: a clogged nozzle, a seam or a fold."));
        }

        if (match.Computed is null)
        {
            problems.Add(Doubt($"Nothing can be computed from {chart.Patches.Length} colors that are so few or so alike; only the nearest patch is given.", "Measure a chart of at least 3x3x3 patches."));
        }

        return problems;

        Problem Doubt(string message, string hint) => new(Codes.DoubtfulChart, message, hint, place, Severity.Warning);
    }

    private static void Write(TextWriter text, ReadChart read, MeasuredChart chart, ColorMatch match, string target, string? kept, Choice use)
    {
        text.WriteLine($"target    {target}, Lab {Lab(match.Target)} under D50");
        string repeats = chart.RepeatScatter is { } scatter ? $", repeats scatter by {N(scatter)}" : "";
        text.WriteLine($"chart     {Numeral.Of(chart.Readings)} readings of {Numeral.Of(chart.Patches.Length)} colors, "
            + $"RGB from 0 to {(int)read.File.Scale}{repeats}");
        text.WriteLine($"nearest   {match.Nearest.Color.ToRgba8()} = {match.Nearest.Label}, printed and measured: {N(match.NearestDifference)} from the target");
        if (match.Computed is { } computed)
        {
            text.WriteLine($"computed  {computed.Color}, predicted: {N(computed.Difference)} from the target, give or take {N(match.Uncertainty!.Value)}");
            text.WriteLine(match.InGamut == true
                ? "gamut     the target is in gamut"
                : $"gamut     the target is out of gamut; {computed.Color} is the nearest that prints");
        }

        if (match.HueTrue is { } hueTrue)
        {
            text.WriteLine($"hue-true  {hueTrue.Color} keeps the hue: {N(hueTrue.Difference)} from the target");
        }

        if (match.ModelsDiffer is { } differ)
        {
            text.WriteLine($"check     a second, coarser model differs by {N(differ)} at the computed color");
        }

        if (kept is not null)
        {
            text.WriteLine($"Kept {Chosen(match, use)} in {kept}; a color parameter takes it: --set to={kept}");
        }

        text.WriteLine("Differences are CIEDE2000. Print a bracket around the color before you trust it: recipes chart --around.");
    }

    private static string Lab(Lab lab) => $"{N(lab.L)}, {N(lab.A)}, {N(lab.B)}";

    private static string N(double value) => MatchFile.Round(value).ToString("0.00", CultureInfo.InvariantCulture);
}
