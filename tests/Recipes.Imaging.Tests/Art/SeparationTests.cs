using OpenCvSharp;

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
        WhiteUnderbase.For(laid, Black with { Underbase = Underbase.File }).ShouldBeSameAs(laid.Underbase);
        WhiteUnderbase.For(laid, Black with { Underbase = Underbase.None }).ShouldBeNull();
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

    // Solid discs have neither strokes nor corners: white lies nowhere outside OpenCV's erosion by a disc of the choke, everywhere inside of it, and in
    // full from a px further in.
    [Theory]
    [InlineData(1)]
    [InlineData(2.36)]
    [InlineData(5)]
    public void The_choke_under_solid_shapes_lies_between_two_of_OpenCvs_erosions(double px)
    {
        OpenCv.OrSkip();
        const int side = 160;
        var centers = new[] { (X: 45, Y: 45, R: 38), (X: 120, Y: 112, R: 30) };
        var ink = new Rgba8(240, 124, 28);
        var art = Plane<Rgba8>.FromContiguous(side, side, Enumerable.Range(0, side * side).Select(i =>
            centers.Any(c => ((i % side) - c.X) * ((i % side) - c.X) + ((i / side) - c.Y) * ((i / side) - c.Y) <= c.R * c.R) ? ink : Rgba8.ClearWhite).ToArray());
        byte[] white = WhiteUnderbase.Of(art, Black, px).ToContiguous();
        white.Select(level => level > 0).ShouldBe(Eroded(art, far => far <= px));
        white.Select(level => level == 255).ShouldBe(Eroded(art, far => far < px + 1));
    }

    // What stays of what prints where a disc of some pixels is taken off its edge.
    private static IEnumerable<bool> Eroded(Plane<Rgba8> art, Func<double, bool> isInDisc)
    {
        using var mask = new Mat(art.Height, art.Width, MatType.CV_8UC1);
        mask.SetArray(art.ToContiguous().Select(pixel => pixel.IsTransparent ? (byte)0 : (byte)255).ToArray());
        const int reach = 7;
        using var disc = new Mat((2 * reach) + 1, (2 * reach) + 1, MatType.CV_8UC1, Scalar.All(0));
        for (int y = -reach; y <= reach; y++)
        {
            for (int x = -reach; x <= reach; x++)
            {
                disc.Set(y + reach, x + reach, isInDisc(Math.Sqrt((x * x) + (y * y))) ? (byte)1 : (byte)0);
            }
        }

        using Mat eroded = new();
        Cv2.Erode(mask, eroded, disc, borderType: BorderTypes.Constant, borderValue: Scalar.All(0));
        eroded.GetArray(out byte[] kept);
        return kept.Select(level => level != 0);
    }
}
