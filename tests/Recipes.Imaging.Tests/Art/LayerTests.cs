using CsCheck;

namespace Recipes.Imaging.Tests;

public class LayerTests
{
    private static readonly Gen<Layer> Layers = Gen.Select(Gen.Int[1, 9], Gen.Int[1, 9]).SelectMany(Cases.Layers);

    [Fact]
    public void Unchanged_is_the_same_object() => Layers.Holds(layer =>
    {
        layer.WithName(new string(layer.Name)).ShouldBeSameAs(layer);
        layer.WithOpacity(layer.Opacity).ShouldBeSameAs(layer);
        layer.WithVisible(layer.Visible).ShouldBeSameAs(layer);
    });

    [Fact]
    public void One_property_changes_and_the_others_stay() => Layers.Holds(layer =>
    {
        Same(layer.WithName("puffin"), "puffin", layer.Opacity, layer.Visible);
        Same(layer.WithOpacity(0.375), layer.Name, 0.375, layer.Visible);
        Same(layer.WithVisible(!layer.Visible), layer.Name, layer.Opacity, !layer.Visible);

        void Same(Layer changed, string name, double opacity, bool visible)
        {
            (changed.Name, changed.Opacity, changed.Visible).ShouldBe((name, opacity, visible));
            (changed.Mode, changed.Blend, changed.Intent).ShouldBe((layer.Mode, layer.Blend, layer.Intent));
            changed.Pixels.ShouldBeSameAs(layer.Pixels);
            changed.Coverage.ShouldBeSameAs(layer.Coverage);
        }
    });

    [Theory]
    [InlineData(-0.001)]
    [InlineData(1.001)]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    public void Opacity_outside_0_to_1_is_refused(double opacity) =>
        Should.Throw<ArgumentOutOfRangeException>(() => Layer.Over("sail", Plane<Rgba8>.OneValue(2, 2, Rgba8.White)).WithOpacity(opacity));

    [Fact]
    public void Coverage_of_another_size_is_refused() =>
        Should.Throw<ArgumentException>(() => Layer.Replace("sail", LayerIntent.Fill, Plane<Rgba8>.OneValue(2, 2, Rgba8.White), Plane<byte>.OneValue(2, 3, 255)));
}
