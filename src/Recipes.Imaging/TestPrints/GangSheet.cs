using System.Collections.Immutable;
using Recipes.Imaging.Pictures;

namespace Recipes.Imaging;

/// <summary>One test on a sheet: a crop of an art, and the lines of its caption.</summary>
/// <param name="Pixels">The crop, pixel for pixel as it prints.</param>
/// <param name="Underbase">The file's white under it, or null.</param>
/// <param name="SecondPass">A second pass of that, or null.</param>
/// <param name="Caption">What stands below it: its ID first.</param>
public sealed record GangedTest(Plane<Rgba8> Pixels, Plane<byte>? Underbase, Plane<byte>? SecondPass, ImmutableArray<string> Caption);

/// <summary>Tests packed on a platen, each with its caption below. Everything between is bare. No pixel is resampled.</summary>
public sealed class GangSheet
{
    // What stays free between a test and its caption, and between two tests, inches. House values, no source.
    private const double CaptionGap = 0.06, TestGap = 0.125;
    // A caption under a narrow test may be so wide, inches.
    private const double CaptionWidth = 1.5;

    private readonly GarmentSetup setup;
    private readonly double pixelsPerInch;
    private readonly ImmutableArray<(GangedTest Test, ImmutableArray<string> Lines)> tests;
    private readonly int scale, captionGap;

    private GangSheet(GarmentSetup setup, double pixelsPerInch, IEnumerable<GangedTest> tests)
    {
        this.setup = setup;
        this.pixelsPerInch = pixelsPerInch;
        scale = Lettering.PrintScale(pixelsPerInch);
        captionGap = (int)Math.Ceiling(CaptionGap * pixelsPerInch);
        int narrow = (int)(CaptionWidth * pixelsPerInch);
        this.tests = [.. tests.Select(test =>
            (test, test.Caption.SelectMany(line => Lettering.Wrap(line, Math.Max(narrow, test.Pixels.Width), scale)).ToImmutableArray()))];
    }

    /// <summary>Where each test with its caption lies, px of the platen, in the order given.</summary>
    public ImmutableArray<Box> Places { get; private set; }

    /// <summary>Packs tests; null where they don't all fit.</summary>
    /// <param name="setup">The garment setup: platen, what stays bare, who lays the underbase.</param>
    /// <param name="pixelsPerInch">The resolution of all crops.</param>
    /// <param name="tests">The tests.</param>
    /// <param name="area">Where they may lie, px of the platen.</param>
    /// <param name="taken">Where none may lie, px of the platen.</param>
    public static GangSheet? LayOut(GarmentSetup setup, double pixelsPerInch, IReadOnlyList<GangedTest> tests, Box area, IReadOnlyCollection<Box> taken)
    {
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentNullException.ThrowIfNull(tests);
        var sheet = new GangSheet(setup, pixelsPerInch, tests);
        int gap = (int)Math.Ceiling(TestGap * pixelsPerInch);
        if (Packing.Place(area, taken, [.. sheet.tests.Select(test => sheet.SizeOf(test.Test, test.Lines))], gap) is not { } places)
        {
            return null;
        }

        sheet.Places = places;
        return sheet;
    }

    /// <summary>
    /// Draws the platen. Captions are black, or white on dark cloth; where the file lays the underbase, a white caption gets a solid
    /// of it, and every test what its art has.
    /// </summary>
    public Artwork Draw()
    {
        var platen = setup.PlatenAt(pixelsPerInch);
        var bare = setup.Ink.Bared(Rgba8.White);
        var ink = Lettering.InkOn(setup);
        var pixels = Plane<Rgba8>.Build(platen.Width, platen.Height, null, (bounds, samples) =>
        {
            samples.Fill(bare);
            Lay(bounds, samples, test => test.Pixels);
            Write(new Canvas(bounds, samples), ink);
        });
        var art = Artwork.FromPixels(pixels, pixelsPerInch);
        if (setup.Underbase != Underbase.File)
        {
            return art;
        }

        var white = Plane<byte>.Build(platen.Width, platen.Height, null, (bounds, samples) =>
        {
            samples.Clear();
            if (ink == setup.Ink.BrightestWhite)
            {
                var letters = new Rgba8[samples.Length];
                Write(new Canvas(bounds, letters), ink);
                for (int i = 0; i < letters.Length; i++)
                {
                    samples[i] = letters[i] == ink ? (byte)255 : (byte)0;
                }
            }

            Lay(bounds, samples, test => test.Underbase);
        });
        art = art.WithLayer(Layer.Separation("underbase", LayerIntent.Underbase, white));
        return tests.All(test => test.Test.SecondPass is null) ? art : art.WithLayer(Layer.Separation("underbase second pass", LayerIntent.SecondPass,
            Plane<byte>.Build(platen.Width, platen.Height, null, (bounds, samples) =>
            {
                samples.Clear();
                Lay(bounds, samples, test => test.SecondPass);
            })));
    }

    private int LineHeight => (Lettering.Height + 2) * scale;

    private (int Width, int Height) SizeOf(GangedTest test, ImmutableArray<string> lines) => (
        lines.Select(line => Lettering.WidthOf(line, scale)).Append(test.Pixels.Width).Max(), test.Pixels.Height + captionGap + (lines.Length * LineHeight));

    private void Lay<T>(Box bounds, Span<T> samples, Func<GangedTest, Plane<T>?> of)
        where T : unmanaged, IEquatable<T>
    {
        for (int i = 0; i < tests.Length; i++)
        {
            if (of(tests[i].Test) is not { } plane)
            {
                continue;
            }

            var part = new Box(Places[i].X, Places[i].Y, plane.Width, plane.Height).Within(bounds);
            for (int y = part.Y; y < part.Bottom && part.Width > 0; y++)
            {
                Crop.CopyRow(plane, part.X - Places[i].X, y - Places[i].Y, samples.Slice(((y - bounds.Y) * bounds.Width) + part.X - bounds.X, part.Width));
            }
        }
    }

    private void Write(Canvas canvas, Rgba8 ink)
    {
        for (int i = 0; i < tests.Length; i++)
        {
            int y = Places[i].Y + tests[i].Test.Pixels.Height + captionGap;
            foreach (string line in tests[i].Lines)
            {
                canvas.Write(line, Places[i].X, y, scale, ink);
                y += LineHeight;
            }
        }
    }
}
