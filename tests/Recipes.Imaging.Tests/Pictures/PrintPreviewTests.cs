using CsCheck;
using Recipes.Imaging.Pictures;

namespace Recipes.Imaging.Tests;

public class PrintPreviewTests
{
    private static readonly GarmentSetup Black = new() { Name = "black", PlatenWidth = 14, PlatenHeight = 16, Garment = Rgba8.Black, Ink = new InkRules { BlackBare = true } };

    private static readonly Gen<Rgba8> Color = Gen.Select(Gen.Byte, Gen.Byte, Gen.Byte, Gen.Byte, (r, g, b, a) => new Rgba8(r, g, b, a));

    private static Rgba8 Show(Rgba8 ink, Rgba8 cloth, byte white) => PrintPreview.Render(
        Plane<Rgba8>.OneValue(1, 1, ink), Black with { Garment = cloth }, Plane<byte>.OneValue(1, 1, white))[0, 0];

    [Fact]
    public void No_ink_is_exactly_fabric() => Color.Sample(cloth =>
    {
        foreach (var bare in new[] { Rgba8.White, Rgba8.Black, new Rgba8(1, 2, 3, 0) })
        {
            Show(bare, cloth, 0).ShouldBe(cloth.WithAlpha(255));
        }
    });

    [Fact]
    public void More_underbase_is_never_darker_on_dark_cloth() =>
        Gen.Select(Color, Gen.Byte, Gen.Byte, Gen.Byte[0, 100]).Sample((ink, a, b, gray) =>
        {
            var cloth = new Rgba8(gray, gray, gray);
            Rgba8 less = Show(ink, cloth, Math.Min(a, b)), more = Show(ink, cloth, Math.Max(a, b));
            (more.R >= less.R && more.G >= less.G && more.B >= less.B).ShouldBeTrue();
        });

    [Fact]
    public void Ink_on_bare_cloth_is_a_filter_and_never_lighter_than_it() => Gen.Select(Color, Color).Sample((ink, cloth) =>
    {
        var shown = Show(ink, cloth, 0);
        (shown.R <= cloth.R && shown.G <= cloth.G && shown.B <= cloth.B).ShouldBeTrue();
    });

    // Kubelka-Munk table, SX 4 on black of reflectance 0.03 gives 0.78838; Values/white_ink_kubelka_munk.csv. 48 is linear 0.0296.
    [Fact]
    public void White_on_a_solid_is_what_the_table_says() =>
        Srgb.ToLinear(Show(new Rgba8(255, 255, 254), new Rgba8(48, 48, 48), 255).R).ShouldBe(0.78838, 0.004);
}
