using System.CommandLine;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Imaging.Charts;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>chart</c>: patches to print, and the reference data that a measurement goes with.</summary>
internal static class ChartCommand
{
    // 125 colors are measured in an hour by hand and fit on one page; interpolated, they say more than the nearest of 729.
    private const int Levels = 5;
    private const int Grays = 16;
    // An instrument's aperture and its edge need about this much; common practice, no source.
    private const double SmallestForInstruments = 12;
    private const double SmallestPatch = 3, LargestPatch = 100;

    public static Command Create()
    {
        var output = new Option<string>("--output", "-o") { Description = "The picture to write, as .png; FILE-1.png and on where it takes several pages, FILE.txt beside it", HelpName = "FILE", Required = true };
        var grid = new Option<int>("--grid") { Description = "Levels of each channel, 2 to 12", HelpName = "N", DefaultValueFactory = _ => Levels };
        var gray = new Option<int>("--gray") { Description = "Steps of gray beside the grid, 0 to 64", HelpName = "N", DefaultValueFactory = _ => Grays };
        var repeats = new Option<int>("--repeats") { Description = "How often each color of the grid is printed, 1 to 5", HelpName = "N", DefaultValueFactory = _ => 1 };
        var around = new Option<string?>("--around") { Description = "A bracket around this color instead of a grid", HelpName = "#rrggbb" };
        var step = new Option<string>("--step") { Description = "The bracket's steps: one for L*, C* and as much of hue, or three as L,C,h with h in degrees", HelpName = "N|L,C,h", DefaultValueFactory = _ => "4" };
        var patch = new Option<string>("--patch") { Description = "The side of a patch, in mm or in", HelpName = "LENGTH", DefaultValueFactory = _ => "12mm" };
        var setup = Options.Setup();
        var force = Options.Force();
        var command = new Command("chart", "Makes a chart of color patches to print, with the reference data to measure it against")
        {
            output, grid, gray, repeats, around, step, patch, setup, Options.Garment, force,
        };
        return command.With("recipes chart -o chart.png --setup light-garment\n  recipes chart -o orange.png --around \"#e07820\" --step 3 --patch 0.5in", session =>
        {
            var parse = session.Parse;
            var chosen = ChosenSetup.Find(session.Setup(setup), null).Required().Setup;
            bool isBracket = parse.GetValue(around) is not null;
            foreach (var option in isBracket ? new Option[] { grid, gray, repeats } : [step])
            {
                if (parse.GetResult(option) is { Implicit: false })
                {
                    throw Bad($"{option.Name} goes with {(isBracket ? "a grid" : "--around")}", isBracket ? "Leave it out, or leave --around out." : "Add --around \"#rrggbb\", or leave it out.");
                }
            }

            var chart = parse.GetValue(around) is { } color
                ? Around(color, parse.GetValue(step)!, chosen)
                : PatchChart.Grid(
                    InRange(parse.GetValue(grid), 2, PatchChart.MostLevels, grid.Name), InRange(parse.GetValue(gray), 0, PatchChart.MostGrays, gray.Name),
                    InRange(parse.GetValue(repeats), 1, PatchChart.MostRepeats, repeats.Name), chosen.Ink);
            return Run(session, chart, chosen, parse.GetRequiredValue(output), parse.GetValue(patch)!, parse.GetValue(force));
        });
    }

    private static Outcome Run(Session session, PatchChart chart, GarmentSetup setup, string path, string patchText, bool force)
    {
        if (!path.EndsWith(".png", StringComparison.OrdinalIgnoreCase))
        {
            throw new ProblemException(Codes.BadUsage, $"'{CleanText.Line(path, 120)}' is not a .png file name; chart writes .png.", "Name the output with .png.");
        }

        double pxPerMillimeter = setup.PixelsPerInch / 25.4;
        if (patchText.EndsWith("px", StringComparison.Ordinal) || Measure.Length(patchText, setup.PixelsPerInch) is not { } side
            || side < SmallestPatch * pxPerMillimeter - 1e-6 || side > LargestPatch * pxPerMillimeter + 1e-6)
        {
            throw Bad($"--patch takes {SmallestPatch}mm to {LargestPatch}mm, in mm or in, not '{CleanText.Line(patchText, 40)}'", "Write --patch 12mm, for instance.");
        }

        int patch = (int)Math.Round(side, MidpointRounding.AwayFromZero);
        double width = (setup.PlatenWidth - (2 * setup.SafeMargin)) * setup.PixelsPerInch, height = (setup.PlatenHeight - (2 * setup.SafeMargin)) * setup.PixelsPerInch;
        if (width > Artwork.LargestSide || height > Artwork.LargestSide || width * height > Artwork.MostPixels)
        {
            throw Bad("the platen is too large at this resolution for one picture", "Use a garment setup of less resolution.");
        }

        string identity = IdentityOf(chart, setup, patch);
        var laid = ChartPages.LayOut(chart, setup, patch, identity) ?? throw Bad(
            string.Create(CultureInfo.InvariantCulture, $"it doesn't fit on the platen of {setup.Name}, {setup.PlatenWidth} x {setup.PlatenHeight} in"), "Make the patches smaller with --patch, or use a setup with a larger platen.");
        string stem = path[..^4], reference = stem + ".txt";
        string[] pages = laid.Pages.Length == 1 ? [path] : [.. Enumerable.Range(1, laid.Pages.Length).Select(page => string.Create(CultureInfo.InvariantCulture, $"{stem}-{page}.png"))];
        if (!force && pages.Append(reference).FirstOrDefault(File.Exists) is { } existing)
        {
            throw AtomicFile.Exists(existing);
        }

        var printed = laid.Cells.Where(cell => !cell.Crossed).Select(cell => (cell.Label, cell.Color)).ToArray();
        session.Progress.Counting("Drawing the chart", pages.Length, count =>
        {
            foreach (var (page, file) in laid.Pages.Zip(pages))
            {
                session.Cancel.ThrowIfCancellationRequested();
                var picture = laid.Draw(page);
                AtomicFile.Write(file, stream => PngWriter.Write(stream, picture, setup.PixelsPerInch), replace: force);
                count();
            }
        });
        // Last, so that a reference beside a page says that all pages are there.
        AtomicFile.Write(reference, stream => ChartFile.WriteReference(stream, $"{chart.Title}; setup {setup.Name}", identity, printed), replace: force);
        string sha256 = Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(reference)));

        List<Problem> problems = [];
        if (side < SmallestForInstruments * pxPerMillimeter - 1e-6)
        {
            problems.Add(new Problem(Codes.DoubtfulChart, $"Patches of {patchText} suit the eye, but most instruments need at least {SmallestForInstruments} mm.", "Add --patch 12mm if the chart is going to be measured.", null, Severity.Warning));
        }

        var fields = new JsonObject
        {
            ["setup"] = SetupJson.ToJson(setup),
            ["chart"] = new JsonObject
            {
                ["id"] = identity,
                ["title"] = chart.Title,
                ["patches"] = printed.Length,
                ["crossed"] = laid.Cells.Count(cell => cell.Crossed),
                ["reference"] = new JsonObject { ["file"] = reference, ["sha256"] = sha256 },
            },
            ["cells"] = new JsonArray([.. laid.Cells.Select(cell => new JsonObject
            {
                ["label"] = cell.Label, ["rgb"] = cell.Crossed ? null : cell.Color.ToString(), ["note"] = cell.Note,
            })]),
            ["outputs"] = new JsonObject { ["pages"] = new JsonArray([.. pages.Select(page => (JsonNode)page)]), ["reference"] = reference },
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"{identity}: {chart.Title}, {Numeral.Of(printed.Length)} patches of {patchText} for {setup.Name}.");
            text.WriteLine($"Wrote {string.Join(", ", pages)} and the reference {reference}.");
            text.WriteLine("Print it at its own size on the garment it is for, cure it and let it cool before anybody looks or measures; docs/charts.md says how.");
            text.WriteLine($"For chart:LABEL, add to the setup: \"chart\": {{ \"file\": \"{Path.GetFileName(reference)}\", \"sha256\": \"{sha256}\", \"date\": \"yyyy-mm-dd\" }}");
        }) { Problems = problems };
    }

    // The same chart has the same name everywhere, so that a print found in a drawer finds its reference.
    private static string IdentityOf(PatchChart chart, GarmentSetup setup, int patch)
    {
        string text = string.Create(CultureInfo.InvariantCulture,
            $"{chart.Title}\n{setup.Name} {setup.PlatenWidth} {setup.PlatenHeight} {setup.SafeMargin} {setup.PixelsPerInch} {patch}\n{string.Join(' ', chart.Colors)}\n{string.Join(' ', chart.Cells)}");
        return $"CHART-{Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(text)))[..6]}";
    }

    private static PatchChart Around(string text, string steps, GarmentSetup setup)
    {
        if (!Rgba8.TryParse(text, out var color))
        {
            throw Bad($"--around takes a color as #rrggbb, not '{CleanText.Line(text, 40)}'", "Write --around \"#e07820\", for instance.");
        }

        double?[] numbers = [.. steps.Split(',').Select(part => double.TryParse(part, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double value) && value is >= 0.5 and <= 30 ? value : (double?)null)];
        return numbers switch
        {
            [{ } all] => PatchChart.Around(color, all, all, null, setup.Ink),
            [{ } lightness, { } chroma, { } hue] => PatchChart.Around(color, lightness, chroma, hue, setup.Ink),
            _ => throw Bad($"--step takes one number or three, each from 0.5 to 30, not '{CleanText.Line(steps, 40)}'", "Write --step 4, or --step 4,4,8 for L*, C* and degrees of hue."),
        };
    }

    private static int InRange(int value, int least, int most, string option) => value >= least && value <= most ? value
        : throw Bad(string.Create(CultureInfo.InvariantCulture, $"{option} takes {least} to {most}, not {value}"), $"Write {option} {least}, for instance.");

    private static ProblemException Bad(string what, string hint) => new(Codes.BadChart, $"The chart can't be made: {what}.", hint);
}
