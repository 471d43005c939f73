using CsCheck;

namespace Recipes.Imaging.Tests;

/// <summary>A picture that was laid onto another canvas, at a place that the test chooses, is found there.</summary>
public class PictureMoveTests
{
    private static readonly Rgba8 Sea = new(34, 92, 140), Orange = new(240, 120, 32), Clear = new(9, 9, 9, 0);

    // A drawing without two like rows or columns, so that no other place gives it: each pixel has its place in its color.
    private static Rgba8 Drawn(int x, int y) => new((byte)(x + 1), (byte)(y + 1), 90);

    private static Plane<Rgba8> On(int width, int height, Rgba8 ground, int left, int top, Func<int, int, Rgba8> drawn, int wide = 40, int tall = 30)
    {
        var pixels = new Rgba8[width * height];
        for (int i = 0; i < pixels.Length; i++)
        {
            int x = (i % width) - left, y = (i / width) - top;
            pixels[i] = x >= 0 && x < wide && y >= 0 && y < tall ? drawn(x, y) : ground;
        }

        return Plane<Rgba8>.FromContiguous(width, height, pixels);
    }

    [Fact]
    public void Art_on_any_canvas_of_its_ground_is_found_where_it_lies() =>
        Gen.Select(Gen.Int[0, 200], Gen.Int[0, 200], Gen.Int[0, 200], Gen.Int[0, 200], Gen.Int[0, 2]).Holds(
            (x, y, toX, toY, color) =>
            {
                var ground = new[] { Rgba8.White, Clear, Sea }[color];
                var before = On(260, 240, ground, x, y, Drawn);
                var after = On(300, 250, ground, toX, toY, Drawn);
                PictureMove.Between(before, after).ShouldBe(new PictureMove(toX - x, toY - y));
                PictureMove.Between(after, before).ShouldBe(new PictureMove(x - toX, y - toY));
            }, iter: 40);

    // Full to its edge, a picture has no ground of its own, and may be padded with anything.
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    public void A_full_picture_is_found_on_what_it_was_padded_with(int ground)
    {
        var full = On(40, 30, Rgba8.White, 0, 0, Drawn);
        var padded = On(141, 129, ground == 0 ? Rgba8.White : Clear, 100, 64, Drawn);
        PictureMove.Between(full, padded).ShouldBe(new PictureMove(100, 64));
        PictureMove.Between(padded, full).ShouldBe(new PictureMove(-100, -64));
        // Padded at the right and below it stays where it was, on another canvas.
        PictureMove.Between(full, On(50, 50, Clear, 0, 0, Drawn)).ShouldBe(new PictureMove(0, 0));
    }

    [Fact]
    public void Other_art_and_art_that_stays_is_not_moved()
    {
        var art = On(200, 200, Rgba8.White, 20, 30, Drawn);
        PictureMove.Between(art, art).ShouldBeNull();
        // One pixel by one level; on another ground; nothing at all.
        var off = On(200, 200, Rgba8.White, 50, 30, (x, y) => x == 7 && y == 7 ? new Rgba8(8, 8, 91) : Drawn(x, y));
        PictureMove.Between(art, off).ShouldBeNull();
        PictureMove.Between(art, off, levels: 1).ShouldBe(new PictureMove(30, 0));
        PictureMove.Between(art, On(200, 200, Clear, 50, 30, Drawn)).ShouldBeNull();
        PictureMove.Between(Plane<Rgba8>.OneValue(20, 20, Rgba8.White), Plane<Rgba8>.OneValue(30, 20, Rgba8.White)).ShouldBeNull();
        PictureMove.Between(art, On(200, 200, Rgba8.White, 50, 30, (_, _) => Orange)).ShouldBeNull();
    }

    // Whatever color lies under alpha 0 is no difference (as ArtworkDiff counts).
    [Fact]
    public void Color_under_transparency_does_not_count() =>
        PictureMove.Between(On(90, 90, Clear, 3, 4, Drawn), On(90, 90, Rgba8.ClearWhite, 8, 2, Drawn)).ShouldBe(new PictureMove(5, -2));
}
