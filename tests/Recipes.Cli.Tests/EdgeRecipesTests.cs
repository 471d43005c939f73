using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>remove-specks, harden-edges and remove-halo through the program: parameters with units, pixels, report.</summary>
public sealed class EdgeRecipesTests : IDisposable
{
    private static readonly Rgba8 Ink = new(34, 92, 140);
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    private Rgba8[] After(string stem) => Picture.Read(shop.At($"{stem}.png.dry-run/after.png")).Pixels;

    [Theory]
    [InlineData("light-garment")]
    [InlineData("black-garment")]
    public void Remove_specks_lists_what_goes_before_it_goes(string setup)
    {
        // A block with a pinhole of 4 px, a speck of 6 px far from it.
        static Rgba8 Rule(int x, int y) => (x, y) switch
        {
            ( >= 20 and < 22, >= 20 and < 22) => Rgba8.White,
            ( >= 10 and < 50, >= 10 and < 50) or ( >= 80 and < 83, >= 70 and < 72) => Ink,
            _ => Rgba8.White,
        };
        Picture.Write(shop.At("specks.png"), 100, 90, Rule);
        var tried = shop.Json("dry-run", "remove-specks", "specks.png", "--setup", setup, "--set", "area=0.06mm2").ShouldExit(0).Json;
        var after = After("specks");
        for (int i = 0; i < after.Length; i++)
        {
            int x = i % 100, y = i / 100;
            after[i].ShouldBe(x is >= 80 and < 83 && y is >= 70 and < 72 ? Rgba8.ClearWhite : x is >= 10 and < 50 && y is >= 10 and < 50 ? Ink : Rgba8.White, $"at {x},{y}");
        }

        ((long)tried["ink"]!["gained"]!).ShouldBe(4);
        ((long)tried["ink"]!["lost"]!).ShouldBe(6);
        ((long)tried["declared"]!["bare"]!).ShouldBe(6);
        ((long)tried["declared"]!["printable"]!).ShouldBe(4);
        tried["guards"]!.AsArray().ShouldAllBe(guard => (string)guard!["outcome"]! == "clear");
        tried.ToJsonString().ShouldContain("specks that go");
    }

    [Theory]
    [InlineData("solid", 7, 3)]
    [InlineData("garment", 9, 1)]
    public void Harden_edges_leaves_no_partial_alpha(string how, int opaque, int bare)
    {
        // Columns of alpha 0, 60, 120 and 180, and six of 255, on a black garment: a picture has more inside than edge.
        Picture.Write(shop.At("soft.png"), 10, 10, (x, _) => Ink.WithAlpha((byte)(x >= 4 ? 255 : 60 * x)));
        var tried = shop.Json("dry-run", "harden-edges", "soft.png", "--setup", "black-garment", "--set", $"as={how}", "--set", "threshold=50").ShouldExit(0).Json;
        var after = After("soft");
        after.Count(pixel => pixel.A == 255).ShouldBe(10 * opaque);
        after.Count(pixel => pixel.A == 0).ShouldBe(10 * bare);
        tried["guards"]!.AsArray().ShouldAllBe(guard => (string)guard!["outcome"]! == "clear");
    }

    [Fact]
    public void Remove_halo_takes_the_background_out_of_an_edge()
    {
        // Half transparent where it is a half mix with white: 145,174,198 is half of 34,92,140 and half of white.
        Picture.Write(shop.At("rim.png"), 60, 60, (x, y) => Math.Min(Math.Min(x - 10, 49 - x), Math.Min(y - 10, 49 - y)) switch
        {
            < 0 => Rgba8.ClearWhite,
            0 => new Rgba8(145, 174, 198, 128),
            _ => Ink,
        });
        var tried = shop.Json("dry-run", "remove-halo", "rim.png", "--setup", "black-garment", "--set", "width=0.2mm").ShouldExit(0).Json;
        var after = After("rim");
        for (int i = 0; i < after.Length; i++)
        {
            int x = i % 60, y = i / 60;
            int edge = Math.Min(Math.Min(x - 10, 49 - x), Math.Min(y - 10, 49 - y));
            after[i].LargestDifference(edge < 0 ? Rgba8.ClearWhite : edge == 0 ? Ink.WithAlpha(128) : Ink).ShouldBeLessThanOrEqualTo(edge == 0 ? 2 : 0, $"at {x},{y}: {after[i]}");
        }

        // 40 x 40 less 38 x 38.
        ((long)tried["changed"]!["pixels"]!).ShouldBe(156);
        tried["guards"]!.AsArray().ShouldAllBe(guard => (string)guard!["outcome"]! == "clear");
    }
}
