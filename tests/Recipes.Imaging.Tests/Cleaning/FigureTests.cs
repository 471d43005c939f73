namespace Recipes.Imaging.Tests.Regions;

/// <summary>What a person would measure of an art, on drawings whose figure is known because it was drawn there.</summary>
public class FigureTests
{
    private static readonly Rgba8 Ink = new(34, 92, 140);
    private static readonly Box Drawn = new(100, 60, 120, 90);
    private static readonly GarmentSetup Light = new() { Name = "light", PlatenWidth = 14, PlatenHeight = 16 };
    private static readonly GarmentSetup Black = Light with { Name = "black", Garment = Rgba8.Black, Ink = new InkRules { BlackBare = true } };

    [Fact]
    public void Bare_margins_are_no_part_of_it()
    {
        Of((x, y) => Drawn.Contains(x, y) ? Ink : Rgba8.White, Light).ShouldBe(Drawn);
        Of((x, y) => Drawn.Contains(x, y) ? Ink : Rgba8.ClearWhite, Black).ShouldBe(Drawn);
        // Black drops on black cloth, and isn't printed.
        Of((x, y) => Drawn.Contains(x, y) ? Ink : Rgba8.Black, Black).ShouldBe(Drawn);
        Of((x, y) => Drawn.Contains(x, y) ? Ink : Rgba8.Black, Light).ShouldBe(new Box(0, 0, 400, 300));
    }

    // Dust of two levels below the paper's, as a JPEG or a scan leaves it, on white and on cream: clean-background takes both papers.
    [Theory]
    [InlineData(255, 255, 255)]
    [InlineData(250, 240, 220)]
    public void Paper_that_would_be_cleaned_is_no_part_of_it(byte r, byte g, byte b)
    {
        Rgba8 paper = new(r, g, b), dust = new((byte)(r - 2), (byte)(g - 2), (byte)(b - 2));
        Of((x, y) => Drawn.Contains(x, y) ? Ink : (x + y) % 3 == 0 ? dust : paper, Light).ShouldBe(Drawn);
    }

    [Fact]
    public void White_that_shall_print_later_is_part_of_it()
    {
        // A cut-out's white sail beside its hull: bare until printable-whites has run.
        var sail = new Box(220, 60, 80, 90);
        Of((x, y) => Drawn.Contains(x, y) ? Ink : sail.Contains(x, y) ? Rgba8.White : Rgba8.ClearWhite, Black).ShouldBe(Drawn.Around(sail));
        // On paper it is paper.
        Of((x, y) => Drawn.Contains(x, y) ? Ink : Rgba8.White, Black).ShouldBe(Drawn);
    }

    // 0.06 mm2 at 300 ppi are 8.4 px.
    [Fact]
    public void A_speck_far_away_is_no_part_of_it_but_a_dot_that_is_large_enough_is()
    {
        Of((x, y) => Drawn.Contains(x, y) || (x is 380 or 381 && y is 280 or 281) ? Ink : Rgba8.White, Light).ShouldBe(Drawn);
        Of((x, y) => Drawn.Contains(x, y) || (x is >= 380 and < 384 && y is >= 280 and < 284) ? Ink : Rgba8.White, Light)
            .ShouldBe(Drawn.Around(new Box(380, 280, 4, 4)));
    }

    [Fact]
    public void Of_nothing_there_is_no_figure() => Of((_, _) => Rgba8.White, Light).ShouldBeNull();

    private static Box? Of(Func<int, int, Rgba8> pixel, GarmentSetup setup) =>
        Figure.Of(Artwork.FromPixels(Pictures.Art(400, 300, pixel), 300), setup).Bounds;
}
