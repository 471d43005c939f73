using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>pure-black and print-black on arts whose every pixel is known.</summary>
public sealed class BlackTests : IDisposable
{
    private static readonly Rgba8 Ground = new(180, 60, 40);
    private static readonly Rgba8[] Patches = [new(10, 10, 30), new(24, 8, 8), new(8, 8, 15), new(12, 12, 12)];
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    // Four flat patches, a slow gray ramp and gray noise, 24 px and more apart.
    private static Rgba8 Night(int x, int y)
    {
        if (y is >= 10 and < 40 && x % 60 is >= 10 and < 40 && x / 60 < Patches.Length)
        {
            return Patches[x / 60];
        }

        if (y is >= 70 and < 110 && x is >= 10 and < 110)
        {
            byte level = (byte)(3 + ((x - 10) / 4));
            return new Rgba8(level, level, level);
        }

        if (y is >= 70 and < 110 && x is >= 140 and < 230)
        {
            byte level = (byte)(1 + (Mix((x * 977) + (y * 131)) % 28));
            return new Rgba8(level, level, level);
        }

        return Ground;
    }

    private static uint Mix(int value)
    {
        uint v = (uint)value * 2654435761u;
        return (v ^ (v >> 15)) * 2246822519u >> 9;
    }

    [Fact]
    public void Flat_neutral_black_drops_and_tinted_darks_and_shadows_stay()
    {
        Picture.Write(shop.At("night.png"), 240, 120, Night);
        var tried = shop.Json("dry-run", "pure-black", "night.png", "--setup", "black-garment").ShouldExit(0).Json;
        Changed("night.png.dry-run/after.png", (x, y) => Night(x, y) == new Rgba8(12, 12, 12) && y < 40);
        ((long)tried["declared"]!["droppedBlack"]!).ShouldBe(900);
        ((long)tried["ink"]!["lost"]!).ShouldBe(900);
        ((long)tried["ink"]!["after"]!["bareBlack"]!).ShouldBe(900);
        var lists = tried["colors"]!.AsArray();
        Colors(lists[0]!).ShouldBe(["#0c0c0c"]);
        ((long)lists[0]!["colors"]![0]!["pixels"]!).ShouldBe(900);
        Colors(lists[1]!).ShouldContain("#08080f");
        Colors(lists[1]!).ShouldContain("#0a0a1e");
    }

    [Fact]
    public void Shadows_drop_where_all_is_asked_for_but_tinted_darks_never()
    {
        Picture.Write(shop.At("night.png"), 240, 120, Night);
        shop.Json("dry-run", "pure-black", "night.png", "--setup", "black-garment", "--set", "where=all").ShouldExit(0);
        // Every gray of this art is below L* 13, which is a gray level of 33 (IEC 61966-2-1 and CIE 15).
        Changed("night.png.dry-run/after.png", (x, y) => Night(x, y) is var p && p.R == p.G && p.G == p.B);
    }

    [Fact]
    public void Nothing_drops_on_a_light_garment()
    {
        Picture.Write(shop.At("night.png"), 240, 120, Night);
        var tried = shop.Json("dry-run", "pure-black", "night.png", "--setup", "light-garment").ShouldExit(0).Json;
        ((long)tried["declared"]!["droppedBlack"]!).ShouldBe(0);
        ((long)tried["ink"]!["lost"]!).ShouldBe(0);
        ((long)tried["ink"]!["after"]!["prints"]!).ShouldBe(240 * 120);
    }

    [Fact]
    public void Pure_black_becomes_the_darkest_black_that_prints_and_keeps_its_alpha()
    {
        // A margin all around, so that no border pixel begins to print.
        static Rgba8 Bars(int x, int y) => y is < 5 or >= 25 ? Ground : (x / 10) switch { 1 => Rgba8.Black, 2 => new Rgba8(0, 0, 0, 128), 3 => new Rgba8(0, 0, 0, 0), 4 => new Rgba8(1, 1, 1), 5 => new Rgba8(0, 0, 1), _ => Ground };
        Picture.Write(shop.At("bars.png"), 70, 30, Bars);
        var tried = shop.Json("dry-run", "print-black", "bars.png", "--setup", "black-garment").ShouldExit(0).Json;
        var after = Picture.Read(shop.At("bars.png.dry-run/after.png")).Pixels;
        for (int i = 0; i < after.Length; i++)
        {
            var was = Bars(i % 70, i / 70);
            after[i].ShouldBe(was.A > 0 && was.R + was.G + was.B == 0 ? new Rgba8(1, 1, 1, was.A) : was);
        }

        ((long)tried["declared"]!["printedBlack"]!).ShouldBe(400);
        ((long)tried["ink"]!["gained"]!).ShouldBe(400);
        var light = shop.Json("dry-run", "print-black", "bars.png", "--setup", "light-garment").ShouldExit(0).Json;
        ((long)light["changed"]!["pixels"]!).ShouldBe(0);
    }

    private void Changed(string picture, Func<int, int, bool> drops)
    {
        var after = Picture.Read(shop.At(picture)).Pixels;
        for (int i = 0; i < after.Length; i++)
        {
            int x = i % 240, y = i / 240;
            after[i].ShouldBe(drops(x, y) ? Rgba8.Black : Night(x, y), $"at {x},{y}");
        }
    }

    private static string[] Colors(JsonNode list) => [.. list["colors"]!.AsArray().Select(color => (string)color!["color"]!)];
}
