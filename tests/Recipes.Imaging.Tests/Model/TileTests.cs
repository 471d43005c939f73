using CsCheck;

namespace Recipes.Imaging.Tests;

public class TileTests
{
    private static readonly Gen<Raster<Rgba8>> Rasters = Gen.Select(Gen.Int[1, 128], Gen.Int[1, 128])
        .SelectMany((w, h) => Cases.Rasters(w, h, Cases.Colors));

    [Fact]
    public void A_tile_holds_what_it_was_frozen_from() => Rasters.Holds(raster =>
    {
        var samples = raster.Samples();
        var tile = Tile<Rgba8>.Freeze(raster.Width, raster.Height, samples);
        var all = new Rgba8[tile.Count];
        tile.CopyTo(all);
        all.ShouldHold(samples);
        var rows = new Rgba8[tile.Count];
        var single = new Rgba8[tile.Count];
        for (int y = 0; y < tile.Height; y++)
        {
            tile.CopyRowTo(y, rows.AsSpan(y * tile.Width, tile.Width));
            for (int x = 0; x < tile.Width; x++)
            {
                single[(y * tile.Width) + x] = tile[x, y];
            }
        }

        rows.ShouldHold(samples);
        single.ShouldHold(samples);
    });

    [Fact]
    public void One_value_is_stored_exactly_where_all_samples_are_alike() => Rasters.Holds(raster =>
    {
        var samples = raster.Samples();
        var tile = Tile<Rgba8>.Freeze(raster.Width, raster.Height, samples);
        bool alike = Array.TrueForAll(samples, sample => sample == samples[0]);
        tile.IsOneValue.ShouldBe(alike);
        tile.Value.ShouldBe(samples[0]);
        tile.Samples.Length.ShouldBe(alike ? 0 : samples.Length);
        foreach (var color in Cases.Palette)
        {
            tile.IsAll(color).ShouldBe(Array.TrueForAll(samples, sample => sample == color));
        }
    });

    [Fact]
    public void Adopted_samples_make_the_tile_that_copied_ones_make() => Rasters.Holds(raster =>
    {
        var samples = raster.Samples();
        var adopted = Tile<Rgba8>.Adopt(raster.Width, raster.Height, (Rgba8[])samples.Clone());
        adopted.SameSamples(Tile<Rgba8>.Freeze(raster.Width, raster.Height, samples)).ShouldBeTrue();
        adopted.IsOneValue.ShouldBe(Array.TrueForAll(samples, sample => sample == samples[0]));
        Should.Throw<ArgumentException>(() => Tile<Rgba8>.Adopt(raster.Width, raster.Height + 1, samples));
    });

    // The searches are vectorized; whatever the length and wherever the odd sample lies, they must see what a loop sees.
    [Fact]
    public void One_odd_sample_is_seen_at_every_place()
    {
        for (int count = 1; count <= 70; count++)
        {
            for (int place = 0; place < count; place++)
            {
                var pixels = new Rgba8[count];
                var bytes = new byte[count];
                pixels[place] = new Rgba8(0, 0, 0, 1);
                bytes[place] = 1;
                OddIsSeen(pixels);
                OddIsSeen(bytes);
            }
        }

        static void OddIsSeen<T>(T[] samples)
            where T : unmanaged, IEquatable<T>
        {
            var tile = Tile<T>.Freeze(samples.Length, 1, samples);
            var empty = Tile<T>.OneValue(samples.Length, 1, default);
            tile.IsOneValue.ShouldBe(samples.Length == 1);
            tile.IsAll(default).ShouldBeFalse();
            tile.SameSamples(empty).ShouldBeFalse();
            empty.SameSamples(tile).ShouldBeFalse();
            Tile<T>.Freeze(samples.Length, 1, samples, empty).ShouldNotBeSameAs(empty);
            Tile<T>.Freeze(samples.Length, 1, samples, tile).ShouldBeSameAs(tile);
        }
    }

    [Fact]
    public void Equal_samples_give_the_predecessor_and_other_samples_do_not() =>
        Gen.Select(Rasters, Cases.Colors, Gen.Int[0, 1 << 14]).Holds((raster, color, place) =>
    {
        var samples = raster.Samples();
        var tile = Tile<Rgba8>.Freeze(raster.Width, raster.Height, samples);
        Tile<Rgba8>.Freeze(raster.Width, raster.Height, raster.Samples(), tile).ShouldBeSameAs(tile);
        bool changes = samples[place % samples.Length] != color;
        samples[place % samples.Length] = color;
        var next = Tile<Rgba8>.Freeze(raster.Width, raster.Height, samples, tile);
        ReferenceEquals(next, tile).ShouldBe(!changes);
        next.SameSamples(tile).ShouldBe(!changes);
        tile.SameSamples(next).ShouldBe(!changes);
    });

    [Fact]
    public void A_predecessor_of_another_shape_is_never_taken()
    {
        var wide = Tile<byte>.OneValue(6, 2, 9);
        var tile = Tile<byte>.Freeze(2, 6, [9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9], wide);
        tile.ShouldNotBeSameAs(wide);
        (tile.Width, tile.Height).ShouldBe((2, 6));
        tile.SameSamples(wide).ShouldBeFalse();
    }

    [Fact]
    public void Writing_to_the_source_afterwards_changes_nothing()
    {
        byte[] samples = [1, 2, 3, 4];
        var tile = Tile<byte>.Freeze(2, 2, samples);
        samples[0] = 99;
        tile[0, 0].ShouldBe((byte)1);
    }

    [Fact]
    public void Samples_that_do_not_fill_the_tile_are_refused() =>
        Should.Throw<ArgumentException>(() => Tile<byte>.Freeze(3, 2, new byte[5]));
}
