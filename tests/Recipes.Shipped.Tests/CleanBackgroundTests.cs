using System.Runtime.InteropServices;
using Recipes.Imaging;
using Recipes.Shipped.Tests.Orders;
using SkiaSharp;

namespace Recipes.Shipped.Tests;

/// <summary>clean-background on drawings by SkiaSharp's rasterizer, of which it is known by how they are drawn what is paper and what is art.</summary>
public class CleanBackgroundTests
{
    private const int Width = 480, Height = 400;
    private static readonly SKColor Black = new(20, 20, 20), Red = new(200, 30, 40), Navy = new(20, 33, 79), Orange = new(240, 124, 28);

    /// <summary>A picture and, for every pixel, how much of it is drawn, 0 to 255.</summary>
    private sealed record Drawn(Rgba8[] Pixels, byte[] Art, int Width, int Height)
    {
        public Plane<Rgba8> Plane => Plane<Rgba8>.FromContiguous(Width, Height, Pixels);

        public Drawn Jpeg(int quality) => this with { Pixels = Compress(Pixels, Width, Height, quality) };

        /// <summary>The pixels further than so many px from all that differs from them in being art or paper.</summary>
        public IEnumerable<int> Clear(bool art, int margin) => Enumerable.Range(0, Art.Length).Where(i =>
        {
            for (int y = Math.Max(0, (i / Width) - margin); y <= Math.Min(Height - 1, (i / Width) + margin); y++)
            {
                for (int x = Math.Max(0, (i % Width) - margin); x <= Math.Min(Width - 1, (i % Width) + margin); x++)
                {
                    if (Art[(y * Width) + x] != (art ? 255 : 0))
                    {
                        return false;
                    }
                }
            }

            return true;
        });
    }

    private static Drawn Draw(Action<SKCanvas, SKPaint> draw, SKColor? paper = null, int width = Width, int height = Height)
    {
        var clear = Render(draw, SKColors.Transparent, width, height);
        return new Drawn(Render(draw, paper ?? SKColors.White, width, height), [.. clear.Select(pixel => pixel.A)], width, height);
    }

    private static Drawn CutOut(Action<SKCanvas, SKPaint> draw, int width = Width, int height = Height)
    {
        var clear = Render(draw, SKColors.Transparent, width, height);
        return new Drawn(clear, [.. clear.Select(pixel => pixel.A)], width, height);
    }

    private static Rgba8[] Render(Action<SKCanvas, SKPaint> draw, SKColor ground, int width, int height)
    {
        var info = new SKImageInfo(width, height, SKColorType.Rgba8888, SKAlphaType.Premul);
        using var surface = SKSurface.Create(info);
        using var paint = new SKPaint { IsAntialias = true };
        surface.Canvas.Clear(ground);
        draw(surface.Canvas, paint);
        using var image = surface.Snapshot();
        using var bitmap = new SKBitmap(info.WithAlphaType(SKAlphaType.Unpremul));
        image.ReadPixels(bitmap.Info, bitmap.GetPixels(), info.RowBytes, 0, 0).ShouldBeTrue();
        return MemoryMarshal.Cast<byte, Rgba8>(bitmap.GetPixelSpan()).ToArray();
    }

    // Color at half the resolution both ways, as most files of customers have it.
    private static Rgba8[] Compress(Rgba8[] pixels, int width, int height, int quality)
    {
        var info = new SKImageInfo(width, height, SKColorType.Rgba8888, SKAlphaType.Opaque);
        using var bitmap = new SKBitmap(info);
        MemoryMarshal.AsBytes(pixels.AsSpan()).CopyTo(bitmap.GetPixelSpan());
        using var map = bitmap.PeekPixels();
        using var data = map.Encode(new SKJpegEncoderOptions(quality, SKJpegEncoderDownsample.Downsample420, SKJpegEncoderAlphaOption.Ignore));
        using var decoded = SKBitmap.Decode(data, info);
        return MemoryMarshal.Cast<byte, Rgba8>(decoded.GetPixelSpan()).ToArray();
    }

    private static void Oval(SKCanvas canvas, SKPaint paint, SKColor color, float x, float y, float across, float down)
    {
        paint.Color = color;
        canvas.DrawOval(x, y, across, down, paint);
    }

    private static void Rect(SKCanvas canvas, SKPaint paint, SKColor color, float x, float y, float width, float height)
    {
        paint.Color = color;
        canvas.DrawRect(x, y, width, height, paint);
    }

    // A dark bird with an orange beak and a white belly, around a place.
    private static Action<SKCanvas, SKPaint> Bird(float x, float y, float across, float down) => (canvas, paint) =>
    {
        Rect(canvas, paint, Orange, x - (across * 1.25f), y - (down * 0.7f), across * 0.6f, down * 0.2f);
        Oval(canvas, paint, Black, x, y, across, down);
        Oval(canvas, paint, SKColors.White, x, y + (down * 0.15f), across * 0.7f, down * 0.7f);
    };

    private static Outcome Clean(Drawn drawn, GarmentSetup? setup = null, params (string, string)[] set) =>
        Shelf.Run("clean-background", drawn.Plane, setup ?? Shelf.Black, set);

    private static bool IsBare(Rgba8 pixel) => pixel.IsTransparent || pixel.IsPureWhite;

    // Nothing drawn changed, and nothing that isn't prints; what lies nearer than the margin to both may be either.
    private static void ShouldBeClean(Outcome outcome, Drawn drawn, int margin)
    {
        var made = outcome.Pixels;
        drawn.Clear(art: false, margin).Count(at => !IsBare(made[at])).ShouldBe(0, "dust in the paper");
        drawn.Clear(art: true, margin).Count(at => made[at] != drawn.Pixels[at]).ShouldBe(0, "art that changed");
    }

    [Theory]
    [InlineData(60)]
    [InlineData(75)]
    [InlineData(85)]
    [InlineData(95)]
    public void No_dust_is_left_around_dark_art_in_a_JPEG(int quality)
    {
        var drawn = Draw((canvas, paint) =>
        {
            Oval(canvas, paint, Navy, 120, 140, 80, 100);
            Rect(canvas, paint, Black, 260, 60, 140, 90);
            paint.Style = SKPaintStyle.Stroke;
            paint.StrokeWidth = 7;
            paint.Color = Navy;
            canvas.DrawLine(240, 200, 440, 340, paint);
        }).Jpeg(quality);
        // A block of color is 16 px wide, and noise of its own edge may be as strong as art 3 px from it.
        ShouldBeClean(Clean(drawn), drawn, 3);
    }

    [Theory]
    [InlineData(75)]
    [InlineData(85)]
    [InlineData(95)]
    public void Next_to_no_dust_is_left_around_saturated_art_in_a_JPEG(int quality)
    {
        var drawn = Draw((canvas, paint) =>
        {
            Oval(canvas, paint, Orange, 120, 140, 80, 100);
            Oval(canvas, paint, Red, 330, 240, 100, 90);
        }).Jpeg(quality);
        var made = Clean(drawn).Pixels;
        int[] paper = [.. drawn.Clear(art: false, 3)];
        paper.Count(at => !drawn.Pixels[at].IsPureWhite).ShouldBeGreaterThan(1000);
        // Halved color bleeds further than brightness does: single pixels, no spot.
        paper.Count(at => !IsBare(made[at])).ShouldBeLessThan(10);
    }

    [Theory]
    [InlineData(255, 248, 231)]
    [InlineData(255, 231, 231)]
    [InlineData(244, 250, 255)]
    public void Flat_pale_shapes_and_strokes_that_touch_the_paper_survive_whole(byte red, byte green, byte blue)
    {
        var pale = new SKColor(red, green, blue);
        var drawn = Draw((canvas, paint) =>
        {
            Oval(canvas, paint, pale, 140, 140, 100, 90);
            Oval(canvas, paint, Navy, 140, 140, 40, 40);
            // A stroke 6 px wide that begins beside dark art and runs on for an inch.
            Rect(canvas, paint, Black, 60, 300, 60, 60);
            Rect(canvas, paint, pale, 120, 320, 300, 6);
        });
        var outcome = Clean(drawn);
        ShouldBeClean(outcome, drawn, 1);
        outcome.Run.Reporter.Questions.ShouldBeEmpty();
        outcome.ShouldBeClear();
    }

    public static TheoryData<string> Fades => ["vignette", "wash", "ramp", "shadow"];

    private static Drawn Fade(string kind) => Draw((canvas, paint) =>
    {
        SKColor color = kind switch { "wash" => new(34, 92, 140), "ramp" => Orange, "shadow" => new(0, 0, 0, 130), _ => new(90, 80, 60) };
        using var shader = kind == "ramp"
            ? SKShader.CreateLinearGradient(new SKPoint(40, 0), new SKPoint(440, 0), [color, color.WithAlpha(0)], SKShaderTileMode.Clamp)
            : SKShader.CreateRadialGradient(
                new SKPoint(240, 200), 180, [color, color.WithAlpha(0)], [kind == "shadow" ? 0.6f : 0.3f, 1], SKShaderTileMode.Clamp);
        paint.Shader = shader;
        canvas.DrawRect(kind == "ramp" ? new SKRect(40, 60, 440, 340) : new SKRect(0, 0, Width, Height), paint);
        paint.Shader = null;
        if (kind == "shadow")
        {
            Oval(canvas, paint, Red, 230, 190, 110, 110);
        }
    });

    [Theory]
    [MemberData(nameof(Fades))]
    public void Color_that_fades_into_the_paper_stays_whole_and_is_asked_about_once(string kind)
    {
        var drawn = Fade(kind);
        foreach (var setup in (GarmentSetup[])[Shelf.Light, Shelf.Black])
        {
            var outcome = Clean(drawn, setup);
            var made = outcome.Pixels;
            // Whatever of it isn't the paper's very color.
            made.Where((pixel, at) => !drawn.Pixels[at].IsPureWhite && pixel != drawn.Pixels[at]).Count().ShouldBe(0);

            var question = outcome.Run.Reporter.Questions.ShouldHaveSingleItem();
            (question.Code, question.Answer, question.Decided).ShouldBe(("near-white-background", "fade=bare", false));
            question.Regions.ShouldNotBeEmpty();
            outcome.ShouldBeClear();
        }
    }

    [Theory]
    [MemberData(nameof(Fades))]
    public void A_fade_goes_where_that_is_the_answer_as_far_as_it_is_pale(string kind)
    {
        var drawn = Fade(kind);
        var outcome = Clean(drawn, Shelf.Black, ("fade", "bare"));
        outcome.Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();
        var made = outcome.Pixels;
        drawn.Pixels.Where((pixel, at) => 255 - Math.Min(pixel.R, Math.Min(pixel.G, pixel.B)) > 23 && made[at] != pixel).Count().ShouldBe(0);
        drawn.Pixels.Where((pixel, at) => !pixel.IsPureWhite && made[at].IsTransparent).Count().ShouldBeGreaterThan(1000);
        outcome.ShouldBeClear();
        Clean(drawn, Shelf.Black, ("fade", "keep")).Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();
    }

    // The belly runs off at each side, at a corner, or on both sides.
    [Theory]
    [InlineData(240, 0, 150, 160)]
    [InlineData(240, 400, 150, 160)]
    [InlineData(0, 200, 150, 160)]
    [InlineData(480, 200, 150, 160)]
    [InlineData(0, 0, 300, 260)]
    [InlineData(480, 0, 300, 260)]
    [InlineData(0, 400, 300, 260)]
    [InlineData(480, 400, 300, 260)]
    [InlineData(240, 200, 400, 160)]
    public void White_of_a_cropped_figure_is_left_and_asked_about(float x, float y, float across, float down)
    {
        var drawn = Draw(Bird(x, y, across, down));
        var outcome = Clean(drawn);
        ShouldBeClean(outcome, drawn, 1);
        var question = outcome.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Code, question.Answer, question.Regions.Length).ShouldBe(("edge-white", "edge=bare", 1));

        // The answers: bare for all or by number, left by number or altogether.
        string number = $"{question.Regions[0].Number}";
        int belly = Enumerable.Range(0, drawn.Pixels.Length).Count(at => drawn.Art[at] == 255 && drawn.Pixels[at].IsPureWhite);
        foreach (var ((name, value), bare) in (((string, string), bool)[])[
            (("edge", "bare"), true), (("only", number), true), (("except", number), false), (("edge", "keep"), false)])
        {
            var answered = Clean(drawn, Shelf.Black, (name, value));
            answered.Run.Reporter.Questions.ShouldAllBe(asked => asked.Decided);
            answered.Pixels.Where((pixel, at) => drawn.Art[at] == 255 && drawn.Pixels[at].IsPureWhite && pixel.IsTransparent).Count()
                .ShouldBe(bare ? belly : 0, $"{name}={value}");
        }

        // On a white shirt it makes no difference.
        Clean(drawn, Shelf.Light).Run.Reporter.Questions.ShouldBeEmpty();
    }

    [Fact]
    public void A_number_that_is_not_there_declines()
    {
        var declined = Should.Throw<Exception>(() => Clean(Draw(Bird(240, 200, 100, 120)), Shelf.Black, ("only", "7")));
        (declined.InnerException ?? declined).ShouldBeOfType<Api.DeclinedException>().Message.ShouldContain("no region 7");
    }

    [Fact]
    public void An_enclosed_hole_named_by_its_number_goes_with_the_dust_in_it()
    {
        var drawn = Draw((canvas, paint) =>
        {
            Oval(canvas, paint, Navy, 240, 200, 160, 160);
            Oval(canvas, paint, SKColors.White, 240, 200, 100, 100);
        }).Jpeg(80);
        // Its first number is the hole's: nothing above it is white and enclosed but noise.
        var whites = Find.NumberedWhites(drawn.Plane, Ground.Of(drawn.Plane), 24);
        int hole = whites.NumberAt(240, 200);
        hole.ShouldBeGreaterThan(0);
        var outcome = Clean(drawn, Shelf.Black, ("only", $"{hole}"));
        var made = outcome.Pixels;
        int dust = 0, left = 0;
        for (int y = 0; y < Height; y++)
        {
            for (int x = 0; x < Width; x++)
            {
                if (((x - 240) * (x - 240)) + ((y - 200) * (y - 200)) < 94 * 94)
                {
                    dust += drawn.Pixels[(y * Width) + x].IsPureWhite ? 0 : 1;
                    left += made[(y * Width) + x].IsTransparent ? 0 : 1;
                }
            }
        }

        dust.ShouldBeGreaterThan(100);
        // Single pixels of noise that are no paleness any more stay.
        left.ShouldBeLessThan(5);
    }

    [Theory]
    [InlineData(100)]
    [InlineData(80)]
    public void Paper_between_the_letters_of_a_tight_wordmark_is_cleaned_without_a_question(int quality)
    {
        // H, I, H cut at the caps' top and bottom; 20 px of paper at the sides.
        var drawn = Draw((canvas, paint) =>
        {
            foreach (int x in (int[])[20, 80, 140, 200, 260])
            {
                Rect(canvas, paint, Red, x, 0, 30, 120);
            }

            Rect(canvas, paint, Red, 20, 45, 90, 30);
            Rect(canvas, paint, Red, 200, 45, 90, 30);
        }, width: 310, height: 120).Jpeg(quality);
        var outcome = Clean(drawn);
        var made = outcome.Pixels;
        drawn.Clear(art: false, 3).Count(at => !made[at].IsTransparent).ShouldBe(0);
        outcome.Run.Reporter.Questions.ShouldBeEmpty();
        outcome.ShouldBeClear();
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Nothing_opaque_of_a_cut_out_goes(bool trimmed)
    {
        var drawn = CutOut((canvas, paint) =>
        {
            Oval(canvas, paint, SKColors.White, 120, 100, 120, 100);
            Rect(canvas, paint, new SKColor(254, 254, 254), 110, 190, 130, 60);
            Oval(canvas, paint, Navy, 120, 100, 50, 50);
        }, trimmed ? 240 : 400, trimmed ? 250 : 400);
        foreach (var setup in (GarmentSetup[])[Shelf.Light, Shelf.Black])
        {
            var outcome = Clean(drawn, setup);
            outcome.Pixels.Where((pixel, at) => pixel != drawn.Pixels[at] && !(pixel.IsTransparent && drawn.Pixels[at].IsTransparent)).Count().ShouldBe(0);

            outcome.Run.Reporter.Questions.ShouldBeEmpty();
        }
    }

    [Fact]
    public void Cleaning_and_making_whites_printable_commute_where_bare_is_clear()
    {
        var drawn = Draw(Bird(240, 200, 130, 150)).Jpeg(90);
        var both = Shelf.Black with { Ink = Shelf.Black.Ink with { BareAs = BareAs.Both } };
        var cleanedFirst = Shelf.Run("printable-whites", Clean(drawn, both).Run.Art.Artwork, both);
        var whitesFirst = Shelf.Run("clean-background", Shelf.Run("printable-whites", drawn.Plane, both).Run.Art.Artwork, both);
        int differing = cleanedFirst.Pixels.Zip(whitesFirst.Pixels).Count(pair => pair.First != pair.Second);
        differing.ShouldBe(0);
        cleanedFirst.Pixels.Count(pixel => pixel == new Rgba8(254, 254, 254)).ShouldBeGreaterThan(10_000);
    }

    // Full-frame: the white of a sky at the frame is picture.
    [Fact]
    public void Nothing_of_a_picture_that_fills_its_frame_goes_and_its_rectangle_is_asked_about()
    {
        var drawn = Draw((canvas, paint) =>
        {
            Rect(canvas, paint, Navy, 0, 0, Width, Height);
            Rect(canvas, paint, SKColors.White, 0, 100, 20, 40);
        });
        var outcome = Clean(drawn, Shelf.Light);
        outcome.Run.Art.Artwork.ShouldBeSameAs(outcome.Before);
        var question = outcome.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Code, question.Answer).ShouldBe(("printed-rectangle", "paper=keep"));
        Clean(drawn, Shelf.Light, ("paper", "keep")).Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();
    }

    [Theory]
    [InlineData(250, 244, 226)]
    [InlineData(232, 232, 232)]
    public void Paper_that_is_not_white_is_found_removed_and_asked_about(byte red, byte green, byte blue)
    {
        var paper = new SKColor(red, green, blue);
        var drawn = Draw(Bird(240, 200, 130, 150), paper);
        // Grain of a scan, the same in all channels, by a fixed rule.
        var scanned = drawn with
        {
            Pixels = [.. drawn.Pixels.Select((pixel, at) =>
            {
                int grain = (at * 7919 % 7) - 3;
                return new Rgba8(Lit(pixel.R), Lit(pixel.G), Lit(pixel.B));

                byte Lit(byte level) => (byte)Math.Clamp(level + grain, 0, 255);
            })],
        };
        foreach (var sheet in (Drawn[])[drawn, scanned])
        {
            var outcome = Clean(sheet);
            ShouldBeClean(outcome, sheet, 2);
            var question = outcome.Run.Reporter.Questions.ShouldHaveSingleItem();
            (question.Code, question.Answer).ShouldBe(("printed-rectangle", "paper=keep"));
            var kept = Clean(sheet, Shelf.Black, ("paper", "keep"));
            kept.Run.Art.Artwork.ShouldBeSameAs(kept.Before);
            kept.Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();
        }
    }

    /// <summary>
    /// The hole of a life ring, seen through to the paper: on light cloth it goes as the paper does; on dark cloth it may be a belly that was left
    /// unpainted, so that is asked. Either answer passes the guardrails, whatever the hole's share of the art.
    /// </summary>
    [Theory]
    [InlineData(250, 244, 226)]
    [InlineData(232, 232, 232)]
    public void Paper_that_art_surrounds_goes_on_light_cloth_and_is_asked_about_on_dark(byte red, byte green, byte blue)
    {
        var paper = new SKColor(red, green, blue);
        var drawn = Draw((canvas, paint) =>
        {
            Oval(canvas, paint, Navy, 240, 200, 170, 170);
            Oval(canvas, paint, paper, 240, 200, 140, 140);
        }, paper);
        var light = Clean(drawn, Shelf.Light);
        (light.Guarded.Refused, light.Pixels[(200 * drawn.Width) + 240].IsTransparent).ShouldBe((false, true));
        light.Run.Reporter.Questions.ShouldNotContain(asked => asked.Answer.StartsWith("inside"));
        Clean(drawn, Shelf.Light, ("inside", "keep")).Pixels[(200 * drawn.Width) + 240].A.ShouldBe((byte)255);
        var dark = Clean(drawn);
        dark.Pixels[(200 * drawn.Width) + 240].A.ShouldBe((byte)255);
        var question = dark.Run.Reporter.Questions.Single(asked => asked.Answer == "inside=bare");
        ((double)question.Regions.ShouldHaveSingleItem().Count).ShouldBe(Math.PI * 140 * 140, 1000);
        var bare = Clean(drawn, Shelf.Black, ("inside", "bare"));
        (bare.Guarded.Refused, bare.Pixels[(200 * drawn.Width) + 240].IsTransparent).ShouldBe((false, true));
        bare.Run.Reporter.Questions.Single(asked => asked.Answer == "inside=bare").Decided.ShouldBeTrue();
    }

    [Fact]
    public void A_card_with_round_corners_stays_is_asked_about_and_goes_where_that_is_the_answer()
    {
        var drawn = CutOut((canvas, paint) =>
        {
            paint.Color = SKColors.White;
            canvas.DrawRoundRect(60, 50, 360, 300, 36, 36, paint);
            Oval(canvas, paint, Navy, 240, 200, 80, 60);
        });
        int at = (80 * drawn.Width) + 240;
        var asked = Clean(drawn);
        asked.Pixels[at].ShouldBe(Rgba8.White);
        var question = asked.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Code, question.Answer).ShouldBe(("printed-rectangle", "paper=remove"));
        var removed = Clean(drawn, Shelf.Black, ("paper", "remove"));
        (removed.Guarded.Refused, removed.Pixels[at].IsTransparent, removed.Pixels[(200 * drawn.Width) + 240].A).ShouldBe((false, true, (byte)255));
    }

    [Theory]
    [InlineData(8, 204, 100)]
    [InlineData(16, 204, 100)]
    [InlineData(10, 239, 100)]
    [InlineData(16, 191, 85)]
    public void Checkers_are_asked_about_once_and_go_where_that_is_the_answer(int side, byte gray, int quality)
    {
        var ground = new SKColor(gray, gray, gray);
        var bird = CutOut(Bird(240, 200, 130, 150));
        var drawn = Draw((canvas, paint) =>
        {
            paint.IsAntialias = false;
            for (int y = 0; y < Height; y += side)
            {
                for (int x = 0; x < Width; x += side)
                {
                    Rect(canvas, paint, (x + y) / side % 2 == 0 ? SKColors.White : ground, x, y, side, side);
                }
            }

            paint.IsAntialias = true;
            Bird(240, 200, 130, 150)(canvas, paint);
        }) with { Art = bird.Art };
        drawn = quality == 100 ? drawn : drawn.Jpeg(quality);
        var outcome = Clean(drawn);
        outcome.Run.Art.Artwork.ShouldBeSameAs(outcome.Before);
        var question = outcome.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Code, question.Answer).ShouldBe(("checkers", "paper=remove"));
        question.Message.ShouldContain($"{side} px");
        ShouldBeClean(Clean(drawn, Shelf.Black, ("paper", "remove")), drawn, 3);
    }

    [Fact]
    public void A_sheet_behind_the_art_of_a_cut_out_goes_where_white_stays_bare_and_is_asked_about()
    {
        var drawn = CutOut((canvas, paint) =>
        {
            Rect(canvas, paint, SKColors.White, 60, 50, 360, 300);
            Oval(canvas, paint, Navy, 240, 200, 120, 100);
        });
        var removed = Clean(drawn);
        var question = removed.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Code, question.Answer).ShouldBe(("printed-rectangle", "paper=keep"));
        question.Regions.ShouldHaveSingleItem().Bounds.ShouldBe(new Box(60, 50, 360, 300));
        removed.Pixels.Count(pixel => pixel.IsPureWhite && !pixel.IsTransparent).ShouldBe(0);
        removed.Pixels[(200 * Width) + 240].ShouldBe(new Rgba8(20, 33, 79));
        Kept(Clean(drawn, Shelf.Black, ("paper", "keep"))).ShouldBe(0);
        // A machine that prints white prints it until somebody says otherwise.
        var printing = Shelf.Black with { Ink = new InkRules { WhiteBare = false, BlackBare = true } };
        Kept(Clean(drawn, printing)).ShouldBe(0);
        Clean(drawn, printing).Run.Reporter.Questions.ShouldHaveSingleItem().Answer.ShouldBe("paper=remove");
        // On light cloth nobody sees whether it prints, and its grain is dust.
        Clean(drawn, Shelf.Light).Run.Reporter.Questions.ShouldBeEmpty();

        int Kept(Outcome outcome) =>
            outcome.Pixels.Where((pixel, at) => pixel != drawn.Pixels[at] && !(pixel.IsTransparent && drawn.Pixels[at].IsTransparent)).Count();
    }

    /// <summary>Turned, cut off by the canvas, overrun by art: sheet and letters' holes go, and nothing of the art does, by the drawing's own parts.</summary>
    [Theory]
    [InlineData("white-sheet")]
    [InlineData("white-sheet-turned")]
    [InlineData("page-set-straight")]
    [InlineData("white-sheet-overrun")]
    public void A_sheet_goes_with_the_holes_of_its_letters_and_the_guardrails_let_it(string name)
    {
        var order = OrderBook.All.First(order => order.Scene.Name == name);
        var received = order.Receive();
        var flat = Plane<Rgba8>.FromContiguous(received.Art.Width, received.Art.Height, received.Pixels);
        foreach (var setup in (GarmentSetup[])[Shelf.Black, Shelf.Black with { Ink = new InkRules { WhiteBare = false, BlackBare = true } }])
        {
            var outcome = Shelf.Run("clean-background", flat, setup, ("paper", "remove"));
            // Where white prints, it is said that ink goes.
            string[] said = [.. outcome.Guarded.Guards.Where(guard => guard.Outcome != GuardOutcome.Clear).Select(guard => $"{guard.Name} {guard.Outcome}")];
            said.ShouldBe(setup.Ink.WhiteBare ? [] : ["ink-mostly-lost Noted"]);
            var after = outcome.Pixels;
            for (int i = 0; i < after.Length; i++)
            {
                // All of this drawing's art is of strong color; what is white is the sheet.
                bool prints = setup.Ink.StateOf(after[i]) == InkState.Prints;
                if (received.Pixels[i] is { IsPureWhite: true, A: 255 } ? prints : received.Art.Parts[i] == Part.Ink && after[i] != received.Pixels[i])
                {
                    Assert.Fail($"{i % flat.Width},{i / flat.Width} was {received.Pixels[i]} and is {after[i]}");
                }
            }
        }
    }

    /// <summary>Nor does it print, with the holes of its letters, before somebody said that it is art.</summary>
    [Theory]
    [InlineData("white-sheet-turned")]
    [InlineData("white-sheet-overrun")]
    public void A_sheet_prints_where_somebody_says_so(string name)
    {
        var received = OrderBook.All.First(order => order.Scene.Name == name).Receive();
        var flat = Plane<Rgba8>.FromContiguous(received.Art.Width, received.Art.Height, received.Pixels);
        var outcome = Shelf.Run("printable-whites", flat, Shelf.Black);
        outcome.Pixels.ShouldBe(received.Pixels);
        var question = outcome.Run.Reporter.Questions.ShouldHaveSingleItem();
        question.Code.ShouldBe("printed-rectangle");
        string also = string.Join(',', question.Regions.Select(region => region.Number));
        Shelf.Run("printable-whites", flat, Shelf.Black, ("also", also)).Pixels.ShouldNotContain(pixel => pixel.IsPureWhite && pixel.A == 255);
    }

    /// <summary>White art of a cut-out that is no sheet: round, with one white side, white all over, or the thin rim of a photograph.</summary>
    [Theory]
    [InlineData("round")]
    [InlineData("eight-sided")]
    [InlineData("half")]
    [InlineData("bar")]
    [InlineData("rim")]
    public void White_art_with_other_sides_is_no_sheet(string shape)
    {
        var drawn = CutOut((canvas, paint) =>
        {
            switch (shape)
            {
                case "round":
                    Oval(canvas, paint, SKColors.White, 240, 200, 170, 150);
                    Oval(canvas, paint, Navy, 240, 200, 80, 60);
                    break;
                case "eight-sided":
                    using (var sides = SKPath.ParseSvgPathData("M180 50L300 50L390 140L390 260L300 350L180 350L90 260L90 140Z"))
                    {
                        paint.Color = SKColors.White;
                        canvas.DrawPath(sides, paint);
                    }

                    Oval(canvas, paint, Navy, 240, 200, 80, 60);
                    break;
                case "half":
                    Rect(canvas, paint, SKColors.White, 60, 50, 360, 150);
                    Rect(canvas, paint, Navy, 60, 200, 360, 150);
                    break;
                case "bar":
                    Rect(canvas, paint, SKColors.White, 60, 50, 360, 150);
                    Oval(canvas, paint, Navy, 240, 300, 80, 60);
                    break;
                default:
                    Rect(canvas, paint, SKColors.White, 60, 50, 360, 300);
                    Rect(canvas, paint, Navy, 64, 54, 352, 292);
                    break;
            }
        });
        Clean(drawn).Run.Reporter.Questions.ShouldBeEmpty();
    }

    [Fact]
    public void Where_a_full_frame_has_no_paper_nothing_is_removed_and_the_question_stays_open()
    {
        var sea = Plane<Rgba8>.Build(300, 200, null, (bounds, pixels) =>
        {
            for (int i = 0; i < pixels.Length; i++)
            {
                pixels[i] = new Rgba8((byte)(20 + (i % bounds.Width / 4)), 90, (byte)(140 + (i / bounds.Width / 4)));
            }
        });
        var outcome = Shelf.Run("clean-background", sea, Shelf.Black, ("paper", "remove"));
        outcome.Run.Art.Artwork.Flat.SameSamples(sea).ShouldBeTrue();
        var question = outcome.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Code, question.Answer, question.Decided).ShouldBe(("printed-rectangle", "paper=keep", false));
        Shelf.Run("clean-background", sea, Shelf.Black, ("paper", "keep")).Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();
    }
}
