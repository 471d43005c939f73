using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Imaging;
using Recipes.Shipped.Tests.Orders;
using SkiaSharp;

namespace Recipes.Shipped.Tests;

/// <summary>What remove-specks changes is what a check says it would change: the changed pixels are counted here, and by neither of the two.</summary>
public class SpecksCheckTests
{
    private const int Width = 360, Height = 240;

    public static TheoryData<int> Qualities => new() { 50, 60, 75, 85, 92, 97 };

    [Theory]
    [MemberData(nameof(Qualities))]
    public void All_that_goes_of_a_JPEG_is_named(int quality)
    {
        long named = 0;
        foreach (int seed in new[] { 1, 2 })
        {
            var drawn = Draw(seed);
            foreach (var setup in new[] { Shelf.Light, Shelf.Black })
            {
                var received = Plane<Rgba8>.FromContiguous(Width, Height, SkiaDrawing.Jpeg(drawn, Width, Height, quality));
                named += ShouldBeNamed(received, setup, $"{quality}, {seed}");
            }
        }

        named.ShouldBeGreaterThan(0);
    }

    // A pinhole takes the mixes at its edge along, which are no part of the hole itself.
    [Fact]
    public void The_mixes_of_a_pinhole_are_named()
    {
        var drawn = Plane<Rgba8>.FromContiguous(Width, Height, Draw(1));
        var dirt = Find.Dirt(drawn, Shelf.Light.Ink, 0.06 * 300 * 300 / (25.4 * 25.4));
        dirt.Pinholes.IsEmpty.ShouldBeFalse();
        ShouldBeNamed(drawn, Shelf.Light, "as drawn").ShouldBeGreaterThan(dirt.Specks.Count + dirt.Pinholes.Count);
    }

    [Fact]
    public void All_that_goes_of_drawn_scenes_is_named()
    {
        long named = 0;
        foreach (var order in OrderBook.All.Where((_, i) => i % 12 == 2))
        {
            var received = order.Receive();
            named += ShouldBeNamed(Plane<Rgba8>.FromContiguous(received.Art.Width, received.Art.Height, received.Pixels), order.Setup, order.Name);
        }

        named.ShouldBeGreaterThan(0);
    }

    private static long ShouldBeNamed(Plane<Rgba8> received, GarmentSetup setup, string what)
    {
        // As the usual list does it: on paper that was cleaned.
        var made = Shelf.Run("remove-specks", Shelf.Run("clean-background", received, setup).Run.Art.Artwork, setup);
        var pixels = made.Before.Flat;
        var changed = new Box(0, 0, 0, 0);
        long count = 0;
        Rgba8[] before = pixels.ToContiguous(), after = made.Pixels;
        for (int i = 0; i < before.Length; i++)
        {
            if (before[i] != after[i] && (before[i].A | after[i].A) != 0)
            {
                count++;
                changed = changed.Around(new Box(i % pixels.Width, i / pixels.Width, 1, 1));
            }
        }

        var finding = ArtCheck.Of(made.Before, setup).Findings.FirstOrDefault(finding => finding.Code == "specks");
        (finding?.Pixels ?? 0).ShouldBe(count, what);
        (finding?.Box ?? new Box(0, 0, 0, 0)).ShouldBe(changed, what);
        return count;
    }

    // A block and a disc with pinholes, and specks on the paper around them, each at another part of a px.
    private static Rgba8[] Draw(int seed)
    {
        var random = new Random(seed);
        return SkiaDrawing.Draw(Width, Height, SKColors.White, canvas =>
        {
            using var sea = new SKPaint { Color = new SKColor(34, 92, 140), IsAntialias = true };
            using var orange = new SKPaint { Color = new SKColor(240, 124, 28), IsAntialias = true };
            using var white = new SKPaint { Color = SKColors.White, IsAntialias = true };
            canvas.DrawRect(20, 20, 150, 120, sea);
            canvas.DrawCircle(260, 90, 70, orange);
            foreach (var (x, y) in new[] { (50, 50), (110, 60), (70, 110), (140, 110), (230, 70), (290, 80), (260, 130) })
            {
                canvas.DrawCircle(x + random.NextSingle(), y + random.NextSingle(), 0.8f + (random.NextSingle() * 0.8f), white);
            }

            foreach (var (x, y) in new[] { (40, 200), (100, 180), (160, 210), (220, 200), (280, 190), (340, 220) })
            {
                canvas.DrawCircle(x + random.NextSingle(), y + random.NextSingle(), 0.8f + (random.NextSingle() * 0.8f), sea);
            }
        });
    }
}
