using CsCheck;

namespace Recipes.Imaging.Tests;

/// <summary>Laws of the whole model.</summary>
public class FlattenTests
{
    // The whole image at once, pixel by pixel. The bottom visible layer keeps color under alpha 0 where it goes over nothing
    // at opacity 1; apart from that it is composition onto transparent.
    private static Rgba8[] Composed(Artwork art)
    {
        var canvas = new Rgba8[art.Width * art.Height];
        bool bottom = true;
        foreach (var layer in art.Layers.Where(layer => layer.Visible && layer.Opacity > 0))
        {
            var pixels = layer.Pixels.ToContiguous();
            var coverage = layer.Coverage?.ToContiguous();
            for (int i = 0; i < canvas.Length; i++)
            {
                canvas[i] = coverage is not null ? Blend.Replace(canvas[i], pixels[i], coverage[i] / 255.0 * layer.Opacity)
                    : bottom && layer.Opacity == 1 ? pixels[i]
                    : Blend.Over(canvas[i], pixels[i], layer.Blend, layer.Opacity);
            }

            bottom = false;
        }

        return canvas;
    }

    [Fact]
    public void Flat_tile_by_tile_equals_the_whole_image_at_once() => Cases.Artworks().Holds(art =>
        art.Flat.ToContiguous().ShouldHold(Composed(art)), iter: 50);

    [Fact]
    public void Flat_is_the_same_whatever_came_before() => Cases.Edits.Holds((before, after) =>
    {
        _ = before.Flat;
        after.Flat.ToContiguous().ShouldHold(Composed(after));
    }, iter: 50);

    [Fact]
    public void A_single_visible_over_layer_at_opacity_1_comes_back_tile_for_tile() => Cases.Sizes.SelectMany(size => Gen.Select(
        Cases.Pixels(size.Width, size.Height), Cases.Layers(size.Width, size.Height), Gen.Enum<BlendMode>(), Gen.Bool)).Holds((pixels, other, blend, above) =>
    {
        var single = Layer.Over("single", pixels, blend);
        var hidden = other.WithVisible(false);
        var art = new Artwork(pixels.Width, pixels.Height, null, above ? [single, hidden] : [hidden, single]);
        art.Flat.Tiles.ShouldBe(pixels.Tiles);
    }, iter: 30);

    [Fact]
    public void Color_under_alpha_0_of_a_single_layer_stays()
    {
        var pixels = Pictures.Art(130, 3, (x, y) => new Rgba8((byte)x, (byte)y, 77, 0));
        Artwork.FromPixels(pixels).Flat.ToContiguous().ShouldBe(pixels.ToContiguous());
    }

    // The bottom layer covers in the first tile only; the layer above is clear everywhere, so it may show its color nowhere.
    [Fact]
    public void Color_under_alpha_0_does_not_show_how_the_art_was_cut()
    {
        var coverage = Plane<byte>.FromContiguous(300, 1, Enumerable.Range(0, 300).Select(x => x == 5 ? (byte)255 : (byte)0).ToArray());
        var art = new Artwork(300, 1, null,
        [
            Layer.Replace("sail", LayerIntent.None, Plane<Rgba8>.OneValue(300, 1, Rgba8.White), coverage),
            Layer.Over("clear", Plane<Rgba8>.OneValue(300, 1, new Rgba8(240, 120, 20, 0))),
        ]);
        var flat = art.Flat.ToContiguous();
        flat[5].ShouldBe(Rgba8.White);
        flat.Where((_, x) => x != 5).Distinct().ShouldHaveSingleItem();
        flat.ShouldHold(Composed(art));
    }

    [Fact]
    public void Tiles_that_a_new_layer_does_not_touch_are_the_same_objects() => Cases.Sizes.SelectMany(size => Gen.Select(
        Cases.Artworks(size.Width, size.Height), Cases.Layers(size.Width, size.Height))).Holds((art, layer) =>
    {
        var next = art.WithLayer(layer);
        Plane<Rgba8> was = art.Flat, now = next.Flat;
        for (int i = 0; i < was.Tiles.Length; i++)
        {
            ReferenceEquals(was.Tiles[i], now.Tiles[i]).ShouldBe(was.Tiles[i].SameSamples(now.Tiles[i]));
        }

        ReferenceEquals(was, now).ShouldBe(was.SameSamples(now));
    }, iter: 50);

    [Fact]
    public void A_layer_that_hides_a_tile_behind_its_like_keeps_the_tile()
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(9, 7, new Rgba8(40, 90, 200)));
        var same = Plane<Rgba8>.OneValue(9, 7, new Rgba8(40, 90, 200));
        art.WithLayer(Layer.Replace("same", LayerIntent.Fill, same, Plane<byte>.OneValue(9, 7, 255))).Flat.ShouldBeSameAs(art.Flat);
    }

    [Fact]
    public void Hidden_and_clear_layers_change_nothing() => Cases.Sizes.SelectMany(size => Gen.Select(
        Cases.Artworks(size.Width, size.Height), Cases.Layers(size.Width, size.Height))).Holds((art, layer) =>
    {
        art.WithLayer(layer.WithVisible(false)).Flat.ShouldBeSameAs(art.Flat);
        art.WithLayer(layer.WithOpacity(0)).Flat.ShouldBeSameAs(art.Flat);
        var nowhere = Plane<byte>.OneValue(art.Width, art.Height, 0);
        art.WithLayer(Layer.Replace("nowhere", LayerIntent.Fill, layer.Pixels, nowhere)).Flat.ShouldBeSameAs(art.Flat);
    }, iter: 30);

    [Fact]
    public void An_artwork_without_visible_layers_is_transparent() =>
        new Artwork(130, 2, null, []).Flat.ToContiguous().ShouldAllBe(pixel => pixel.IsTransparent);
}
