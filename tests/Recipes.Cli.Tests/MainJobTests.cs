using System.Security.Cryptography;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>The main job on a small art, command by command.</summary>
public sealed class MainJobTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Try_keep_undo_redo_export()
    {
        string art = Picture.WriteRing(shop.At("ring.png"));
        byte[] hash = SHA256.HashData(File.ReadAllBytes(art));

        var tried = shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0).Json;
        // A side of 40 with a ring from 8 to 12 leaves 16 x 16 px inside.
        ((long)tried["changed"]!["pixels"]!).ShouldBe(16 * 16);
        ((int)tried["changed"]!["maxDelta"]!).ShouldBe(1);
        ((long)tried["ink"]!["gained"]!).ShouldBe(16 * 16);
        File.Exists(shop.At("ring.png.work")).ShouldBeFalse();

        var kept = shop.Json("commit", "--dry-run", "ring.png.dry-run", "--by", "night-shift").ShouldExit(0).Json;
        ((int)kept["step"]!).ShouldBe(1);
        shop.Json("export", "ring.png", "-o", "print.png").ShouldExit(0);
        var (_, _, pixels) = Picture.Read(shop.At("print.png"));
        pixels[(20 * 40) + 20].ShouldBe(new Rgba8(254, 254, 254));
        pixels[0].ShouldBe(Rgba8.White);

        var undone = shop.Json("undo", "ring.png").ShouldExit(0).Json;
        ((int)undone["step"]!).ShouldBe(0);
        ((string)undone["outdated"]![0]!).ShouldBe("print.png");
        shop.Json("check", "print.png", "--setup", "light-garment").ShouldExit(0).Json["export"]!["current"]!.GetValue<bool>().ShouldBeFalse();
        ((int)shop.Json("redo", "ring.png").ShouldExit(0).Json["step"]!).ShouldBe(1);
        shop.Json("check", "print.png", "--setup", "light-garment").ShouldExit(0).Json["export"]!["current"]!.GetValue<bool>().ShouldBeTrue();
        SHA256.HashData(File.ReadAllBytes(art)).ShouldBe(hash);
    }
}
