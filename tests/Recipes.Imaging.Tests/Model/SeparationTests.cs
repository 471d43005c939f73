namespace Recipes.Imaging.Tests;

public class SeparationTests
{
    private static readonly GarmentSetup Black = new() { Name = "black", PlatenWidth = 14, PlatenHeight = 16, Garment = Rgba8.Black, Ink = new InkRules { BlackBare = true } };

    [Fact]
    public void Flattening_and_guardrails_pass_a_plane_by()
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(200, 150, new Rgba8(9, 8, 7, 0)));
        var laid = art.WithLayer(Layer.Separation("underbase", LayerIntent.Underbase, Plane<byte>.OneValue(200, 150, 77)));
        laid.Flat.ShouldBeSameAs(art.Flat);
        Guardrails.Default.Judge(art, laid, Declaration.Nothing, Black.Ink).Art.ShouldBeSameAs(laid);
        laid.Underbase![0, 0].ShouldBe((byte)77);
        var alone = new Artwork(200, 150, null, [laid.Layers[1], laid.Layers[0]]);
        alone.Flat[0, 0].ShouldBe(new Rgba8(9, 8, 7, 0));
    }

    [Fact]
    public void A_patch_carries_a_plane_and_keeps_what_is_unchanged()
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(200, 150, Rgba8.Black));
        var laid = art.WithLayer(Layer.Separation("underbase", LayerIntent.Underbase, Plane<byte>.OneValue(200, 150, 77)));
        ArtworkPatch.Between(art, laid).ApplyTo(art).Underbase!.SameSamples(laid.Underbase!).ShouldBeTrue();
        ArtworkPatch.Between(laid, laid).ApplyTo(laid).ShouldBeSameAs(laid);
    }

    [Fact]
    public void A_plane_has_no_colors() => Should.Throw<ArgumentException>(() => Layer.Separation(
        "underbase", LayerIntent.Underbase, Plane<byte>.OneValue(4, 4, 1), Plane<Rgba8>.OneValue(4, 4, Rgba8.Black)));

    // Common practice, no source: full under light and saturated colors, less in shadows, none where nothing prints or cloth is white.
    [Theory]
    [InlineData("#fefefe", "#000000", 255)]
    [InlineData("#ff0000", "#000000", 255)]
    [InlineData("#000000", "#000000", 0)]
    [InlineData("#ffffff", "#000000", 0)]
    [InlineData("#fefefe", "#ffffff", 0)]
    [InlineData("#fefefe", "#ffff00", 255)]
    public void White_goes_by_color_and_garment(string color, string garment, byte laid)
    {
        Rgba8.TryParse(color, out var ink).ShouldBeTrue();
        Rgba8.TryParse(garment, out var cloth).ShouldBeTrue();
        WhiteUnderbase.Of(Plane<Rgba8>.OneValue(9, 9, ink), Black with { Garment = cloth }, 0)[4, 4].ShouldBe(laid);
    }

    [Fact]
    public void Shadows_and_pastel_cloth_get_less()
    {
        byte shadow = WhiteUnderbase.Of(Plane<Rgba8>.OneValue(9, 9, new Rgba8(40, 30, 20)), Black, 0)[4, 4];
        byte pastel = WhiteUnderbase.Of(Plane<Rgba8>.OneValue(9, 9, new Rgba8(200, 200, 200)), Black with { Garment = new Rgba8(255, 224, 224) }, 0)[4, 4];
        shadow.ShouldBeInRange((byte)1, (byte)128);
        pastel.ShouldBeInRange((byte)1, (byte)128);
    }
}
