using Recipes.Codecs.Tests;
using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Cli.Tests;

/// <summary>Art that can't be used: each kind with its code, and exit 3.</summary>
public sealed class BadArtTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    /// <summary>What the file is, what makes it, and the code.</summary>
    public static TheoryData<string, string> Kinds => new()
    {
        { "missing", "R3001" }, { "folder", "R3002" }, { "empty", "R3003" }, { "text", "R3003" },
        { "truncated PNG", "R3004" }, { "truncated JPEG", "R3004" }, { "wrong CRC", "R3004" },
        { "60000x60000", "R3006" }, { "0x10", "R3006" }, { "animated", "R3005" }, { "pages", "R3005" },
    };

    [Theory]
    [MemberData(nameof(Kinds))]
    public void Art_that_cannot_be_used_says_why(string kind, string code)
    {
        string name = kind.Contains("JPEG", StringComparison.Ordinal) ? "art.jpg" : "art.png";
        if (kind == "folder")
        {
            Directory.CreateDirectory(shop.At(name));
        }
        else if (kind != "missing")
        {
            File.WriteAllBytes(shop.At(name), Bytes(kind));
        }

        var before = shop.Snapshot();
        var answer = shop.Json("check", name).ShouldFail(3, code);
        ((string)answer.Json["problems"]![0]!["where"]!["file"]!).ShouldBe(name);
        shop.Snapshot().ShouldBe(before);
    }

    [Theory]
    [InlineData("dry-run", "printable-whites", "art.png", "--setup", "light-garment")]
    [InlineData("commit", "printable-whites", "art.png", "--setup", "light-garment")]
    [InlineData("export", "art.png", "-o", "out.png", "--setup", "light-garment")]
    [InlineData("compare", "art.png", "art.png")]
    [InlineData("run", "printable-whites", "art.png", "-o", "out", "--setup", "light-garment")]
    public void Every_command_that_reads_art_refuses_a_damaged_one(params string[] command)
    {
        File.WriteAllBytes(shop.At("art.png"), Bytes("wrong CRC"));
        var before = shop.Snapshot();
        shop.Json(command).ShouldFail(3, "R3004");
        shop.Snapshot().ShouldBe(before);
    }

    [Theory]
    [InlineData("check")]
    [InlineData("history")]
    [InlineData("undo")]
    [InlineData("redo")]
    public void A_missing_art_is_told_by_the_others_too(string command) => shop.Json(command, "nothing.png").ShouldFail(3, "R3001");

    [Fact]
    public void A_file_that_may_not_be_read_says_so()
    {
        shop.NeedsPermissions();
        Picture.WriteRing(shop.At("art.png"));
        Shop.Permit(shop.At("art.png"), UnixFileMode.None);
        shop.Restricted("check", "art.png").ShouldFail(3, "R3002");
    }

    [Theory]
    [InlineData("art[front].png")]
    [InlineData("@art.png")]
    [InlineData("größe ☃.png")]
    [InlineData("a b'c\"d.png")]
    public void Odd_file_names_are_ordinary(string name)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows allows fewer names.");
        Picture.WriteRing(shop.At(name));
        ((string)shop.Json("check", name).ShouldExit(0).Json["art"]!["path"]!).ShouldBe(name);
        shop.Run("check", name).ShouldExit(0).Out.ShouldContain(name);
    }

    private static byte[] Bytes(string kind)
    {
        byte[] good = new TestPng(64, 64, 8, 6).Bytes();
        switch (kind)
        {
            case "empty":
                return [];
            case "text":
                return "This is no picture."u8.ToArray();
            case "truncated PNG":
                return good[..(good.Length / 2)];
            case "truncated JPEG":
                byte[] jpeg = Jpeg();
                return jpeg[..(jpeg.Length / 2)];
            case "wrong CRC":
                // The last byte of IHDR's CRC: 8 of signature, 8 of length and type, 13 of data, 4 of CRC.
                good[32] ^= 1;
                return good;
            case "60000x60000":
                return [.. TestPng.Signature, .. TestPng.Header(60000, 60000, 8, 2), .. TestPng.Chunk("IDAT", TestPng.Deflate(new byte[100])), .. TestPng.Chunk("IEND")];
            case "0x10":
                return [.. TestPng.Signature, .. TestPng.Header(0, 10, 8, 2), .. TestPng.Chunk("IDAT", TestPng.Deflate(new byte[100])), .. TestPng.Chunk("IEND")];
            case "animated":
                return (new TestPng(8, 8, 8, 6) { Early = [TestPng.Chunk("acTL", TestPng.Words(2, 0))] }).Bytes();
            default:
                return (new TestTiff(8, 8, 8, 3) { Pages = 2 }).Bytes();
        }
    }

    private static byte[] Jpeg()
    {
        using var bitmap = new SKBitmap(200, 150);
        for (int i = 0; i < 200 * 150; i++)
        {
            bitmap.SetPixel(i % 200, i / 200, new SKColor((byte)i, (byte)(i * 7), (byte)(i / 200)));
        }

        using var data = bitmap.Encode(SKEncodedImageFormat.Jpeg, 90);
        return data.ToArray();
    }
}
