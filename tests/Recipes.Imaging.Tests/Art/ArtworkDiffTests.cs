using CsCheck;

namespace Recipes.Imaging.Tests;

public class ArtworkDiffTests
{
    private static readonly Gen<(Raster<Rgba8> Before, Raster<Rgba8> Edit)> Edits = Cases.Sizes.SelectMany(size => Gen.Select(
        Cases.Rasters(size.Width, size.Height, Cases.Colors), Cases.Rasters(size.Width, size.Height, Cases.Colors)));

    [Fact]
    public void Nothing_differs_from_itself() => Edits.Holds((raster, _) =>
    {
        var plane = raster.ToPlane();
        ArtworkDiff.Between(plane, plane).ShouldBe(new ArtworkDiff(0, null, 0));
        // Equal samples in other objects, too.
        ArtworkDiff.Between(plane, raster.ToPlane()).ShouldBe(new ArtworkDiff(0, null, 0));
    }, iter: 30);

    // Each channel counts for itself, alpha included, and a difference of exactly so many levels is ignored.
    [Theory]
    [InlineData(4, 4, -4, 4, 4, true)]
    [InlineData(4, 5, 0, 0, 0, false)]
    [InlineData(4, 0, -5, 0, 0, false)]
    [InlineData(4, 0, 0, 5, 0, false)]
    [InlineData(4, 0, 0, 0, -5, false)]
    [InlineData(0, 0, 1, 0, 0, false)]
    [InlineData(255, 155, -100, 155, 155, true)]
    public void A_difference_of_exactly_so_many_levels_is_ignored(int levels, int r, int g, int b, int a, bool ignored)
    {
        Rgba8 was = new(100, 100, 100, 100), now = new(100 + r, 100 + g, 100 + b, 100 + a);
        ArtworkDiff.Ignoring(Plane<Rgba8>.OneValue(3, 2, was), Plane<Rgba8>.OneValue(3, 2, now), levels)[2, 1].ShouldBe(ignored ? was : now);
    }

    [Fact]
    public void What_is_near_is_as_before_and_all_else_as_after() => Gen.Select(Edits, Gen.Int[0, 255]).Holds((edit, levels) =>
    {
        var (raster, paint) = edit;
        Rgba8[] before = raster.Samples(), after = raster.Samples();
        paint.Paint(after);
        var was = raster.ToPlane();
        var near = ArtworkDiff.Ignoring(was, Plane<Rgba8>.FromContiguous(raster.Width, raster.Height, after), levels);
        near.ToContiguous().ShouldBe(before.Zip(after, (a, b) =>
            new[] { a.R - b.R, a.G - b.G, a.B - b.B, a.A - b.A }.All(channel => Math.Abs(channel) <= levels) && (a.A > 0 || b.A > 0) ? a : b).ToArray());
    }, iter: 60);

    [Fact]
    public void Counts_box_and_delta_equal_a_loop_over_all_pixels() => Gen.Select(Edits, Gen.Bool).Holds((edit, shared) =>
    {
        var (raster, paint) = edit;
        Rgba8[] before = raster.Samples(), after = raster.Samples();
        paint.Paint(after);
        long pixels = 0;
        int delta = 0, left = int.MaxValue, top = int.MaxValue, right = -1, bottom = -1;
        for (int i = 0; i < before.Length; i++)
        {
            Rgba8 a = before[i], b = after[i];
            if ((a.R, a.G, a.B, a.A) == (b.R, b.G, b.B, b.A) || (a.A == 0 && b.A == 0))
            {
                continue;
            }

            int x = i % raster.Width, y = i / raster.Width;
            pixels++;
            delta = new[] { delta, Math.Abs(a.R - b.R), Math.Abs(a.G - b.G), Math.Abs(a.B - b.B), Math.Abs(a.A - b.A) }.Max();
            (left, top, right, bottom) = (Math.Min(left, x), Math.Min(top, y), Math.Max(right, x), Math.Max(bottom, y));
        }

        var was = raster.ToPlane();
        var now = Plane<Rgba8>.FromContiguous(raster.Width, raster.Height, after, shared ? was : null);
        var expected = new ArtworkDiff(pixels, pixels == 0 ? null : new Box(left, top, right - left + 1, bottom - top + 1), delta);
        ArtworkDiff.Between(was, now).ShouldBe(expected);
        ArtworkDiff.Between(now, was).ShouldBe(expected);
    }, iter: 50);

    [Fact]
    public void One_level_of_one_channel_is_a_difference_and_color_under_alpha_0_is_none()
    {
        var before = Plane<Rgba8>.OneValue(200, 2, new Rgba8(10, 20, 30, 0));
        var level = Pictures.Art(200, 2, (x, y) => (x, y) == (130, 1) ? new Rgba8(10, 20, 30, 1) : new Rgba8(99, 99, 99, 0));
        ArtworkDiff.Between(before, level).ShouldBe(new ArtworkDiff(1, new Box(130, 1, 1, 1), 1));
    }

    [Fact]
    public void States_of_two_sizes_have_no_difference_to_speak_of() => Should.Throw<ArgumentException>(() =>
        ArtworkDiff.Between(Plane<Rgba8>.OneValue(2, 3, Rgba8.White), Plane<Rgba8>.OneValue(3, 2, Rgba8.White)));
}
