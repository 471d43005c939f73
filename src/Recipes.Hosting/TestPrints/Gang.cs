using System.Collections.Immutable;
using System.Globalization;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Exports;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.TestPrints;

/// <summary>An art that is to be tested.</summary>
/// <param name="Art">The art. All that are tested together need one setup and one resolution.</param>
public sealed record TestWanted(ArtReference Art)
{
    /// <summary>Finds the box: all that prints where that is small, else what is worth testing.</summary>
    public const string Auto = "auto";

    /// <summary>What to print of it: <c>x,y,w,h</c> with units, or <see cref="Auto"/>.</summary>
    public string Box { get; init; } = Auto;

    /// <summary>What stands below it, after its ID; null for its name and step.</summary>
    public string? Caption { get; init; }
}

/// <summary>Tests that are to be packed on what is free of a test garment.</summary>
/// <param name="Tests">The tests, 1 to 100.</param>
/// <param name="Path">The picture of the whole platen, a .png; planes of white ink are written beside it.</param>
/// <param name="GarmentPath">The test garment's file, a .json, made where there is none.</param>
public sealed record GangRequest(ImmutableArray<TestWanted> Tests, string Path, string GarmentPath)
{
    /// <summary>What stays free towards edges and earlier tests, in mm or in; null for 0.5 in, or the setup's safe margin where that is larger.</summary>
    public string? Margin { get; init; }

    /// <summary>True: takes the place of files that are there.</summary>
    public bool Force { get; init; }

    internal string[] Arts => [.. Tests.Select(test => test.Art.Path)];
}

/// <summary>Tests that were packed on a garment.</summary>
/// <param name="Cut">The tests, in the order asked for.</param>
/// <param name="Places">Where each lies with its caption, px of the platen.</param>
/// <param name="Garment">The garment with them on it.</param>
/// <param name="Margin">What stays free, inches.</param>
/// <param name="Planes">The files of white ink.</param>
public sealed record Ganged(CutTests Cut, ImmutableArray<Box> Places, TestGarment Garment, double Margin, IReadOnlyList<SeparationFiles> Planes)
{
    /// <summary>What the garment's file says of each test.</summary>
    public IEnumerable<UsedPlace> Used => Garment.Used.TakeLast(Places.Length);
}

/// <summary>Packs test prints with captions on the free part of a test garment.</summary>
public static class Gang
{
    private const int MostTests = 100;

    // A garment never lies twice in the same place; common practice, no source.
    private const double LoadingMargin = 0.5;

    /// <summary>Packs them, and writes the picture and the garment's file: both or neither.</summary>
    /// <exception cref="ProblemException">
    /// R1001 a name has the wrong ending; R1008 nobody chose the setup; R3 codes an art can't be read; R7501 to R7504 the garment, its room, the tests;
    /// R8 codes a file can't be written.
    /// </exception>
    public static Ganged Write(Shop shop, GangRequest request)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        RefuseNames(request);
        // What a link leads to is what others read; a file in the link's place would let them print on used places.
        string garmentFile = RealPath.Of(request.GarmentPath);
        using var hold = TestGarment.Hold(garmentFile);
        var garment = TestGarment.Read(request.GarmentPath);
        var cut = CutTests.Of(shop, request, setup => garment ??= TestGarment.Fresh(request.GarmentPath, setup));
        RefuseOtherPlaten(request, garment!, cut.Setup);
        double margin = Margin(request.Margin, cut.Setup);
        var sheet = LayOut(request, cut, garment!, margin);
        var art = shop.Progress.During("Drawing the tests", () => shop.Timings.Measure("draw", sheet.Draw));
        var ganged = new Ganged(cut, sheet.Places, WithTests(garment!, cut, sheet.Places), margin, SeparationFiles.Of(art, request.Path));
        foreach (var plane in ganged.Planes)
        {
            RefuseOutput(request, plane.Path);
        }

        shop.Cancel.ThrowIfCancellationRequested();
        shop.Progress.During("Writing the picture", () => shop.Timings.Measure("encode", () =>
        {
            // The garment's first: were the machine to stop between two of them, a place would stay unused, never be used twice.
            AtomicFile.WriteAll([(garmentFile, ganged.Garment.Write, true), .. Pictures(request, ganged, art)]);
            return true;
        }));
        return ganged;
    }

    private static void RefuseNames(GangRequest request)
    {
        if (!request.Path.EndsWith(".png", StringComparison.OrdinalIgnoreCase))
        {
            throw new ProblemException(
                Codes.BadUsage, $"'{CleanText.Line(request.Path, 120)}' is not a .png file name; gang writes .png.", "Name the output with .png.");
        }

        if (!request.GarmentPath.EndsWith(".json", StringComparison.OrdinalIgnoreCase))
        {
            throw new ProblemException(Codes.BadUsage,
                $"'{CleanText.Line(request.GarmentPath, 120)}' is not a .json file name; a test garment is a .json file.", "Name it with .json.");
        }

        if (request.Tests.Length is < 1 or > MostTests)
        {
            throw request.Tests.Length < 1 ? Bad("No test is named", "Name the arts to test.")
                : Bad($"{request.Tests.Length} tests are more than {MostTests}", "Gang fewer at once.");
        }

        AtomicFile.RefuseOriginal(request.GarmentPath, request.Arts);
        RefuseOutput(request, request.Path);
    }

    private static void RefuseOutput(GangRequest request, string path)
    {
        AtomicFile.RefuseOriginal(path, request.Arts);
        if (!request.Force && File.Exists(path))
        {
            throw AtomicFile.Exists(path);
        }
    }

    private static void RefuseOtherPlaten(GangRequest request, TestGarment garment, GarmentSetup setup)
    {
        if (Math.Abs(garment.PlatenWidth - setup.PlatenWidth) > 1e-6 || Math.Abs(garment.PlatenHeight - setup.PlatenHeight) > 1e-6)
        {
            throw new ProblemException(Codes.BadTestGarment,
                $"The test garment lies on a platen of {Inches(garment.PlatenWidth, garment.PlatenHeight)}, "
                    + $"the setup's has {Inches(setup.PlatenWidth, setup.PlatenHeight)}.",
                "Choose the setup with that platen, or another test garment.", new Place(request.GarmentPath));
        }

        static string Inches(double width, double height) => string.Create(CultureInfo.InvariantCulture, $"{width} x {height} in");
    }

    private static GangSheet LayOut(GangRequest request, CutTests cut, TestGarment garment, double margin)
    {
        var (setup, ppi) = (cut.Setup, cut.PixelsPerInch);
        if (garment.Used.Length + cut.Tests.Length > TestGarment.MostUsed)
        {
            throw NoRoom(request.GarmentPath, $"it would hold more than {TestGarment.MostUsed} of them");
        }

        var platen = setup.PlatenAt(ppi);
        if (platen.Width > Artwork.LargestSide || platen.Height > Artwork.LargestSide || (long)platen.Width * platen.Height > Artwork.MostPixels)
        {
            throw Bad("the platen is too large at this resolution for one picture", "Use art of less resolution.");
        }

        var area = new PlatenPlace(0, 0, setup.PlatenWidth, setup.PlatenHeight).Inside(ppi, margin).Within(platen);
        area = garment.Pretreated is { } pretreated ? area.Within(pretreated.Inside(ppi, margin)) : area;
        return GangSheet.LayOut(setup, ppi, [.. cut.Tests.Select(test => test.Piece)], area, [.. garment.Used.Select(used => used.Place.Outside(ppi, margin))])
            ?? throw NoRoom(request.GarmentPath, string.Create(CultureInfo.InvariantCulture,
                $"{cut.Tests.Length} tests with their captions don't fit on what is free of it, {margin:0.###} in away from edges and earlier tests"));
    }

    private static TestGarment WithTests(TestGarment garment, CutTests cut, ImmutableArray<Box> places) => garment with
    {
        Used =
        [
            .. garment.Used,
            .. cut.Tests.Zip(places, (test, place) => new UsedPlace(PlatenPlace.Around(place, cut.PixelsPerInch), test.Id, CleanText.Line(
                $"{Path.GetFileName(test.State.File.Path)}, step {test.State.Step}, box {test.Box}, setup {cut.Setup.Name}", 190))),
        ],
    };

    private static IEnumerable<(string Path, Action<Stream> Write, bool Replace)> Pictures(GangRequest request, Ganged ganged, Artwork art)
    {
        var (ids, setup, ppi) = (ganged.Cut.Tests.Select(test => test.Id), ganged.Cut.Setup, ganged.Cut.PixelsPerInch);
        PngText[] says =
        [
            new PngText("Comment", CleanText.Line($"Test prints {string.Join(", ", ids)}; setup {setup.Name}", 1000)),
            new PngText(PngText.Provenance, TestSheet.Gang.ToJson(setup.Name, ids)),
        ];
        return
        [
            .. ganged.Planes.Select(plane => (plane.Path, (Action<Stream>)(stream => PngWriter.Write(stream, plane.Ink, ppi, says)), request.Force)),
            (request.Path, stream => PngWriter.Write(stream, art.Flat, ppi, says), request.Force),
        ];
    }

    private static double Margin(string? text, GarmentSetup setup)
    {
        if (text is null)
        {
            return Math.Max(LoadingMargin, setup.SafeMargin);
        }

        // At one px to the inch a length is inches.
        double? inches = text.EndsWith("px", StringComparison.Ordinal) ? null : Measure.Length(text, 1);
        return inches is { } margin && margin >= setup.SafeMargin && margin <= 10 ? margin
            : throw Bad(string.Create(CultureInfo.InvariantCulture,
                $"--margin takes mm or in, from the setup's safe margin of {setup.SafeMargin:0.###} in to 10 in, not '{CleanText.Line(text, 40)}'"),
                "Write --margin 0.5in, for instance.");
    }

    private static ProblemException NoRoom(string path, string why) => new(Codes.NoRoom, $"The tests don't fit on the test garment: {why}.",
        "Gang fewer tests, make their boxes smaller with --box, or begin another test garment with --test-garment.", new Place(path));

    /// <summary>The problem of tests that can't be ganged.</summary>
    /// <param name="what">Why, in a sentence's end.</param>
    /// <param name="hint">What to do.</param>
    /// <param name="file">The art, or null.</param>
    public static ProblemException Bad(string what, string hint, string? file = null) =>
        new(Codes.BadGang, $"The tests can't be ganged: {what}.", hint, file is null ? null : new Place(file));
}
