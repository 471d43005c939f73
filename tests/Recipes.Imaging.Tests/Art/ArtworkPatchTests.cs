using System.Collections.Immutable;
using CsCheck;

namespace Recipes.Imaging.Tests;

public class ArtworkPatchTests
{
    [Fact]
    public void A_patch_applied_to_what_it_was_made_from_gives_what_it_was_made_for() => Cases.Edits.Holds((before, after) =>
        ShouldEqual(ArtworkPatch.Between(before, after).ApplyTo(before), after), iter: 50);

    [Fact]
    public void The_patch_back_undoes() => Cases.Edits.Holds((before, after) =>
    {
        var there = ArtworkPatch.Between(before, after).ApplyTo(before);
        ShouldEqual(ArtworkPatch.Between(there, before).ApplyTo(there), before);
    }, iter: 30);

    [Fact]
    public void From_nothing_all_tiles_are_new() => Cases.Artworks().Holds(art =>
    {
        var patch = ArtworkPatch.Between(null, art);
        patch.Layers.SelectMany(layer => layer.Pixels).ShouldAllBe(tile => tile.New != null);
        ShouldEqual(patch.ApplyTo(null), art);
    }, iter: 30);

    [Fact]
    public void A_patch_that_changes_nothing_gives_the_same_object() => Cases.Artworks().Holds(art =>
    {
        var copy = new Artwork(art.Width, art.Height, art.PixelsPerInch, art.Layers);
        ArtworkPatch.Between(art, copy).ApplyTo(art).ShouldBeSameAs(art);
    }, iter: 30);

    [Fact]
    public void Unchanged_layers_and_tiles_are_the_same_objects_and_are_not_sent() => Cases.Edits.Holds((before, after) =>
    {
        var patch = ArtworkPatch.Between(before, after);
        var result = patch.ApplyTo(before);
        var known = before.Layers.SelectMany(layer => layer.Pixels.Tiles).ToHashSet(ReferenceEqualityComparer.Instance);
        for (int n = 0; n < after.Layers.Length; n++)
        {
            if (before.Layers.Contains(after.Layers[n]))
            {
                result.Layers[n].ShouldBeSameAs(after.Layers[n]);
            }

            for (int i = 0; i < patch.Layers[n].Pixels.Length; i++)
            {
                (patch.Layers[n].Pixels[i].New is null).ShouldBe(known.Contains(after.Layers[n].Pixels.Tiles[i]));
                result.Layers[n].Pixels.Tiles[i].ShouldBeSameAs(after.Layers[n].Pixels.Tiles[i]);
            }
        }
    }, iter: 30);

    public static TheoryData<int, int> Strangers => new() { { 1, 0 }, { -1, 0 }, { int.MinValue, 0 }, { int.MaxValue, 0 }, { 0, 2 }, { 0, -1 }, { 0, int.MaxValue } };

    [Theory]
    [MemberData(nameof(Strangers))]
    public void A_kept_tile_that_is_not_there_is_refused(int layer, int index)
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(130, 1, Rgba8.White));
        var patch = With(art, tiles => tiles.SetItem(0, new TilePatch<Rgba8>(layer, index, null)));
        Should.Throw<ArgumentException>(() => patch.ApplyTo(art));
        Should.Throw<ArgumentException>(() => patch.ApplyTo(null));
    }

    // The two sides of a wire may share alike tiles or not.
    [Fact]
    public void A_tile_that_lies_in_several_places_is_kept_where_it_lies()
    {
        var tile = Tile<Rgba8>.OneValue(128, 1, Rgba8.White);
        Artwork shared = Artwork.FromPixels(Plane<Rgba8>.OneValue(384, 1, Rgba8.White).WithTiles([tile, tile, tile])),
            apart = Artwork.FromPixels(Plane<Rgba8>.OneValue(384, 1, Rgba8.White).WithTiles([.. Enumerable.Range(0, 3).Select(_ => Tile<Rgba8>.OneValue(128, 1, Rgba8.White))]));
        apart.Layers[0].Pixels.Tiles.Distinct().Count().ShouldBe(3);
        ArtworkPatch.Between(shared, shared).ApplyTo(apart).ShouldBeSameAs(apart);
    }

    [Fact]
    public void Tiles_that_do_not_fit_are_refused()
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(130, 1, Rgba8.White));
        Should.Throw<ArgumentException>(() => With(art, tiles => tiles.RemoveAt(1)).ApplyTo(art));
        Should.Throw<ArgumentException>(() => With(art, tiles => [tiles[1], tiles[0]]).ApplyTo(art));
        Should.Throw<ArgumentException>(() => With(art, tiles => tiles.SetItem(1, new TilePatch<Rgba8>(-1, -1, Tile<Rgba8>.OneValue(3, 1, Rgba8.White)))).ApplyTo(art));
        var other = Artwork.FromPixels(Plane<Rgba8>.OneValue(131, 1, Rgba8.White));
        Should.Throw<ArgumentException>(() => ArtworkPatch.Between(art, art).ApplyTo(other));
    }

    [Fact]
    public void Properties_out_of_range_are_refused()
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(130, 1, Rgba8.White));
        var patch = ArtworkPatch.Between(art, art);
        foreach (double opacity in (double[])[-1, 2, double.NaN])
        {
            Should.Throw<ArgumentException>(() => (patch with { Layers = [patch.Layers[0] with { Opacity = opacity }] }).ApplyTo(art));
        }

        Should.Throw<ArgumentException>(() => (patch with { Layers = [patch.Layers[0], patch.Layers[0]] }).ApplyTo(art));
        // A replace layer without coverage.
        Should.Throw<ArgumentException>(() => (patch with { Layers = [patch.Layers[0] with { Mode = LayerMode.Replace }] }).ApplyTo(art));
    }

    private static ArtworkPatch With(Artwork art, Func<ImmutableArray<TilePatch<Rgba8>>, ImmutableArray<TilePatch<Rgba8>>> change)
    {
        var patch = ArtworkPatch.Between(art, art);
        return patch with { Layers = [patch.Layers[0] with { Pixels = change(patch.Layers[0].Pixels) }] };
    }

    private static void ShouldEqual(Artwork actual, Artwork expected)
    {
        (actual.Width, actual.Height, actual.PixelsPerInch).ShouldBe((expected.Width, expected.Height, expected.PixelsPerInch));
        actual.Layers.Select(Properties).ShouldBe(expected.Layers.Select(Properties));
        for (int i = 0; i < expected.Layers.Length; i++)
        {
            actual.Layers[i].Pixels.ToContiguous().ShouldHold(expected.Layers[i].Pixels.ToContiguous());
            actual.Layers[i].Coverage?.ToContiguous().ShouldHold(expected.Layers[i].Coverage!.ToContiguous());
        }

        actual.Flat.ToContiguous().ShouldHold(expected.Flat.ToContiguous());

        static (string, double, bool, LayerMode, BlendMode, LayerIntent, bool) Properties(Layer layer) =>
            (layer.Name, layer.Opacity, layer.Visible, layer.Mode, layer.Blend, layer.Intent, layer.Coverage is null);
    }
}
