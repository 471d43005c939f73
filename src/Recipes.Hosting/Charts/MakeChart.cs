using System.Collections.Immutable;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Imaging.Charts;
using Recipes.Problems;

namespace Recipes.Hosting.Charts;

/// <summary>A chart that is to be made.</summary>
/// <param name="Path">Its picture, a .png; FILE-1.png and on where it takes several pages. The reference is FILE.txt beside it.</param>
public sealed record ChartRequest(string Path)
{
    /// <summary>The garment setup, by name or file; null takes the chosen one.</summary>
    public string? Setup { get; init; }

    /// <summary>Levels of each channel of the grid, 2 to 12.</summary>
    // 125 colors are measured in an hour by hand and fit on one page; interpolated, they say more than the nearest of 729.
    public int Levels { get; init; } = 5;

    /// <summary>Steps of gray beside the grid, 0 to 64.</summary>
    public int Grays { get; init; } = 16;

    /// <summary>How often each color of the grid is printed, 1 to 5.</summary>
    public int Repeats { get; init; } = 1;

    /// <summary>The color that a bracket is made around, instead of a grid; null for a grid.</summary>
    public Rgba8? Around { get; init; }

    /// <summary>The bracket's steps: one for L*, C* and as much of hue, or three as <c>L,C,h</c> with h in degrees; each 0.5 to 30.</summary>
    public string Steps { get; init; } = "4";

    /// <summary>The side of a patch, 3 to 100 mm, in mm or in.</summary>
    public string Patch { get; init; } = "12mm";

    /// <summary>True: takes the place of files that are there.</summary>
    public bool Force { get; init; }
}

/// <summary>A chart that was made.</summary>
/// <param name="Title">What it shows.</param>
/// <param name="Setup">The garment setup that it is for.</param>
/// <param name="Identity">Its name, which is the same for the same chart everywhere.</param>
public sealed record MadeChart(string Title, GarmentSetup Setup, string Identity)
{
    /// <summary>Its places, crossed ones too.</summary>
    public required ImmutableArray<ChartCell> Cells { get; init; }

    /// <summary>The pictures.</summary>
    public required ImmutableArray<string> Pages { get; init; }

    /// <summary>What a measurement goes with.</summary>
    public required string Reference { get; init; }

    /// <summary>The reference's hash, lower-case hex; empty until it is written.</summary>
    public string ReferenceSha256 { get; init; } = "";

    /// <summary>What to know about it.</summary>
    public ImmutableArray<Problem> Warnings { get; init; } = [];

    /// <summary>The places that are printed.</summary>
    public IEnumerable<ChartCell> Printed => Cells.Where(cell => !cell.Crossed);
}

/// <summary>Makes a chart of color patches to print, with the reference data to measure it against.</summary>
public static class MakeChart
{
    // An instrument's aperture and its edge need about this much; common practice, no source.
    private const double SmallestForInstruments = 12;
    private const double SmallestPatch = 3, LargestPatch = 100;

    /// <summary>Makes it and writes its files.</summary>
    /// <exception cref="ProblemException">
    /// R1001 no .png; R1008 nobody chose the setup; R7004 it can't be made; R8001 a file exists; R8002 one can't be written.
    /// </exception>
    public static MadeChart Write(Shop shop, ChartRequest request)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        var setup = ChosenSetup.Find(request.Setup, null).Required().Setup;
        var chart = request.Around is { } color ? Bracket(color, request.Steps, setup.Ink) : Grid(request, setup.Ink);
        if (!request.Path.EndsWith(".png", StringComparison.OrdinalIgnoreCase))
        {
            throw new ProblemException(
                Codes.BadUsage, $"'{CleanText.Line(request.Path, 120)}' is not a .png file name; chart writes .png.", "Name the output with .png.");
        }

        double side = SideOf(request.Patch, setup);
        RefuseLarge(setup);
        int patch = (int)Math.Round(side, MidpointRounding.AwayFromZero);
        string identity = IdentityOf(chart, setup, patch);
        var laid = ChartPages.LayOut(chart, setup, patch, identity) ?? throw Bad(
            string.Create(CultureInfo.InvariantCulture, $"it doesn't fit on the platen of {setup.Name}, {setup.PlatenWidth} x {setup.PlatenHeight} in"),
            "Make the patches smaller with --patch, or use a setup with a larger platen.");
        string stem = request.Path[..^4];
        var made = new MadeChart(chart.Title, setup, identity)
        {
            Cells = [.. laid.Cells],
            Pages = laid.Pages.Length == 1 ? [request.Path]
                : [.. Enumerable.Range(1, laid.Pages.Length).Select(page => string.Create(CultureInfo.InvariantCulture, $"{stem}-{page}.png"))],
            Reference = stem + ".txt",
            Warnings = side >= (SmallestForInstruments * PixelsPerMillimeter(setup)) - 1e-6 ? [] :
            [
                new Problem(
                    Codes.DoubtfulChart, $"Patches of {request.Patch} suit the eye, but most instruments need at least {SmallestForInstruments} mm.",
                    "Add --patch 12mm if the chart is going to be measured.", null, Severity.Warning),
            ],
        };
        return made with { ReferenceSha256 = Write(shop, made, laid, request.Force) };
    }

    // Gives the reference's hash.
    private static string Write(Shop shop, MadeChart made, ChartPages laid, bool replace)
    {
        if (!replace && made.Pages.Append(made.Reference).FirstOrDefault(File.Exists) is { } existing)
        {
            throw AtomicFile.Exists(existing);
        }

        shop.Progress.Counting("Drawing the chart", made.Pages.Length, count =>
        {
            foreach (var (page, file) in laid.Pages.Zip(made.Pages))
            {
                shop.Cancel.ThrowIfCancellationRequested();
                var picture = laid.Draw(page);
                AtomicFile.Write(file, stream => PngWriter.Write(stream, picture, made.Setup.PixelsPerInch), replace);
                count();
            }
        });
        // Last, so that a reference beside a page says that all pages are there.
        return AtomicFile.WriteHashed(made.Reference, stream => ChartFile.WriteReference(
            stream, $"{made.Title}; setup {made.Setup.Name}", made.Identity, [.. made.Printed.Select(cell => (cell.Label, cell.Color))]), replace);
    }

    private static double PixelsPerMillimeter(GarmentSetup setup) => setup.PixelsPerInch / 25.4;

    private static double SideOf(string patch, GarmentSetup setup)
    {
        double scale = PixelsPerMillimeter(setup);
        return !patch.EndsWith("px", StringComparison.Ordinal) && Measure.Length(patch, setup.PixelsPerInch) is { } side
            && side >= (SmallestPatch * scale) - 1e-6 && side <= (LargestPatch * scale) + 1e-6 ? side
            : throw Bad($"--patch takes {SmallestPatch}mm to {LargestPatch}mm, in mm or in, not '{CleanText.Line(patch, 40)}'",
                "Write --patch 12mm, for instance.");
    }

    private static void RefuseLarge(GarmentSetup setup)
    {
        double width = (setup.PlatenWidth - (2 * setup.SafeMargin)) * setup.PixelsPerInch;
        double height = (setup.PlatenHeight - (2 * setup.SafeMargin)) * setup.PixelsPerInch;
        if (width > Artwork.LargestSide || height > Artwork.LargestSide || width * height > Artwork.MostPixels)
        {
            throw Bad("the platen is too large at this resolution for one picture", "Use a garment setup of less resolution.");
        }
    }

    // The same chart has the same name everywhere, so that a print found in a drawer finds its reference.
    private static string IdentityOf(PatchChart chart, GarmentSetup setup, int patch)
    {
        string platen = string.Create(
            CultureInfo.InvariantCulture, $"{setup.Name} {setup.PlatenWidth} {setup.PlatenHeight} {setup.SafeMargin} {setup.PixelsPerInch} {patch}");
        string text = string.Create(
            CultureInfo.InvariantCulture, $"{chart.Title}\n{platen}\n{string.Join(' ', chart.Colors)}\n{string.Join(' ', chart.Cells)}");
        return $"CHART-{Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(text)))[..6]}";
    }

    private static PatchChart Bracket(Rgba8 color, string steps, InkRules rules)
    {
        double?[] numbers =
        [
            .. steps.Split(',').Select(part => double.TryParse(part, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double value)
                && value is >= 0.5 and <= 30 ? value : (double?)null),
        ];
        return numbers switch
        {
            [{ } all] => PatchChart.Around(color, all, all, null, rules),
            [{ } lightness, { } chroma, { } hue] => PatchChart.Around(color, lightness, chroma, hue, rules),
            _ => throw Bad($"--step takes one number or three, each from 0.5 to 30, not '{CleanText.Line(steps, 40)}'",
                "Write --step 4, or --step 4,4,8 for L*, C* and degrees of hue."),
        };
    }

    private static PatchChart Grid(ChartRequest request, InkRules rules) => PatchChart.Grid(
        InRange(request.Levels, 2, PatchChart.MostLevels, "--grid"), InRange(request.Grays, 0, PatchChart.MostGrays, "--gray"),
        InRange(request.Repeats, 1, PatchChart.MostRepeats, "--repeats"), rules);

    private static int InRange(int value, int least, int most, string option) => value >= least && value <= most ? value
        : throw Bad(string.Create(CultureInfo.InvariantCulture, $"{option} takes {least} to {most}, not {value}"), $"Write {option} {least}, for instance.");

    /// <summary>The problem of a chart that can't be made.</summary>
    /// <param name="what">Why, in a sentence's end.</param>
    /// <param name="hint">What to do.</param>
    public static ProblemException Bad(string what, string hint) => new(Codes.BadChart, $"The chart can't be made: {what}.", hint);
}
