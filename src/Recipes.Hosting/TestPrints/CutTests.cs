using System.Collections.Immutable;
using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Exports;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.TestPrints;

/// <summary>One test, cut from its art.</summary>
/// <param name="Id">What is printed below it, and noted in the garment's file.</param>
/// <param name="State">The art's state, with what is cut of it alone.</param>
/// <param name="Box">Where it was cut, px of the art.</param>
/// <param name="Piece">What is printed.</param>
/// <param name="LeavesOut">What of the art it doesn't show, and so doesn't test.</param>
public sealed record CutTest(string Id, ArtState State, Box Box, GangedTest Piece, IReadOnlyList<string> LeavesOut);

/// <summary>Tests of one setup and one resolution, cut from their arts.</summary>
/// <param name="Setup">The garment setup.</param>
/// <param name="PixelsPerInch">Their resolution.</param>
/// <param name="Tests">The tests.</param>
/// <param name="Warnings">What to know about the arts.</param>
public sealed record CutTests(GarmentSetup Setup, double PixelsPerInch, ImmutableArray<CutTest> Tests, ImmutableArray<Problem> Warnings)
{
    private const int LongestCaption = 60;

    // The largest side of a test that needs no smaller box, inches.
    private const double Small = 2;

    // Only the crops stay in memory.
    internal static CutTests Of(Shop shop, GangRequest request, Func<GarmentSetup, TestGarment> garmentFor)
    {
        CutTests? all = null;
        // Variants of one art are compared, so a box that was found in the first is theirs, too.
        var found = new Dictionary<(int Width, int Height), Box>();
        foreach (var wanted in request.Tests)
        {
            shop.Cancel.ThrowIfCancellationRequested();
            using var open = OpenArt.Of(shop, wanted.Art, toWrite: true);
            var state = open.State(shop.Workers);
            all ??= new CutTests(state.Setup, state.Setup.ResolutionFor(state.Art), [], []);
            all.RefuseOther(request.Tests[0].Art.Path, state);
            var garment = garmentFor(state.Setup);
            string id = string.Create(CultureInfo.InvariantCulture, $"{garment.Name}-{garment.Next + all.Tests.Length}");
            all = all with
            {
                Tests = all.Tests.Add(Cut(shop, wanted, state, BoxOf(shop, wanted, state, found), id)),
                Warnings = state.Setup.Underbase == Underbase.File ? [.. all.Warnings, .. SeparationFiles.Warning(state.Art)] : all.Warnings,
            };
        }

        return all!;
    }

    private void RefuseOther(string first, ArtState state)
    {
        string path = state.File.Path;
        double ppi = state.Setup.ResolutionFor(state.Art);
        if (SetupJson.Text(Setup) != SetupJson.Text(state.Setup))
        {
            throw Gang.Bad($"{first} was last worked on under {Setup.Name}, {path} under {state.Setup.Name}", "Name one with --setup.", path);
        }

        if (Math.Abs(PixelsPerInch - ppi) > 0.01)
        {
            throw Gang.Bad(
                string.Create(
                    CultureInfo.InvariantCulture, $"{first} has {PixelsPerInch:0.##} pixels per inch, {path} {ppi:0.##}, and a test resamples nothing"),
                "Run fit-to-platen on them first.", path);
        }
    }

    private static Box BoxOf(Shop shop, TestWanted wanted, ArtState state, Dictionary<(int Width, int Height), Box> found)
    {
        var (art, ink, ppi) = (state.Art, state.Setup.Ink, state.Setup.ResolutionFor(state.Art));
        if (wanted.Box != TestWanted.Auto)
        {
            return Given(wanted, art, ppi);
        }

        if (!found.TryGetValue((art.Width, art.Height), out var box))
        {
            box = shop.Progress.During("Looking for what to test", () => shop.Timings.Measure("find", () => Worthwhile(art.Flat, ink, ppi)))
                ?? throw Gang.Bad($"nothing of {wanted.Art.Path} prints", "Leave it out.", wanted.Art.Path);
            found[(art.Width, art.Height)] = box;
        }

        return box;
    }

    private static Box? Worthwhile(Plane<Rgba8> flat, InkRules rules, double ppi)
    {
        var ink = Find.Where(flat, pixel => rules.StateOf(pixel) == InkState.Prints).Bounds;
        return ink is { } all && Math.Max(all.Width, all.Height) <= Small * ppi ? all : TestBox.Smallest(flat, rules, ppi)?.Area;
    }

    private static Box Given(TestWanted wanted, Artwork art, double ppi)
    {
        var box = Measure.Box(wanted.Box, ppi) ?? throw Gang.Bad(
            $"--box takes x,y,w,h with units, or auto, not '{CleanText.Line(wanted.Box, 60)}'", "Write --box 1in,1in,2in,2in, for instance.");
        return box.Within(new Box(0, 0, art.Width, art.Height)) == box ? box
            : throw Gang.Bad($"the box {box} px doesn't lie inside {wanted.Art.Path}, {art.Width} x {art.Height} px",
                "Name a box inside of it.", wanted.Art.Path);
    }

    private static CutTest Cut(Shop shop, TestWanted wanted, ArtState state, Box box, string id)
    {
        var (art, setup) = (state.Art, state.Setup);
        var pixels = Crop.Of(art.Flat, box);
        if (InkCount.Of(pixels, setup.Ink).Prints == 0)
        {
            throw Gang.Bad($"nothing of {wanted.Art.Path} prints in the box {box} px", "Name another --box.", wanted.Art.Path);
        }

        string name = Path.GetFileNameWithoutExtension(wanted.Art.Path), caption = CleanText.Line(
            wanted.Caption ?? (state.Step == 0 ? name : string.Create(CultureInfo.InvariantCulture, $"{name} step {state.Step}")), LongestCaption);
        bool byFile = setup.Underbase == Underbase.File;
        var piece = new GangedTest(
            pixels, byFile && art.Underbase is { } first ? Crop.Of(first, box) : null, byFile && art.SecondPass is { } second ? Crop.Of(second, box) : null,
            caption.Length == 0 ? [id] : [id, caption]);
        // What a test doesn't show isn't tested, and nobody should think so.
        var judged = shop.Timings.Measure("find", () => TestBox.At(art.Flat, setup.Ink, setup.ResolutionFor(art), box));
        return new CutTest(id, state with { Art = Artwork.FromPixels(pixels), Work = null }, box, piece, judged?.LeavesOut ?? []);
    }
}
