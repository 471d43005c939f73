namespace Recipes.Imaging.Tests;

/// <summary>
/// mL = coverage x area x laydown / density, worked out by hand on one square inch: 0.0254 m squared is 6.4516e-4 m2, at 10 g/m2 and 1.25 g/mL
/// 5.16128e-3 mL for each solid ink. The range is 15 % either way (common practice, no source).
/// </summary>
public class InkEstimateTests
{
    private const double Solid = 5.16128e-3;

    private static readonly GarmentSetup Light = new()
    {
        Name = "light", PlatenWidth = 14, PlatenHeight = 16, Garment = Rgba8.White, InkConstants = new InkConstants(10, 1.25),
    };

    private static readonly GarmentSetup Black = Light with { Garment = Rgba8.Black, Ink = new InkRules { BlackBare = true } };

    // Gray of one ink or of three: solid black is 1 to 3 solids, solid red (magenta and yellow) 2 either way, cyan 1. #800000 is
    // magenta and yellow and 127/255 of cyan: that gray part of one ink, 2 - 127/255, or of three, 2 + 127/255.
    [Theory]
    [InlineData("#000000", 1, 3)]
    [InlineData("#ff0000", 2, 2)]
    [InlineData("#00ffff", 1, 1)]
    [InlineData("#800000", 1.501961, 2.498039)]
    [InlineData("#ffffff", 0, 0)]
    public void One_square_inch_takes_its_solids(string color, double least, double most)
    {
        Rgba8.TryParse(color, out var ink).ShouldBeTrue();
        var estimate = InkEstimate.Of(Inch(ink), 100, Light).ShouldNotBeNull();
        estimate.Colors.Low.ShouldBe(least * Solid * 0.85, 1e-6);
        estimate.Colors.High.ShouldBe(most * Solid * 1.15, 1e-6);
        estimate.Underbase.ShouldBe(new InkRange(0, 0));
    }

    [Fact]
    public void Half_the_alpha_is_half_the_ink_and_twice_the_resolution_a_quarter()
    {
        var whole = InkEstimate.Of(Inch(new Rgba8(0, 255, 255)), 100, Light)!;
        InkEstimate.Of(Inch(new Rgba8(0, 255, 255, 51)), 100, Light)!.Colors.Low.ShouldBe(whole.Colors.Low / 5, 1e-6);
        InkEstimate.Of(Inch(new Rgba8(0, 255, 255)), 200, Light)!.Colors.Low.ShouldBe(whole.Colors.Low / 4, 1e-6);
    }

    [Fact]
    public void On_black_a_printed_white_is_all_underbase_and_bare_black_is_a_saving()
    {
        var white = InkEstimate.Of(Inch(new Rgba8(254, 254, 254)), 100, Black)!;
        white.Underbase.Low.ShouldBe(Solid * 0.85, 1e-6);
        white.Underbase.High.ShouldBe(Solid * 1.15, 1e-6);
        InkEstimate.Of(Inch(new Rgba8(254, 254, 254)), 100, Black with { Underbase = Underbase.None })!.Underbase.ShouldBe(new InkRange(0, 0));
        var black = InkEstimate.Of(Inch(Rgba8.Black), 100, Black)!;
        black.Total.ShouldBe(new InkRange(0, 0));
        // Black asks for no white under it.
        black.Saved.Low.ShouldBe(Solid * 0.85, 1e-6);
        black.Saved.High.ShouldBe(3 * Solid * 1.15, 1e-6);
    }

    [Fact]
    public void Bare_white_on_black_saves_its_underbase()
    {
        var saved = InkEstimate.Of(Inch(Rgba8.White), 100, Black)!.Saved;
        saved.Low.ShouldBe(Solid * 0.85, 1e-6);
        saved.High.ShouldBe(Solid * 1.15, 1e-6);
    }

    [Fact]
    public void Without_constants_there_is_no_estimate() => InkEstimate.Of(Inch(Rgba8.Black), 100, Light with { InkConstants = null }).ShouldBeNull();

    private static Artwork Inch(Rgba8 color) => Artwork.FromPixels(Plane<Rgba8>.OneValue(100, 100, color), 100);
}
