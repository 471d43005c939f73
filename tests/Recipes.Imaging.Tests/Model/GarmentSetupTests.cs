namespace Recipes.Imaging.Tests;

public class GarmentSetupTests
{
    private static readonly GarmentSetup Setup = new() { Name = "regatta", PlatenWidth = 14, PlatenHeight = 16 };

    // 300 ppi where neither file nor setup says otherwise; safe margin 0.25 to 0.5 in: common practice, no source.
    [Fact]
    public void Defaults_are_a_light_garment_at_300_ppi_with_the_underbase_by_the_machine()
    {
        Setup.Ink.ShouldBe(new InkRules { WhiteBare = true, BlackBare = false, TransparentBare = true, BareAs = BareAs.Both });
        (Setup.PixelsPerInch, Setup.SafeMargin, Setup.Underbase, Setup.Garment).ShouldBe((300, 0.25, Underbase.Machine, new Rgba8(255, 255, 255)));
        (Setup.InkLot, Setup.Pretreatment, Setup.Chart, Setup.InkConstants).ShouldBe((null, null, null, null));
    }

    [Fact]
    public void Resolution_is_the_arts_own_before_the_setups()
    {
        var pixels = Plane<Rgba8>.OneValue(2, 2, Rgba8.White);
        Setup.ResolutionFor(Artwork.FromPixels(pixels, 72)).ShouldBe(72);
        (Setup with { PixelsPerInch = 240 }).ResolutionFor(Artwork.FromPixels(pixels)).ShouldBe(240);
    }

    // By hand: 14 x 16 in less twice 0.25 in are 13.5 x 15.5 in, which at 300 ppi are 4050 x 4650 px.
    [Theory]
    [InlineData(4050, 4650, 300)]
    [InlineData(4050, 100, 300)]
    [InlineData(4320, 100, 320)]
    [InlineData(100, 9300, 600)]
    [InlineData(6750, 4650, 500)]
    // The platen itself, margin included, which a px more isn't.
    [InlineData(4200, 4800, 300)]
    [InlineData(4201, 4800, 4201 / 13.5)]
    public void Art_that_states_none_is_never_larger_than_the_platen_inside_its_margin(int width, int height, double ppi)
    {
        Setup.ResolutionFor(width, height, null).ShouldBe(ppi, 1e-9);
        Setup.ResolutionFor(width, height, 72).ShouldBe(72);
    }
}
