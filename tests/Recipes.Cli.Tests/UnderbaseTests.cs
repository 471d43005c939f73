using System.Text;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>The white underbase through the program: laid, kept, undone, exported beside the colors, and simulated.</summary>
public sealed class UnderbaseTests : IDisposable
{
    private const int Side = 120;
    private static readonly Rgba8 Ink = new(200, 60, 40);
    private readonly Shop shop = new();

    // 300 ppi is the setup's: the art has no resolution of its own.
    public UnderbaseTests() => Picture.Write(shop.At("sail.png"), Side, Side, (x, y) => InBlock(x, y, 0) ? Ink : default);

    public void Dispose() => shop.Dispose();

    [Fact]
    public void It_is_a_plane_of_its_own_and_the_colors_stay()
    {
        string[] setup = ["--setup", "black-garment-opaque-white"];
        // The block without 2 px of rim on each side is 56 x 56 px.
        const string says = "3,136 px get white ink";
        var kept = shop.Run(["commit", "white-underbase", "sail.png", .. setup]).ShouldExit(0);
        kept.Out.ShouldContain("changed   no color");
        kept.Out.ShouldContain($"white     {says}");
        shop.Run("history", "sail.png").Out.ShouldContain($"0 px changed, 0 more print, 0 fewer; {says}");
        var export = shop.Json("export", "sail.png", "-o", "print.png").ShouldExit(0);
        ((string)export.Json["outputs"]!["planes"]![0]!).ShouldBe("print-underbase.png");
        Picture.Read(shop.At("print.png")).Pixels.ShouldBe(Picture.Read(shop.At("sail.png")).Pixels);

        // A choke of 0.2 mm is 2.362 px at 300 ppi: the outer two pixels get none, the third the 0.638 of it that is left, 163 of 255, and all
        // else a solid, since the color is saturated and the cloth dark.
        var (width, height, plane) = Picture.Read(shop.At("print-underbase.png"));
        (width, height).ShouldBe((Side, Side));
        for (int y = 0; y < Side; y++)
        {
            for (int x = 0; x < Side; x++)
            {
                byte wanted = InBlock(x, y, 3) ? (byte)255 : InBlock(x, y, 2) ? (byte)163 : (byte)0;
                plane[(y * Side) + x].ShouldBe(new Rgba8(wanted, wanted, wanted), $"{x},{y}");
            }
        }

        // Beside TIFF colors the plane is TIFF: not compressed, so it ends with the same levels as they are.
        ((string)shop.Json("export", "sail.png", "-o", "print.tif").ShouldExit(0).Json["outputs"]!["planes"]![0]!).ShouldBe("print-underbase.tif");
        File.ReadAllBytes(shop.At("print-underbase.tif"))[^(Side * Side)..].ShouldBe(plane.Select(pixel => pixel.R));

        // With its layers: the plane is there, and the flat picture in it is the colors.
        shop.Json("export", "sail.png", "-o", "layers.ora").ShouldExit(0);
        shop.Json(["check", "layers.ora", .. setup]).ShouldExit(0);

        // A color that changes afterwards outdates the plane.
        shop.Json(["commit", "swap-color", "sail.png", "--set", "from=#c83c28", "--set", "to=#28503c"]).ShouldExit(0);
        shop.Json("export", "sail.png", "-o", "print.png", "--force").ShouldExit(0).Codes.ShouldBe(["R7401"]);
        shop.Json(["check", "sail.png", .. setup]).Json["findings"]!.AsArray().Select(finding => (string)finding!["code"]!).ShouldContain("outdated-underbase");

        // The plane in a file of its own is outdated with the colors.
        shop.Json("undo", "sail.png", "--to", "0").ShouldExit(0).Json["outdated"]!.AsArray().Select(file => (string)file!).Order(StringComparer.Ordinal)
            .ShouldBe(["print-underbase.png", "print.png"]);
        ((System.Text.Json.Nodes.JsonArray)shop.Json("export", "sail.png", "-o", "bare.png").ShouldExit(0).Json["outputs"]!["planes"]!).Count.ShouldBe(0);
    }

    [Fact]
    public void Where_the_machine_lays_it_the_file_does_not()
    {
        var before = shop.Snapshot();
        foreach (string setup in (string[])["black-garment", "light-garment"])
        {
            shop.Json("commit", "white-underbase", "sail.png", "--setup", setup).ShouldFail(5, "R4002").Out.ShouldContain("the machine lays the underbase");
            shop.Run("dry-run", "white-underbase", "sail.png", "--setup", setup).Err.ShouldEndWith("Name a setup whose underbase is the file's with --setup; 'recipes setups show NAME' tells.\n");
        }

        shop.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void A_preview_shows_cloth_where_nothing_prints_and_says_that_it_is_a_simulation()
    {
        var answer = shop.Json("preview", "sail.png", "-o", "preview.png", "--setup", "black-garment", "--garment", "#203040").ShouldExit(0);
        ((string)answer.Json["simulation"]!).ShouldContain("not a proof");
        var (_, _, pixels) = Picture.Read(shop.At("preview.png"));
        pixels[0].ShouldBe(new Rgba8(0x20, 0x30, 0x40));
        // Under a red, red comes back and is brighter than the cloth.
        var inside = pixels[(60 * Side) + 60];
        ((int)inside.R).ShouldBeGreaterThan(120);
        inside.R.ShouldBeGreaterThan(inside.G);
        Encoding.Latin1.GetString(File.ReadAllBytes(shop.At("preview.png"))).ShouldContain("A simulation on a screen, not a proof");
        shop.Json("preview", "sail.png", "-o", "preview.png", "--setup", "black-garment").ShouldFail(9, "R8001");
        shop.Json("preview", "sail.png", "-o", "other.png", "--garment", "navy").ShouldFail(2, "R1013");
        shop.Json("preview", "sail.png", "-o", "other.png", "--garment", "#12").ShouldFail(2, "R1001");
    }

    private static bool InBlock(int x, int y, int inset) => x >= 30 + inset && y >= 30 + inset && x < 90 - inset && y < 90 - inset;
}
