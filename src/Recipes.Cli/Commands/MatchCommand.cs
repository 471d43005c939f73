using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Hosting.Charts;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Imaging.Charts;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>match</c>: which color to send, so that the print shows the one wanted.</summary>
internal static class MatchCommand
{
    private static readonly Dictionary<string, MatchChoice> Choices = new()
    {
        ["computed"] = MatchChoice.Computed, ["nearest"] = MatchChoice.Nearest, ["hue-true"] = MatchChoice.HueTrue,
    };

    public static Command Create()
    {
        var measured = new Option<string>("--measured")
        {
            Description = "The measured chart, CGATS.17 or ISO 28178 text", HelpName = "FILE", Required = true,
        };
        var target = new Option<string>("--target")
        {
            Description = "The color wanted: of a screen as #rrggbb, or measured as lab:L,a,b under D50",
            HelpName = "COLOR", Required = true,
        };
        var scale = new Option<string?>("--rgb-scale")
        {
            Description = "The scale of the chart's RGB values, where the file leaves it open: 255 or 100", HelpName = "N",
        };
        var output = new Option<string?>("--output", "-o")
        {
            Description = "Keep the result as a .json file, which a color parameter takes", HelpName = "FILE",
        };
        var use = new Option<string>("--use")
        {
            Description = "Which color to keep: computed, nearest or hue-true", HelpName = "WHICH", DefaultValueFactory = _ => "computed",
        };
        use.AcceptOnlyFromAmong([.. Choices.Keys]);
        var force = Options.Force();
        var command = new Command("match", "Finds the color to print for a color wanted, from a measured chart")
        {
            measured, target, scale, output, use, force,
        };
        const string example = "recipes match --measured chart-measured.txt --target \"#c8102e\"\n"
            + "  recipes match --measured chart-measured.txt --target lab:44.2,64.1,31.5 -o red.json";
        return command.With(example, session =>
        {
            var parse = session.Parse;
            var request = new MatchRequest(parse.GetRequiredValue(measured), parse.GetRequiredValue(target))
            {
                Scale = ScaleOf(parse.GetValue(scale)), Path = parse.GetValue(output), Use = Choices[parse.GetValue(use)!], Force = parse.GetValue(force),
            };
            return Told(session, request, MatchColor.Find(session.Shop, request));
        });
    }

    private static RgbScale? ScaleOf(string? text) => text switch
    {
        null => null,
        "255" => RgbScale.Levels,
        "100" => RgbScale.Percent,
        _ => throw new ProblemException(
            Codes.BadUsage, $"'--rgb-scale' takes 255 or 100, not '{CleanText.Line(text, 40)}'.", "Write --rgb-scale 255, for instance."),
    };

    private static Outcome Told(Session session, MatchRequest request, MatchedColor found)
    {
        var (chart, fields) = (found.Chart, found.Fields);
        fields["scatter"] = chart.RepeatScatter is { } scatter ? MatchFile.Round(scatter) : null;
        fields["model"] = chart.Model switch
        {
            SplineModel spline => new JsonObject
            {
                ["kind"] = "spline", ["degree"] = spline.Degree, ["smoothing"] = spline.Smoothing, ["patches"] = spline.Patches.Length,
            },
            TetrahedralModel grid => new JsonObject { ["kind"] = "tetrahedral", ["patches"] = grid.Count },
            _ => null,
        };
        fields["modelsDiffer"] = found.Match.ModelsDiffer is { } differ ? MatchFile.Round(differ) : null;
        fields["outliers"] = new JsonArray([.. chart.Outliers.Select(outlier => new JsonObject
        {
            ["label"] = outlier.Label, ["rgb"] = outlier.Color.ToRgba8().ToString(), ["lab"] = MatchFile.Of(outlier.Lab),
            ["expected"] = MatchFile.Of(outlier.Expected), ["difference"] = MatchFile.Round(outlier.Difference),
        })]);
        fields["outputs"] = new JsonObject { ["file"] = request.Path };
        fields["milliseconds"] = session.Timings.ToJson();
        return new Outcome(fields, text => Write(text, request, found)) { Problems = found.Doubts };
    }

    private static void Write(TextWriter text, MatchRequest request, MatchedColor found)
    {
        var (read, chart, match, color, _) = found;
        text.WriteLine($"target    {request.Target}, Lab {Lab(match.Target)} under D50");
        string repeats = chart.RepeatScatter is { } scatter ? $", repeats scatter by {N(scatter)}" : "";
        text.WriteLine($"chart     {Numeral.Of(chart.Readings)} readings of {Numeral.Of(chart.Patches.Length)} colors, "
            + $"RGB from 0 to {(int)read.File.Scale}{repeats}");
        text.WriteLine($"nearest   {match.Nearest.Color.ToRgba8()} = {match.Nearest.Label}, printed and measured: "
            + $"{N(match.NearestDifference)} from the target");
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

        if (request.Path is { } kept)
        {
            text.WriteLine($"Kept {color} in {kept}; a color parameter takes it: --set to={kept}");
        }

        text.WriteLine("Differences are CIEDE2000. Print a bracket around the color before you trust it: recipes chart --around.");
    }

    private static string Lab(Lab lab) => $"{N(lab.L)}, {N(lab.A)}, {N(lab.B)}";

    private static string N(double value) => MatchFile.Text(value);
}
