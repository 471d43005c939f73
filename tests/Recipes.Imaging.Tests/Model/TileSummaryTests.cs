using CsCheck;

namespace Recipes.Imaging.Tests;

public class TileSummaryTests
{
    private static TileSummary Counted(IReadOnlyList<Rgba8> pixels)
    {
        return new(Count(c => c.A > 0 && IsWhite(c)), Count(c => c.A > 0 && IsBlack(c)), Count(c => c.A == 0),
            Count(c => c.A == 0 && IsWhite(c)), Count(c => c.A == 0 && IsBlack(c)), pixels.Count, Count(c => c.A == 255));

        long Count(Func<Rgba8, bool> which) => pixels.LongCount(which);
        static bool IsWhite(Rgba8 c) => (c.R, c.G, c.B) == (255, 255, 255);
        static bool IsBlack(Rgba8 c) => (c.R, c.G, c.B) == (0, 0, 0);
    }

    [Fact]
    public void Counts_equal_a_loop_over_all_pixels_and_add_up_over_tiles() => Cases.Sizes.SelectMany(size =>
        Cases.Rasters(size.Width, size.Height, Cases.Colors)).Holds(raster =>
    {
        var plane = raster.ToPlane();
        TileSummary.Of(plane).ShouldBe(Counted(raster.Samples()));
        foreach (var tile in plane.Tiles)
        {
            var samples = new Rgba8[tile.Count];
            tile.CopyTo(samples);
            TileSummary.Of(tile).ShouldBe(Counted(samples));
            TileSummary.Of(tile).ShouldBeSameAs(TileSummary.Of(tile));
        }
    }, iter: 30);

    // A tile of one value is counted at once, one of two values pixel by pixel; both must agree.
    [Fact]
    public void A_tile_of_one_value_counts_like_a_tile_of_samples()
    {
        foreach (var color in Cases.Palette)
        {
            var other = color == Rgba8.White ? Rgba8.Black : Rgba8.White;
            var mixed = Tile<Rgba8>.Freeze(5, 1, [color, color, color, color, other]);
            mixed.IsOneValue.ShouldBeFalse();
            (TileSummary.Of(Tile<Rgba8>.OneValue(4, 1, color)) + TileSummary.Of(Tile<Rgba8>.OneValue(1, 1, other))).ShouldBe(TileSummary.Of(mixed));
        }
    }

    [Fact]
    public void Adding_none_changes_nothing()
    {
        var summary = new TileSummary(1, 2, 3, 4, 5, 60, 7);
        (summary + TileSummary.None).ShouldBe(summary);
        summary.Add(summary).ShouldBe(new TileSummary(2, 4, 6, 8, 10, 120, 14));
    }
}
