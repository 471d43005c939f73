using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>clean-background on arts whose every pixel is known.</summary>
public sealed class CleanBackgroundTests : IDisposable
{
    private static readonly Rgba8 Art = new(30, 60, 120), Cream = new(255, 248, 231), Pink = new(255, 231, 231);
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    // A block with a highlight in it, flat pale shapes beside it and away from it, dusty white around.
    private static Rgba8 Poster(int x, int y)
    {
        bool In(int left, int top, int width, int height) => x >= left && x < left + width && y >= top && y < top + height;
        return In(130, 130, 12, 12) ? Rgba8.White
            : In(150, 130, 12, 12) ? new Rgba8(254, 254, 254)
            : In(120, 120, 80, 80) ? Art
            : In(200, 120, 40, 80) ? Cream
            : In(20, 20, 50, 50) ? Cream
            : In(120, 80, 60, 40) ? Pink
            : In(20, 220, 50, 50) ? Pink
            : (x + y) % 3 == 0 ? new Rgba8(254, 254, 254) : Rgba8.White;
    }

    private static bool IsGround(int x, int y) => Poster(x, y) is { R: >= 254, G: >= 254, B: >= 254 } && !(x is >= 120 and < 200 && y is >= 120 and < 200);

    [Fact]
    public void Dust_goes_and_pale_shapes_and_highlights_stay()
    {
        Picture.Write(shop.At("poster.png"), 300, 300, Poster);
        var tried = shop.Json("dry-run", "clean-background", "poster.png", "--setup", "light-garment").ShouldExit(0).Json;
        var after = Picture.Read(shop.At("poster.png.dry-run/after.png")).Pixels;
        int ground = 0, dust = 0;
        for (int i = 0; i < after.Length; i++)
        {
            int x = i % 300, y = i / 300;
            bool bare = IsGround(x, y);
            after[i].ShouldBe(bare ? Rgba8.ClearWhite : Poster(x, y), $"at {x},{y}");
            ground += bare ? 1 : 0;
            dust += bare && Poster(x, y).R == 254 ? 1 : 0;
        }

        ((long)tried["declared"]!["bare"]!).ShouldBe(ground);
        ((long)tried["ink"]!["lost"]!).ShouldBe(dust);
        ((long)tried["ink"]!["gained"]!).ShouldBe(0);
    }

    [Fact]
    public void A_half_transparent_half_white_ground_is_left_bare_in_one_way_and_stays_bare()
    {
        // The left half of the ground is transparent with a color under it, the right half white.
        Picture.Write(shop.At("half.png"), 120, 90, (x, y) =>
            x is >= 40 and < 80 && y is >= 30 and < 60 ? x is >= 50 and < 60 && y is >= 40 and < 50 ? Rgba8.White : Art
            : x < 60 ? new Rgba8(10, 20, 30, 0) : Rgba8.White);
        // Two clear corners make a cut-out, whose white is art; somebody has to say that here it is paper.
        var cutOut = shop.Json("dry-run", "clean-background", "half.png", "--setup", "light-garment").ShouldExit(0).Json;
        ((long)cutOut["ink"]!["lost"]!).ShouldBe(0);
        shop.Json("commit", "clean-background", "half.png", "--setup", "light-garment", "--kind", "on-paper").ShouldExit(0);
        shop.Json("export", "half.png", "-o", "clean.png").ShouldExit(0);
        var clean = Picture.Read(shop.At("clean.png")).Pixels;
        for (int i = 0; i < clean.Length; i++)
        {
            int x = i % 120, y = i / 120;
            bool art = x is >= 40 and < 80 && y is >= 30 and < 60;
            clean[i].ShouldBe(!art ? Rgba8.ClearWhite : x is >= 50 and < 60 && y is >= 40 and < 50 ? Rgba8.White : Art, $"at {x},{y}");
        }

        // Only the highlight is left for printable-whites, even where it takes every white.
        foreach (string where in (string[])["enclosed", "all"])
        {
            var next = shop.Json("dry-run", "printable-whites", "half.png", "--set", $"where={where}").ShouldExit(0).Json;
            ((long)next["changed"]!["pixels"]!).ShouldBe(100);
            next["changed"]!["box"]!.AsArray().Select(side => (int)side!).ShouldBe([50, 40, 10, 10]);
        }
    }

    [Fact]
    public void A_white_made_printable_never_changes_back_and_a_ground_of_254_is_cleaned()
    {
        // A ring whose wall has a gap of 240: the inside is open to the walk, and near-white ground at 254 lies around.
        Rgba8 Rule(int x, int y)
        {
            int edge = Math.Min(Math.Min(x - 30, y - 30), Math.Min(89 - x, 89 - y));
            return edge is >= 0 and < 4 ? y == 60 && x < 60 ? new Rgba8(240, 240, 240) : Art : edge >= 4 ? Rgba8.White : (x / 5) % 2 == 0 ? new Rgba8(254, 254, 254) : Rgba8.White;
        }

        Picture.Write(shop.At("open.png"), 120, 120, Rule);
        var whites = Naive.Islands(120, 120, Naive.White(Picture.Read(shop.At("open.png")).Pixels));
        var inside = whites.Single(island => island.Pixels.Contains((50 * 120) + 50));
        shop.Json("commit", "printable-whites", "open.png", "--setup", "light-garment", "--set", "where=all", "--set", $"only={inside.Number}").ShouldExit(0);
        shop.Json("commit", "clean-background", "open.png").ShouldExit(0);
        shop.Json("export", "open.png", "-o", "kept.png").ShouldExit(0);
        var kept = Picture.Read(shop.At("kept.png")).Pixels;
        for (int i = 0; i < kept.Length; i++)
        {
            int x = i % 120, y = i / 120;
            int edge = Math.Min(Math.Min(x - 30, y - 30), Math.Min(89 - x, 89 - y));
            if (edge >= 4)
            {
                kept[i].ShouldBe(new Rgba8(254, 254, 254), $"at {x},{y}");
            }
            else if (edge < 0)
            {
                kept[i].ShouldBe(Rgba8.ClearWhite, $"at {x},{y}");
            }
        }
    }
}
