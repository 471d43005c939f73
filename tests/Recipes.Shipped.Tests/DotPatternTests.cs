using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Shipped.Tests;

/// <summary>remove-specks leaves halftones and grain alone and asks once, on drawings by SkiaSharp's rasterizer.</summary>
public class DotPatternTests
{
    private const int Width = 600, Height = 500;
    private static readonly SKColor Navy = new(24, 36, 84);

    public static TheoryData<float, float, string> Rasters
    {
        get
        {
            // At 300 ppi from 67 lines to an inch down to 15.
            var rasters = new TheoryData<float, float, string>();
            foreach (float pitch in (float[])[4.5f, 6.67f, 10, 14, 20])
            {
                foreach (float angle in (float[])[0, 15, 45])
                {
                    foreach (string tone in (string[])["light", "ramp", "fade"])
                    {
                        rasters.Add(pitch, angle, tone);
                    }
                }
            }

            return rasters;
        }
    }

    [Theory]
    [MemberData(nameof(Rasters))]
    public void A_halftone_stays_whole_and_is_asked_about_at_most_once(float pitch, float angle, string tone)
    {
        foreach (bool holes in (bool[])[false, true])
        {
            var made = Stays(Draw(holes, (canvas, paint) => Halftone(canvas, paint, pitch, angle, tone)), holes ? "pinholes" : "specks");
            // None where no dot is a speck by size, or each stands beside a larger one.
            made.Run.Reporter.Questions.Count.ShouldBeLessThanOrEqualTo(1);
        }
    }

    [Theory]
    [InlineData(5)]
    [InlineData(7)]
    [InlineData(11)]
    [InlineData(16)]
    [InlineData(25)]
    public void A_raster_of_specks_is_asked_about_once(int pitch)
    {
        foreach (bool holes in (bool[])[false, true])
        {
            var made = Stays(Draw(holes, (canvas, paint) => Raster(canvas, paint, pitch)), holes ? "pinholes" : "specks");
            made.Run.Reporter.Questions.ShouldHaveSingleItem().Message.ShouldStartWith(holes ? "25 pinholes" : "25 specks");
        }
    }

    [Theory]
    [InlineData(100)]
    [InlineData(300)]
    [InlineData(1000)]
    [InlineData(4000)]
    public void Grain_stays_whole_and_is_asked_about_once(int dots)
    {
        foreach (bool holes in (bool[])[false, true])
        {
            var random = new Random(dots);
            var made = Stays(Draw(holes, (canvas, paint) =>
            {
                for (int i = 0; i < dots; i++)
                {
                    canvas.DrawCircle(50 + (random.NextSingle() * 500), 50 + (random.NextSingle() * 400),
                        0.8f + (random.NextSingle() * random.NextSingle() * 1.8f), paint);
                }
            }), holes ? "pinholes" : "specks");
            made.Run.Reporter.Questions.ShouldHaveSingleItem();
        }
    }

    [Fact]
    public void The_answer_decides()
    {
        // 12 x 10 dots of 4 px2, 16 px from each other.
        var art = Draw(false, (canvas, paint) =>
        {
            for (int i = 0; i < 120; i++)
            {
                canvas.DrawRect(100 + (i % 12 * 16), 100 + (i / 12 * 16), 2, 2, paint);
            }
        });
        var asked = Shelf.Run("remove-specks", art, Shelf.Light);
        var question = asked.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Code, question.Answer, question.Proposal, question.Decided).ShouldBe(("specks", "pattern=dirt", "left alone", false));
        question.Message.ShouldStartWith("120 specks ");
        question.Regions.ShouldHaveSingleItem().Bounds.ShouldBe(new Box(100, 100, (11 * 16) + 2, (9 * 16) + 2));
        question.Regions[0].Count.ShouldBe(480);

        var kept = Shelf.Run("remove-specks", art, Shelf.Light, ("pattern", "keep"));
        kept.Run.Art.Artwork.ShouldBeSameAs(kept.Before);
        kept.Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();

        var gone = Shelf.Run("remove-specks", art, Shelf.Light, ("pattern", "dirt"));
        gone.Pixels.Count(pixel => pixel == Rgba8.ClearWhite).ShouldBe(480);
        gone.Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();
        gone.Run.Reporter.RegionLists[0].Regions.Count().ShouldBe(120);
    }

    [Fact]
    public void Dirt_far_from_a_halftone_goes_and_the_halftone_stays()
    {
        var art = Draw(false, (canvas, paint) =>
        {
            Raster(canvas, paint, 9);
            canvas.DrawRect(560, 30, 2, 2, paint);
            canvas.DrawRect(550, 460, 2, 2, paint);
        });
        var made = Shelf.Run("remove-specks", art, Shelf.Light);
        made.Run.Reporter.RegionLists[0].Regions.Select(region => region.Box).ShouldBe([new Box(560, 30, 2, 2), new Box(550, 460, 2, 2)]);
        made.Run.Reporter.Questions.ShouldHaveSingleItem();
    }

    [Theory]
    [InlineData(3)]
    [InlineData(5)]
    [InlineData(9)]
    public void A_dotted_line_stays(int dots)
    {
        // An ellipsis, wider than what is near, on its own; and longer rows.
        foreach (bool holes in (bool[])[false, true])
        {
            Stays(Draw(holes, (canvas, paint) =>
            {
                for (int i = 0; i < dots; i++)
                {
                    canvas.DrawCircle(150.2f + (i * 14), 200.7f, 1.2f, paint);
                }
            }), "row");
        }
    }

    private static Outcome Stays(Plane<Rgba8> art, string what)
    {
        var made = Shelf.Run("remove-specks", art, Shelf.Light);
        var before = art.ToContiguous();
        made.Pixels.Where((pixel, i) => pixel != before[i]).Count().ShouldBe(0, what);
        return made;
    }

    // 5 x 5 dots of 4 px2.
    private static void Raster(SKCanvas canvas, SKPaint paint, int pitch)
    {
        for (int i = 0; i < 25; i++)
        {
            canvas.DrawRect(100 + (i % 5 * pitch), 100 + (i / 5 * pitch), 2, 2, paint);
        }
    }

    private static void Halftone(SKCanvas canvas, SKPaint paint, float pitch, float angle, string tone)
    {
        const float half = 200;
        canvas.Save();
        canvas.Translate(300, 250);
        canvas.RotateDegrees(angle);
        double turn = angle * Math.PI / 180;
        for (float y = -400; y < 400; y += pitch)
        {
            for (float x = -400; x < 400; x += pitch)
            {
                double left = (x * Math.Cos(turn)) - (y * Math.Sin(turn)), down = (x * Math.Sin(turn)) + (y * Math.Cos(turn)),
                    share = (left + half) / (2 * half);
                // A dot of a tone covers that share of its square: radius = pitch x sqrt(tone / pi). A ramp goes from 0 to 60%.
                double radius = pitch * Math.Sqrt((tone switch { "light" => 0.1, "ramp" => 0.6 * share * share, _ => 0.6 * share }) / Math.PI);
                if (Math.Abs(left) < half && Math.Abs(down) < 180 && radius >= 0.3)
                {
                    canvas.DrawCircle(x, y, (float)radius, paint);
                }
            }
        }

        canvas.Restore();
    }

    private static Plane<Rgba8> Draw(bool holes, Action<SKCanvas, SKPaint> draw) =>
        Plane<Rgba8>.FromContiguous(Width, Height, SkiaDrawing.Draw(Width, Height, SKColors.White, canvas =>
    {
        using var ink = new SKPaint { Color = Navy, IsAntialias = true };
        using var bare = new SKPaint { Color = SKColors.White, IsAntialias = true };
        if (holes)
        {
            canvas.DrawRect(20, 20, Width - 40, Height - 40, ink);
        }

        draw(canvas, holes ? bare : ink);
    }));
}
