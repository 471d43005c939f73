using System.Runtime.InteropServices;
using Recipes.Imaging;
using Recipes.Problems;
using SkiaSharp;

namespace Recipes.Shipped.Tests;

/// <summary>
/// pure-black on drawings by SkiaSharp's rasterizer, through its JPEG encoder (libjpeg-turbo, chroma at half resolution) and its resampler,
/// none of which know this project. Where the black lies is known from drawing it alone.
/// </summary>
public class PureBlackTests
{
    private const int Width = 360, Height = 270;

    // Common practice, no source: 1 mm2 at 300 ppi, which an eye finds on cloth.
    private const int Spot = 140;

    private static readonly SKColor[] Fills = [new(240, 124, 28), new(34, 92, 140), new(250, 214, 20), new(200, 40, 44), new(0, 150, 110)];

    private sealed record Sample(Plane<Rgba8> Art, byte[] Coverage);

    [Theory]
    [InlineData(0, 0, 0)]
    [InlineData(10, 10, 10)]
    [InlineData(35, 31, 32)]
    public void Outlines_and_lettering_of_a_JPEG_drop_whole(byte r, byte g, byte b)
    {
        foreach (int quality in new[] { 60, 75, 85, 95 })
        {
            foreach (double scale in new[] { 1, 0.6, 1.7 })
            {
                DropsWhole(Through(new Rgba8(r, g, b), quality, scale), quality, $"{r},{g},{b} at quality {quality}, resized {scale}");
            }
        }
    }

    private static void DropsWhole(Sample sample, int quality, string which)
    {
        var art = sample.Art;
        var made = Shelf.Run("pure-black", art, Shelf.Black);
        made.ShouldBeClear();
        made.Run.Reporter.Questions.ShouldBeEmpty(which);
        var after = made.Pixels;
        var left = new byte[after.Length];
        int interior = 0, prints = 0, outside = 0;
        for (int i = 0; i < after.Length; i++)
        {
            bool inside = IsInside(sample.Coverage, art.Width, i);
            interior += inside ? 1 : 0;
            if (inside && !after[i].IsPureBlack)
            {
                left[i] = 255;
                prints++;
            }

            outside += sample.Coverage[i] == 0 && after[i].IsPureBlack ? 1 : 0;
        }

        outside.ShouldBe(0, which);
        // Today's pixel-by-pixel judgment left half of it and more.
        ((double)prints / interior).ShouldBeLessThan(quality < 75 ? 0.04 : 0.01, which);
        var spots = new Region(Plane<byte>.FromContiguous(art.Width, art.Height, left), art).Islands(diagonal: true);
        spots.Select(spot => spot.Count).DefaultIfEmpty(0).Max().ShouldBeLessThan(Spot, which);
    }

    // At least a pixel and a half from the edge of the shape.
    private static bool IsInside(byte[] coverage, int width, int i)
    {
        int x = i % width, y = i / width, height = coverage.Length / width;
        if (x == 0 || y == 0 || x == width - 1 || y == height - 1)
        {
            return false;
        }

        for (int v = -width; v <= width; v += width)
        {
            for (int u = -1; u <= 1; u++)
            {
                if (coverage[i + v + u] != 255)
                {
                    return false;
                }
            }
        }

        return true;
    }

    [Fact]
    public void Tinted_and_lighter_darks_beside_drawn_black_stay_to_the_pixel()
    {
        // A frame of black around flat fields; only black is within the limits.
        Rgba8[] fields = [new(0, 0, 40), new(20, 24, 60), new(24, 8, 8), new(60, 10, 15), new(8, 8, 15), new(42, 42, 42)];
        var art = Of(260, 60, (x, y) => y is < 8 or >= 52 || x % 43 < 3 ? new Rgba8(10, 10, 10) : fields[Math.Min(5, x / 43)]);
        var after = Shelf.Run("pure-black", art, Shelf.Black).Pixels;
        for (int i = 0; i < after.Length; i++)
        {
            var was = art[i % art.Width, i / art.Width];
            after[i].ShouldBe(was == new Rgba8(10, 10, 10) ? Rgba8.Black : was, $"at {i % art.Width},{i / art.Width}");
        }
    }

    [Theory]
    [InlineData(20, 24, 60)]
    [InlineData(0, 0, 60)]
    [InlineData(60, 10, 15)]
    public void Navy_and_maroon_shapes_of_a_JPEG_stay(byte r, byte g, byte b)
    {
        var drawn = Draw(canvas =>
        {
            canvas.Clear(SKColors.White);
            Ink(canvas, new SKColor(r, g, b), stroke: 14);
        });
        foreach (int quality in new[] { 60, 75, 95 })
        {
            var art = Jpeg(drawn, quality);
            var made = Shelf.Run("pure-black", art, Shelf.Black);
            made.Run.Reporter.Questions.ShouldBeEmpty();
            made.Pixels.Count(pixel => pixel.IsPureBlack).ShouldBeLessThan(20, $"quality {quality}");
        }
    }

    [Fact]
    public void Shadows_gradients_and_night_stay_and_ask_nothing()
    {
        var random = new Random(20260301);
        double Noise() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        Plane<Rgba8>[] shadows =
        [
            Of(Width, Height, (x, y) => Gray(((x + y) * 0.15) - 10)),
            Of(Width, Height, (x, y) => Gray(Math.Sqrt(((x - 180) * (x - 180)) + ((y - 130) * (y - 130))) * 0.6)),
            Of(Width, Height, (x, _) => Gray(12 + (x / 20.0) + (3 * Noise()))),
            Of(Width, Height, (x, y) => Gray(24 + (14 * Math.Sin(x * 0.05)) + (12 * Math.Cos(y * 0.04)) + (2 * Noise()))),
        ];
        foreach (var shadow in shadows)
        {
            Find.NearBlack(shadow, 13, 3).Count.ShouldBeGreaterThan(2000);
            foreach (var art in new[] { shadow, Jpeg(shadow, 60), Jpeg(shadow, 90) })
            {
                var made = Shelf.Run("pure-black", art, Shelf.Black);
                made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
                made.Run.Reporter.Questions.ShouldBeEmpty();
            }
        }
    }

    [Fact]
    public void A_glow_on_exact_black_stays_as_it_is()
    {
        var made = Shelf.Run("pure-black", Glow(Rgba8.Black), Shelf.Black);
        made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
        made.Run.Reporter.Questions.ShouldBeEmpty();
    }

    [Fact]
    public void Even_black_that_runs_into_a_glow_is_asked_about()
    {
        var ground = new Rgba8(12, 12, 12);
        var glow = Glow(ground);
        var made = Shelf.Run("pure-black", glow, Shelf.Black);
        made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
        var question = made.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Code, question.Proposal, question.Answer, question.Decided).ShouldBe(("near-black", "keeps printing", "fade=drop", false));
        question.Regions.ShouldHaveSingleItem().Bounds.ShouldBe(new Box(0, 0, Width, Height));
        // Nothing drops on another garment, so there is nothing to ask.
        Shelf.Run("pure-black", glow, Shelf.Light).Run.Reporter.Questions.ShouldBeEmpty();
        foreach (var (name, value) in new[] { ("fade", "keep"), ("fade", "drop"), ("also", "1") })
        {
            var answered = Shelf.Run("pure-black", glow, Shelf.Black, (name, value));
            answered.Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();
            answered.Pixels.Where((_, i) => glow[i % Width, i / Width] == ground).ShouldAllBe(pixel => pixel == (value == "keep" ? ground : Rgba8.Black));
        }

        Should.Throw<ProblemException>(() => Shelf.Run("pure-black", glow, Shelf.Black, ("also", "2"))).Problems[0].Code.ShouldBe(Codes.RecipeDeclined);
    }

    [Fact]
    public void Exact_black_is_nothing_to_change()
    {
        var art = Of(Width, Height, (x, y) => x is > 40 and < 200 && y is > 30 and < 220 ? Rgba8.Black : Rgba8.White);
        var made = Shelf.Run("pure-black", art, Shelf.Black);
        made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
    }

    // Orange light in the middle that runs out over 100 px.
    private static Plane<Rgba8> Glow(Rgba8 ground) => Of(Width, Height, (x, y) =>
    {
        double light = Math.Clamp(1 - (Math.Sqrt(((x - 180) * (x - 180)) + ((y - 135) * (y - 135))) / 100), 0, 1);
        byte Mix(byte dark, byte bright) => (byte)Math.Round(dark + ((bright - dark) * light));
        return new Rgba8(Mix(ground.R, 240), Mix(ground.G, 124), Mix(ground.B, 28));
    });

    private static Rgba8 Gray(double v) =>
        new((byte)Math.Clamp(Math.Round(v), 0, 255), (byte)Math.Clamp(Math.Round(v), 0, 255), (byte)Math.Clamp(Math.Round(v), 0, 255));

    private static Plane<Rgba8> Of(int width, int height, Func<int, int, Rgba8> pixel)
    {
        var pixels = new Rgba8[width * height];
        for (int i = 0; i < pixels.Length; i++)
        {
            pixels[i] = pixel(i % width, i / width);
        }

        return Plane<Rgba8>.FromContiguous(width, height, pixels);
    }

    private static Sample Through(Rgba8 black, int quality, double scale)
    {
        var art = Jpeg(Draw(canvas =>
        {
            Paint(canvas);
            Ink(canvas, new SKColor(black.R, black.G, black.B), stroke: 7);
        }), quality);
        var alone = Draw(canvas =>
        {
            canvas.Clear(SKColors.Black);
            Ink(canvas, SKColors.White, stroke: 7);
        });
        return scale == 1 ? new Sample(art, Levels(alone)) : new Sample(Resized(art, scale), Levels(Resized(alone, scale)));
    }

    private static byte[] Levels(Plane<Rgba8> art) => [.. art.ToContiguous().Select(pixel => pixel.R)];

    private static void Paint(SKCanvas canvas)
    {
        canvas.Clear(SKColors.White);
        using var paint = new SKPaint { IsAntialias = true };
        void In(int fill) => paint.Color = Fills[fill];
        In(0);
        canvas.DrawCircle(90, 90, 68, paint);
        In(1);
        canvas.DrawCircle(90, 105, 38, paint);
        In(2);
        canvas.DrawCircle(230, 80, 60, paint);
        In(3);
        canvas.DrawRect(180, 160, 150, 90, paint);
        In(4);
        canvas.DrawRect(225, 175, 75, 45, paint);
    }

    // Outlines, filled shapes, and block letters of strokes: H A N.
    private static void Ink(SKCanvas canvas, SKColor color, float stroke)
    {
        using var pen = new SKPaint { Color = color, IsAntialias = true, Style = SKPaintStyle.Stroke, StrokeWidth = stroke };
        canvas.DrawCircle(90, 90, 68, pen);
        canvas.DrawCircle(90, 105, 38, pen);
        canvas.DrawCircle(230, 80, 60, pen);
        canvas.DrawRect(180, 160, 150, 90, pen);
        canvas.DrawRect(225.3f, 175.6f, 75, 45, pen);
        canvas.DrawLine(20, 20, 150, 250, pen);
        using var fill = new SKPaint { Color = color, IsAntialias = true };
        canvas.DrawOval(230, 80, 24, 15, fill);
        canvas.DrawRect(245, 188, 34, 22, fill);
        foreach (var (x, y) in new[] { (30f, 190f), (190f, 228f) })
        {
            foreach (var (x1, y1, x2, y2) in ((float, float, float, float)[])[
                (0, 0, 0, 18), (12, 0, 12, 18), (0, 9, 12, 9), (20, 18, 27, 0), (27, 0, 34, 18), (23, 12, 31, 12), (42, 18, 42, 0), (42, 0, 54, 18),
                (54, 18, 54, 0)])
            {
                pen.StrokeWidth = 4;
                canvas.DrawLine(x + x1, y + y1, x + x2, y + y2, pen);
            }
        }
    }

    private static Plane<Rgba8> Draw(Action<SKCanvas> draw)
    {
        using var bitmap = new SKBitmap(new SKImageInfo(Width, Height, SKColorType.Rgba8888, SKAlphaType.Premul));
        using (var canvas = new SKCanvas(bitmap))
        {
            draw(canvas);
        }

        return From(bitmap);
    }

    private static Plane<Rgba8> From(SKBitmap bitmap) =>
        Plane<Rgba8>.FromContiguous(bitmap.Width, bitmap.Height, MemoryMarshal.Cast<byte, Rgba8>(bitmap.GetPixelSpan()).ToArray());

    private static SKBitmap To(Plane<Rgba8> art)
    {
        var bitmap = new SKBitmap(new SKImageInfo(art.Width, art.Height, SKColorType.Rgba8888, SKAlphaType.Opaque));
        MemoryMarshal.AsBytes(art.ToContiguous().AsSpan()).CopyTo(bitmap.GetPixelSpan());
        return bitmap;
    }

    private static Plane<Rgba8> Jpeg(Plane<Rgba8> art, int quality)
    {
        using var bitmap = To(art);
        using var pixels = bitmap.PeekPixels();
        using var data = pixels.Encode(new SKJpegEncoderOptions(quality, SKJpegEncoderDownsample.Downsample420, SKJpegEncoderAlphaOption.Ignore));
        using var decoded = SKBitmap.Decode(data, bitmap.Info);
        return From(decoded);
    }

    private static Plane<Rgba8> Resized(Plane<Rgba8> art, double scale)
    {
        using var bitmap = To(art);
        using var resized = bitmap.Resize(
            new SKImageInfo((int)Math.Round(art.Width * scale), (int)Math.Round(art.Height * scale), SKColorType.Rgba8888, SKAlphaType.Opaque),
            new SKSamplingOptions(SKCubicResampler.CatmullRom));
        return From(resized);
    }
}
