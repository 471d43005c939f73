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
}
