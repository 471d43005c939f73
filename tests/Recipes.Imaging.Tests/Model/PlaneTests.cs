using CsCheck;

namespace Recipes.Imaging.Tests;

public class PlaneTests
{
    private static readonly Gen<Raster<Rgba8>> Rasters = Cases.Sizes.SelectMany(size => Cases.Rasters(size.Width, size.Height, Cases.Colors));

    [Fact]
    public void The_grid_covers_every_pixel_once_without_padding() => Cases.Sizes.Holds(size =>
    {
        var grid = new TileGrid(size.Width, size.Height);
        var owner = new int[size.Width * size.Height];
        bool found = true;
        for (int i = 0; i < grid.Count; i++)
        {
            var bounds = grid.Bounds(i);
            bounds.Width.ShouldBeInRange(1, TileGrid.Side);
            bounds.Height.ShouldBeInRange(1, TileGrid.Side);
            for (int y = bounds.Y; y < bounds.Bottom; y++)
            {
                for (int x = bounds.X; x < bounds.Right; x++)
                {
                    owner[(y * size.Width) + x]++;
                    found &= grid.IndexAt(x, y) == i;
                }
            }
        }

        found.ShouldBeTrue();
        Array.TrueForAll(owner, count => count == 1).ShouldBeTrue();
    }, iter: 30);

    [Fact]
    public void Cutting_into_tiles_and_putting_together_gives_the_same_samples() => Rasters.Holds(raster =>
    {
        var samples = raster.Samples();
        var plane = raster.ToPlane();
        plane.ToContiguous().ShouldHold(samples);
        var rows = new Rgba8[samples.Length];
        var single = new Rgba8[samples.Length];
        for (int y = 0; y < plane.Height; y++)
        {
            plane.CopyRowTo(y, rows.AsSpan(y * plane.Width, plane.Width));
            for (int x = 0; x < plane.Width; x++)
            {
                single[(y * plane.Width) + x] = plane[x, y];
            }
        }

        rows.ShouldHold(samples);
        single.ShouldHold(samples);
    }, iter: 30);

    [Fact]
    public void Unchanged_is_the_same_object_and_a_change_touches_its_own_tiles_only() => Rasters.SelectMany(raster => Gen.Select(
        Gen.Const(raster), Gen.Int[0, raster.Width - 1], Gen.Int[0, raster.Height - 1], Cases.Colors)).Holds((raster, x, y, color) =>
    {
        var plane = raster.ToPlane();
        raster.ToPlane(plane).ShouldBeSameAs(plane);
        plane.WithTiles([.. plane.Tiles]).ShouldBeSameAs(plane);

        var samples = raster.Samples();
        bool changes = samples[(y * plane.Width) + x] != color;
        samples[(y * plane.Width) + x] = color;
        var next = Plane<Rgba8>.FromContiguous(plane.Width, plane.Height, samples, plane);
        ReferenceEquals(next, plane).ShouldBe(!changes);
        next.SameSamples(plane).ShouldBe(!changes);
        plane.SameSamples(next).ShouldBe(!changes);
        for (int i = 0; i < plane.Tiles.Length; i++)
        {
            ReferenceEquals(next.Tiles[i], plane.Tiles[i]).ShouldBe(!changes || i != plane.Grid.IndexAt(x, y));
        }
    }, iter: 30);

    [Fact]
    public void One_value_fills_every_pixel() => Gen.Select(Cases.Sizes, Cases.Colors).Holds((size, color) =>
    {
        var plane = Plane<Rgba8>.OneValue(size.Width, size.Height, color);
        plane.Tiles.ShouldAllBe(tile => tile.IsOneValue);
        Array.TrueForAll(plane.ToContiguous(), pixel => pixel == color).ShouldBeTrue();
    }, iter: 30);

    [Fact]
    public void A_predecessor_of_another_size_is_not_taken()
    {
        var plane = Plane<byte>.OneValue(128, 256, 7);
        var next = Plane<byte>.FromContiguous(256, 128, new byte[256 * 128], plane);
        (next.Width, next.Height).ShouldBe((256, 128));
        next.SameSamples(plane).ShouldBeFalse();
    }

    [Fact]
    public void Writing_to_the_source_afterwards_changes_nothing()
    {
        var samples = new byte[200 * 3];
        samples[5] = 1;
        var plane = Plane<byte>.FromContiguous(200, 3, samples);
        samples[5] = 99;
        plane[5, 0].ShouldBe((byte)1);
    }

    [Fact]
    public void Tiles_that_do_not_fit_are_refused()
    {
        Should.Throw<ArgumentException>(() => new Plane<byte>(129, 1, [Tile<byte>.OneValue(128, 1, 0)]));
        Should.Throw<ArgumentException>(() => new Plane<byte>(129, 1, [Tile<byte>.OneValue(128, 1, 0), Tile<byte>.OneValue(2, 1, 0)]));
        Should.Throw<ArgumentException>(() => Plane<byte>.FromContiguous(3, 3, new byte[8]));
        Should.Throw<ArgumentException>(() => new Plane<byte>(0, 1, []));
        Should.Throw<ArgumentException>(() => new Plane<byte>(1, -1, []));
    }
}
