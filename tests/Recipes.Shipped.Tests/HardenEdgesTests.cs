using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Shipped.Tests;

/// <summary>harden-edges on a sweep of all alphas: color by column, alpha by row.</summary>
public class HardenEdgesTests
{
    private static readonly Rgba8[] Colors = [new(240, 124, 28), Rgba8.White, Rgba8.Black, new(254, 254, 254), new(1, 1, 1), new(34, 92, 140)];

    // A picture has more inside than edge. With edges alone half of the ink would go, and rightly be refused.
    private const int Solid = 400;

    // Each color 16 px wide, alpha 0 to 255 down the rows, and solid below: a wide soft zone, which solid cuts where told to.
    private static readonly Plane<Rgba8> Sweep = Plane<Rgba8>.FromContiguous(
        Colors.Length * 16, 256 + Solid, Enumerable.Range(0, Colors.Length * 16 * (256 + Solid)).Select(i => Was(i)).ToArray());

    private static Rgba8 Was(int i) => Colors[i % (Colors.Length * 16) / 16].WithAlpha((byte)Math.Min(255, i / (Colors.Length * 16)));

    public static TheoryData<string, string> Ways => new()
    {
        { "solid", "light" }, { "solid", "black" }, { "garment", "light" }, { "garment", "black" }, { "dots", "light" }, { "dots", "black" },
    };

    private static Outcome Run(string how, string garment, string threshold = "50") =>
        Shelf.Run("harden-edges", Sweep, garment == "light" ? Shelf.Light
            : Shelf.Black, ("as", how), ("threshold", threshold), ("soft", how == "solid" ? "solid" : "ask"));

    [Theory]
    [MemberData(nameof(Ways))]
    public void No_partial_alpha_remains_and_the_rest_stays(string how, string garment)
    {
        var made = Run(how, garment);
        made.ShouldBeClear();
        var pixels = made.Pixels;
        for (int i = 0; i < pixels.Length; i++)
        {
            pixels[i].A.ShouldBeOneOf((byte)0, (byte)255);
            if (Was(i).A is 0 or 255)
            {
                pixels[i].ShouldBe(Was(i));
            }
        }

        made.Run.Art.Artwork.Layers[0].ShouldBeSameAs(made.Before.Layers[0]);
    }

    [Theory]
    [InlineData("50", 128)]
    [InlineData("0", 1)]
    [InlineData("100", 255)]
    [InlineData("20", 51)]
    public void Solid_goes_by_the_threshold(string threshold, int first)
    {
        var pixels = Run("solid", "light", threshold).Pixels;
        for (int i = 0; i < pixels.Length; i++)
        {
            var was = Was(i);
            pixels[i].ShouldBe(was.A is 0 or 255 ? was : was.A >= first ? was.WithAlpha(255) : Rgba8.ClearWhite);
        }
    }

    [Theory]
    [InlineData("light", 255)]
    [InlineData("black", 0)]
    public void Garment_mixes_with_its_color_and_leaves_bare_what_comes_out_bare(string garment, int cloth)
    {
        var pixels = Run("garment", garment).Pixels;
        for (int i = 0; i < pixels.Length; i++)
        {
            var was = Was(i);
            if (was.A is 0 or 255)
            {
                continue;
            }

            // Source-over on an opaque backdrop (W3C Compositing and Blending Level 1, 9.1), rounded to a level.
            byte Over(byte ink) => (byte)Math.Round(((ink * was.A) + (cloth * (255 - was.A))) / 255.0, MidpointRounding.AwayFromZero);
            var over = new Rgba8(Over(was.R), Over(was.G), Over(was.B));
            bool wasBare = was.WithAlpha(255) == Rgba8.White || (garment == "black" && was.WithAlpha(255) == Rgba8.Black);
            bool isBare = over == Rgba8.White || (garment == "black" && over == Rgba8.Black);
            pixels[i].ShouldBe(wasBare || isBare ? Rgba8.ClearWhite : over, $"{was}");
        }
    }

    [Fact]
    public void Dots_follow_Bayers_matrix()
    {
        // Bayer (1973) by its doubling rule: each entry m becomes 4m, 4m+2 over 4m+3, 4m+1.
        int[,] matrix = { { 0 } };
        for (int side = 1; side < 8; side *= 2)
        {
            var next = new int[2 * side, 2 * side];
            for (int y = 0; y < 2 * side; y++)
            {
                for (int x = 0; x < 2 * side; x++)
                {
                    next[y, x] = (4 * matrix[y % side, x % side]) + ((y / side, x / side) switch { (0, 0) => 0, (0, 1) => 2, (1, 0) => 3, _ => 1 });
                }
            }

            matrix = next;
        }

        var pixels = Run("dots", "light").Pixels;
        for (int i = 0; i < pixels.Length; i++)
        {
            int x = i % (Colors.Length * 16), y = i / (Colors.Length * 16);
            if (Was(i).A is not (0 or 255))
            {
                pixels[i].A.ShouldBe(Was(i).A / 255.0 > (matrix[y % 8, x % 8] + 0.5) / 64 ? (byte)255 : (byte)0, $"at {x},{y}");
            }
        }
    }

    [Fact]
    public void Dots_cover_what_alpha_said()
    {
        // A flat tone of every alpha, 64 x 64 px: coverage comes within half a dot of the 8x8 pattern.
        for (int alpha = 1; alpha < 255; alpha += 6)
        {
            var tone = Plane<Rgba8>.OneValue(64, 64, new Rgba8(34, 92, 140, (byte)alpha));
            var made = Shelf.Run("harden-edges", tone, Shelf.Light, ("as", "dots"));
            (made.Pixels.Count(pixel => pixel.A == 255) / 4096.0).ShouldBe(alpha / 255.0, 0.5 / 64);
        }
    }

    [Fact]
    public void Art_without_partial_alpha_stays_the_same_object()
    {
        var made = Shelf.Run("harden-edges", Plane<Rgba8>.OneValue(40, 40, Colors[0]), Shelf.Light);
        made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
    }

    // A disc with a drop shadow by SkiaSharp's Gaussian blur, and how opaque the disc alone makes each pixel.
    private static (Rgba8[] Pixels, byte[] Disc) Shadowed(SKColor shadow)
    {
        static void Disc(SKCanvas canvas, float x, float y, SKPaint paint) => canvas.DrawCircle(x, y, 60, paint);
        using var ink = new SKPaint { Color = new SKColor(240, 124, 28), IsAntialias = true };
        using var filter = SKImageFilter.CreateBlur(9, 9);
        using var blurred = new SKPaint { Color = shadow.WithAlpha(140), IsAntialias = true, ImageFilter = filter };
        var pixels = SkiaDrawing.Draw(260, 260, SKColors.Transparent, canvas =>
        {
            Disc(canvas, 138.3f, 141.2f, blurred);
            Disc(canvas, 110.3f, 110.7f, ink);
        });
        var disc = SkiaDrawing.Draw(260, 260, SKColors.Transparent, canvas => Disc(canvas, 110.3f, 110.7f, ink));
        return (pixels, [.. disc.Select(pixel => pixel.A)]);
    }

    [Fact]
    public void A_soft_shadow_keeps_its_tone_and_is_asked_about_once()
    {
        var (before, disc) = Shadowed(new SKColor(60, 30, 90));
        var art = Plane<Rgba8>.FromContiguous(260, 260, before);
        var made = Shelf.Run("harden-edges", art, Shelf.Light);
        made.ShouldBeClear();
        var question = made.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Code, question.Proposal, question.Answer, question.Decided).ShouldBe(("partly-transparent", "a pattern of dots", "soft=garment", false));
        var after = made.Pixels;
        after.ShouldAllBe(pixel => pixel.A == 0 || pixel.A == 255);

        // The shadow covers what its alpha said, to 2%, where it is thin too; cut at 50%, that is lost.
        bool Shadow(int i) => disc[i] == 0;
        double covered = before.Where((_, i) => Shadow(i)).Sum(pixel => pixel.A / 255.0);
        ((double)after.Where((_, i) => Shadow(i)).Count(pixel => pixel.A == 255)).ShouldBe(covered, 0.02 * covered);
        var cut = Shelf.Run("harden-edges", art, Shelf.Light, ("soft", "solid"));
        bool Thin(int i) => Shadow(i) && before[i].A is > 0 and < 128;
        double thin = before.Where((_, i) => Thin(i)).Sum(pixel => pixel.A / 255.0);
        thin.ShouldBeGreaterThan(0.3 * covered);
        ((double)after.Where((_, i) => Thin(i)).Count(pixel => pixel.A == 255)).ShouldBe(thin, 0.05 * thin);
        cut.Pixels.Where((_, i) => Thin(i)).ShouldAllBe(pixel => pixel.A == 0);
        cut.Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();

        // Where the disc has no shadow behind it, its edge is as hard as it ever was.
        for (int i = 0; i < after.Length; i++)
        {
            if ((i % 260) + (i / 260) < 180 && disc[i] != 0)
            {
                after[i].A.ShouldBe(disc[i] >= 128 ? (byte)255 : (byte)0, $"at {i % 260},{i / 260}");
            }
        }

        var garment = Shelf.Run("harden-edges", art, Shelf.Light, ("soft", "garment"));
        garment.Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();
        for (int i = 0; i < before.Length; i++)
        {
            if (Shadow(i) && before[i].A is > 0 and < 255 && (i % 260) > 150 && (i / 260) > 150)
            {
                // Source-over on white (W3C Compositing and Blending Level 1, 9.1), as good as opaque or as bare.
                byte Over(byte level) => (byte)Math.Round(((level * before[i].A) + (255 * (255 - before[i].A))) / 255.0, MidpointRounding.AwayFromZero);
                var over = new Rgba8(Over(before[i].R), Over(before[i].G), Over(before[i].B));
                if (before[i].A >= 12)
                {
                    garment.Pixels[i].ShouldBe(over, $"at {i % 260},{i / 260}");
                }
            }
        }
    }

    [Fact]
    public void What_does_not_show_is_not_asked_about()
    {
        // A black shadow stays bare on a black garment, and a nearly black one isn't seen on it; on a light one both are.
        foreach (var color in (SKColor[])[new SKColor(0, 0, 0), new SKColor(8, 8, 8)])
        {
            var art = Plane<Rgba8>.FromContiguous(260, 260, Shadowed(color).Pixels);
            Shelf.Run("harden-edges", art, Shelf.Black).Run.Reporter.Questions.ShouldBeEmpty();
            Shelf.Run("harden-edges", art, Shelf.Light).Run.Reporter.Questions.ShouldHaveSingleItem();
        }
    }

    [Fact]
    public void Edges_thin_lines_lettering_and_art_a_little_less_than_opaque_are_no_soft_zones()
    {
        foreach (var palette in Palette.All)
        {
            var pixels = SkiaDrawing.Draw(palette, palette.Old, paper: false);
            pixels.Count(pixel => pixel.A is > 0 and < 255).ShouldBeGreaterThan(500);
            var art = Plane<Rgba8>.FromContiguous(SkiaDrawing.Width, SkiaDrawing.Height, pixels);
            Find.SoftZones(art, Shelf.Light).All.IsEmpty.ShouldBeTrue();
            var made = Shelf.Run("harden-edges", art, Shelf.Light);
            made.Run.Reporter.Questions.ShouldBeEmpty();
            made.Pixels.Select(pixel => pixel.A).ShouldBe(pixels.Select(pixel => pixel.A >= 128 ? (byte)255 : (byte)0));
            // Saved at 98%.
            var faded = Plane<Rgba8>.FromContiguous(
                SkiaDrawing.Width, SkiaDrawing.Height, (Rgba8[])[.. pixels.Select(pixel => pixel.WithAlpha((byte)(pixel.A * 250 / 255)))]);
            Find.SoftZones(faded, Shelf.Light).All.IsEmpty.ShouldBeTrue();
        }
    }

    [Fact]
    public void A_border_fades_out_evenly_over_the_width_that_is_said()
    {
        // A picture of 700 x 500 px that leaves 20 px clear around it; 4 mm are 47.2 px at 300 ppi.
        const int width = 740, height = 540, clear = 20;
        const double ramp = 4 / 25.4 * 300;
        static bool Picture(int x, int y) => x is >= clear and < width - clear && y is >= clear and < height - clear;
        var art = Plane<Rgba8>.FromContiguous(width, height, (Rgba8[])[.. Enumerable.Range(0, width * height).Select(i =>
            Picture(i % width, i / width) ? new Rgba8((byte)(60 + (i % width / 5)), 92, 140) : default)]);
        var made = Shelf.Run("harden-edges", art, Shelf.Black, ("border", "4mm"));
        // A loss of that size is told.
        made.ShouldBeClearBut(Guardrails.InkMostlyLost, GuardOutcome.Noted);
        var pixels = made.Pixels;
        for (int i = 0; i < pixels.Length; i++)
        {
            (pixels[i].A == 0 || pixels[i] == art[i % width, i / width]).ShouldBeTrue();
        }

        // Along the middle of a side every 8 lines of the pattern cover, from the border inward, what a straight ramp does in their middle; the
        // ramp rises by a sixth over them, so that it meets no line of the matrix (Bayer 1973) with the share of the others.
        for (int line = 0; line + 8 <= ramp; line += 8)
        {
            int dots = Enumerable.Range(0, 8 * 240).Count(k => pixels[((clear + line + (k / 240)) * width) + 250 + (k % 240)].A == 255);
            (dots / (8.0 * 240)).ShouldBe((line + 4) / ramp, 0.05);
        }

        int all = Enumerable.Range(0, (int)ramp * 240).Count(k => pixels[((clear + (k / 240)) * width) + 250 + (k % 240)].A == 255);
        (all / (240.0 * (int)ramp)).ShouldBe(0.5, 0.02);
        int far = (int)ramp + 2;
        Enumerable.Range(0, pixels.Length).Where(i => Picture((i % width) - far, (i / width) - far) && Picture((i % width) + far, (i / width) + far))
            .ShouldAllBe(i => pixels[i].A == 255);
        var without = Shelf.Run("harden-edges", art, Shelf.Black);
        without.Run.Art.Artwork.ShouldBeSameAs(without.Before);
    }

    [Theory]
    [InlineData(4, false)]
    [InlineData(5, true)]
    public void A_soft_band_is_an_edge_up_to_four_px(int width, bool zone)
    {
        var ink = Colors[0];
        var art = Plane<Rgba8>.FromContiguous(
            60, 60, (Rgba8[])[.. Enumerable.Range(0, 3600).Select(i => ink.WithAlpha((byte)(i % 60 < 30 ? 255 : i % 60 < 30 + width ? 128 : 0)))]);
        Find.SoftZones(art, Shelf.Light).All.IsEmpty.ShouldBe(!zone);
    }
}
