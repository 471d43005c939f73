namespace Recipes.Imaging.Tests;

/// <summary>What a lossy file leaves unnumbered or undrawn, and a check names: pockets without pure white, outlines that aren't black any more.</summary>
public class PocketTests
{
    private static readonly Rgba8 Teal = new(0, 128, 128);

    private static readonly GarmentSetup Black =
        new() { Name = "black-garment", PlatenWidth = 14, PlatenHeight = 16, Garment = Rgba8.Black, Ink = new InkRules { BlackBare = true } };

    // A disc on white paper with a round hole of another disc's middle.
    private static Artwork Disc(Func<int, int, Rgba8> hole) => Artwork.FromPixels(Pictures.Art(200, 200, (x, y) => Far(x, y) switch
    {
        > 80 => Rgba8.White,
        > 10 => Teal,
        _ => hole(x, y),
    }), 300);

    private static double Far(int x, int y) => Math.Sqrt(((x - 100) * (x - 100)) + ((y - 100) * (y - 100)));

    private static Cleaning Clean(Artwork art, string inside) => Cleaning.Of(art, Black, new CleaningChoices(PaperTolerance.At(300)) { Inside = inside });

    [Fact]
    public void A_pocket_without_pure_white_is_named_and_becomes_bare_only_where_somebody_says_so()
    {
        var art = Disc((x, y) => new Rgba8((byte)(250 + (x % 3)), 253, (byte)(251 + (y % 3))));
        var asked = Clean(art, "ask");
        asked.Pockets.Contains(100, 100).ShouldBeTrue();
        asked.Pockets.Contains(100, 150).ShouldBeFalse();
        asked.Bare.Contains(100, 100).ShouldBeFalse();
        Clean(art, "bare").Bare.Contains(100, 100).ShouldBeTrue();
    }

    [Fact]
    public void White_with_a_number_is_no_pocket_nor_is_a_pale_color()
    {
        Clean(Disc((x, _) => x == 100 ? Rgba8.White : new Rgba8(252, 253, 252)), "ask").Pockets.IsEmpty.ShouldBeTrue();
        Clean(Disc((_, _) => new Rgba8(236, 246, 252)), "ask").Pockets.IsEmpty.ShouldBeTrue();
    }

    [Fact]
    public void A_thin_outline_that_noise_tinted_over_its_width_is_named_and_one_of_one_color_is_not()
    {
        // Seed 5; the square is black, so that there is some.
        var random = new Random(5);
        var noisy = Ring(() => new Rgba8((byte)random.Next(6), (byte)random.Next(14, 25), (byte)random.Next(4, 15)));
        var found = Find.DrawnBlack(noisy, 13, 3);
        found.Drawn.Contains(102, 102).ShouldBeTrue();
        found.Tinted.Contains(100, 20).ShouldBeTrue();
        found.Tinted.Contains(102, 102).ShouldBeFalse();
        Find.DrawnBlack(Ring(() => new Rgba8(2, 20, 10)), 13, 3).Tinted.IsEmpty.ShouldBeTrue();

        static Plane<Rgba8> Ring(Func<Rgba8> ink) => Pictures.Art(200, 200, (x, y) =>
            x is >= 98 and < 106 && y is >= 98 and < 106 ? Rgba8.Black : Far(x, y) is >= 78.5 and < 81.5 ? ink() : Rgba8.White);
    }
}
