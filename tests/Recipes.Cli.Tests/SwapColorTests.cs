using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>swap-color through the program: parameters, pixels, guardrails.</summary>
public sealed class SwapColorTests : IDisposable
{
    private static readonly Rgba8 Beak = new(240, 124, 28), Red = new(200, 16, 46);
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    // A block of orange whose left edge is a half mix with white, and a lone pixel.
    private static Rgba8 Flag(int x, int y) => (x, y) switch
    {
        (50, 30) => Beak,
        ( >= 10 and < 30, >= 10 and < 30) => Beak,
        (9, >= 10 and < 30) => new Rgba8(248, 190, 142),
        _ => Rgba8.White,
    };

    [Fact]
    public void Solid_pixels_and_their_mixes_change_and_nothing_else()
    {
        Picture.Write(shop.At("flag.png"), 60, 40, Flag);
        var tried = shop.Json("dry-run", "swap-color", "flag.png", "--setup", "light-garment", "--set", "from=#f07c1c", "--set", "to=#c8102e").ShouldExit(0).Json;
        var after = Picture.Read(shop.At("flag.png.dry-run/after.png")).Pixels;
        for (int i = 0; i < after.Length; i++)
        {
            var was = Flag(i % 60, i / 60);
            // Half of 200,16,46 and half of white, to a level.
            after[i].LargestDifference(was == Beak ? Red : was == Rgba8.White ? was : new Rgba8(228, 136, 151)).ShouldBeLessThanOrEqualTo(was == Beak || was == Rgba8.White ? 0 : 1);
        }

        ((long)tried["changed"]!["pixels"]!).ShouldBe(400 + 20 + 1);
        ((long)tried["ink"]!["gained"]!).ShouldBe(0);
        ((long)tried["ink"]!["lost"]!).ShouldBe(0);
    }

    [Fact]
    public void Both_colors_must_be_given_and_a_bare_one_is_refused()
    {
        Picture.Write(shop.At("flag.png"), 60, 40, Flag);
        shop.Json("dry-run", "swap-color", "flag.png", "--setup", "light-garment", "--set", "from=#f07c1c").ShouldFail(2, "R1011");
        shop.Json("dry-run", "swap-color", "flag.png", "--setup", "light-garment", "--set", "from=#f07c1c", "--set", "to=#ffffff").ShouldExit(6);
    }
}
