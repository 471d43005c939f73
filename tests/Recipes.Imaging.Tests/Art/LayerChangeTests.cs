using CsCheck;

namespace Recipes.Imaging.Tests;

public class LayerChangeTests
{
    [Fact]
    public void The_same_layers_give_the_same_object() => Cases.Artworks().Holds(art =>
        art.WithLayers([.. art.Layers]).ShouldBeSameAs(art), iter: 30);

    [Fact]
    public void What_was_done_is_undone_by_keeping_the_old_object() => Cases.Edits.Holds((before, after) =>
    {
        var was = before.Flat.ToContiguous();
        _ = after.Flat;
        before.Flat.ToContiguous().ShouldHold(was);
        // Undo also as a step that comes after: the old layers on the new artwork.
        if (before.Grid == after.Grid)
        {
            after.WithLayers(before.Layers).Flat.ToContiguous().ShouldHold(was);
        }
    }, iter: 30);

    [Fact]
    public void A_taken_name_gets_a_number()
    {
        var pixels = Plane<Rgba8>.OneValue(3, 2, Rgba8.White);
        var art = Artwork.FromPixels(pixels).WithLayer(Layer.Over("belly", pixels)).WithLayer(Layer.Over("belly", pixels)).WithLayer(Layer.Over("belly", pixels));
        art.Layers.Select(layer => layer.Name).ShouldBe(["original", "belly", "belly 2", "belly 3"]);
    }

    [Fact]
    public void A_new_layer_leaves_the_others_as_they_are() => Cases.Artworks().Holds(art =>
    {
        var next = art.WithLayer(Layer.Over("new", Plane<Rgba8>.OneValue(art.Width, art.Height, Rgba8.White)));
        next.Layers[..^1].ShouldBe(art.Layers);
        (next.Width, next.Height, next.PixelsPerInch).ShouldBe((art.Width, art.Height, art.PixelsPerInch));
    }, iter: 30);

    [Fact]
    public void What_an_artwork_cannot_be_is_refused()
    {
        var layer = Layer.Over("sail", Plane<Rgba8>.OneValue(3, 2, Rgba8.White));
        Should.Throw<ArgumentException>(() => new Artwork(3, 3, null, [layer]));
        Should.Throw<ArgumentException>(() => new Artwork(3, 2, null, [layer, layer]));
        Should.Throw<ArgumentException>(() => new Artwork(0, 2, null, []));
        Should.Throw<ArgumentException>(() => new Artwork(30_001, 1, null, []));
        Should.Throw<ArgumentException>(() => new Artwork(20_000, 10_001, null, []));
        new Artwork(20_000, 10_000, null, []).PixelCount.ShouldBe(200_000_000);
        Should.Throw<ArgumentException>(() => new Artwork(3, 2, null, [.. Enumerable.Range(0, Artwork.MostLayers + 1).Select(i => layer.WithName($"{i}"))]));
    }
}
