namespace Recipes.Imaging.Tests;

public class ColorStripTests
{
    private static readonly GarmentSetup Light = new() { Name = "light", PlatenWidth = 14, PlatenHeight = 16 };

    [Theory]
    [InlineData(false, 300)]
    [InlineData(true, 300)]
    [InlineData(true, 150)]
    public void Patches_are_exact_large_enough_for_an_instrument_and_all_else_is_bare_or_far_from_white(bool dark, double ppi)
    {
        var setup = Light with { PixelsPerInch = ppi, Garment = dark ? new Rgba8(22, 22, 24) : Rgba8.White };
        Rgba8[] colors = [new(240, 124, 28), new(254, 254, 254), new(250, 240, 240), new(1, 1, 1), new(24, 48, 92), new(200, 40, 44)];
        var strip = ColorStrip.Draw([.. colors.Select(color => new MainColor(color, 100, 0.1))], setup).ShouldNotBeNull();
        strip.PixelsPerInch.ShouldBe(ppi);
        // Beside the art, or on what is free of a test garment.
        (strip.Width / ppi).ShouldBeLessThan(3.5);
        (strip.Height / ppi).ShouldBeLessThan(3.5);

        // ISO 13655 wants a patch larger than the aperture and its surround; 12 mm is what the trade's page on charts asks for.
        foreach (var color in colors)
        {
            double side = Math.Sqrt(strip.Flat.ToContiguous().Count(pixel => pixel == color)) / ppi * 25.4;
            side.ShouldBeGreaterThan(11.8);
        }

        // Nothing near white is reached from the border, so no background rule takes it for dust.
        Find.Background(strip.Flat, Ground.Of(strip.Flat), null, PaperTolerance.At(ppi))
            .Reached.Intersect(Find.Where(strip.Flat, pixel => setup.Ink.StateOf(pixel) == InkState.Prints)).IsEmpty.ShouldBeTrue();
        for (int x = 0; x < strip.Width; x++)
        {
            (setup.Ink.StateOf(strip.Flat[x, 0]) == InkState.Prints || setup.Ink.StateOf(strip.Flat[x, strip.Height - 1]) == InkState.Prints).ShouldBeFalse();
        }
    }

    [Fact]
    public void The_files_own_underbase_lies_under_the_patches_and_the_machines_is_left_to_it()
    {
        var setup = Light with { Garment = new Rgba8(22, 22, 24), Underbase = Underbase.File };
        ColorStrip.Draw([new MainColor(new Rgba8(240, 124, 28), 9, 1)], setup)!.Underbase.ShouldNotBeNull();
        ColorStrip.Draw([new MainColor(new Rgba8(240, 124, 28), 9, 1)], setup with { Underbase = Underbase.Machine })!.Underbase.ShouldBeNull();
        ColorStrip.Draw([], setup).ShouldBeNull();
    }
}
