using Recipes.Codecs.Tests;

namespace Recipes.Cli.Tests;

/// <summary>A file that needs conversion, from check to export and back.</summary>
public sealed class FilesTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_TIFF_file_of_16_bits_is_worked_on_and_exported_with_its_layers()
    {
        // A gray frame around a white window: enclosed white, which the recipe makes printable.
        File.WriteAllBytes(shop.At("window.tif"), (new TestTiff(60, 60, 16, 3) { Compression = 8, Sample = (x, y, _) => x is >= 20 and < 40 && y is >= 20 and < 40 ? 65535 : 25700 }).Bytes());
        var art = shop.Json("check", "window.tif", "--setup", "light-garment").ShouldExit(0).Json["art"]!;
        ((string)art["format"]!).ShouldBe("TIFF, 16-bit RGB, deflate");
        ((string)art["notes"]![0]!).ShouldBe("16 bits per channel rounded to 8");
        var ink = shop.Json("commit", "printable-whites", "window.tif", "--setup", "light-garment").ShouldExit(0).Json["ink"]!;
        ((int)ink["before"]!["bareWhite"]!).ShouldBe(400);
        ((int)ink["after"]!["bareWhite"]!).ShouldBe(0);

        foreach (string name in new[] { "out.tif", "out.ora" })
        {
            shop.Json("export", "window.tif", "-o", name).ShouldExit(0);
            var back = shop.Json("check", name, "--setup", "light-garment").ShouldExit(0).Json;
            ((bool)back["export"]!["current"]!).ShouldBeTrue(name);
            ((int)back["ink"]!["bareWhite"]!).ShouldBe(0);
            ((int)back["ink"]!["prints"]!).ShouldBe(3600);
        }

        // What was converted stands in the file itself, too.
        System.Text.Encoding.ASCII.GetString(File.ReadAllBytes(shop.At("out.tif"))).ShouldContain("\"notes\":[\"16 bits per channel rounded to 8\"]");
        ((string)shop.Json("check", "out.ora", "--setup", "light-garment").Json["art"]!["format"]!).ShouldBe("OpenRaster, 2 layers");
        shop.Json("export", "window.tif", "-o", "out.bmp").ShouldFail(2, "R1001");
    }
}
