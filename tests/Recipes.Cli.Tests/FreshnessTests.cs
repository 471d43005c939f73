using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary><c>commit --dry-run</c> keeps exactly what was shown, or refuses.</summary>
public sealed class FreshnessTests : IDisposable
{
    private const string Mine = "Recipe.Title(\"Mine\");\nRecipe.Purpose(\"Makes whites printable.\");\nArt.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"mine\");\n";
    private readonly Shop shop = new();

    public FreshnessTests()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Write("mine.csx", Mine);
        File.WriteAllText(shop.At("shop.json"), """{ "name": "mine", "platen": { "width": 12, "height": 14 } }""");
    }

    public void Dispose() => shop.Dispose();

    [Theory]
    [InlineData("art")]
    [InlineData("step")]
    [InlineData("recipe")]
    [InlineData("recipe gone")]
    [InlineData("parameter")]
    [InlineData("setup")]
    [InlineData("setup gone")]
    public void It_refuses_where_something_has_changed_since(string what)
    {
        if (what == "parameter")
        {
            shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "shop.json").ShouldExit(0);
            Edit("parameters", "near", "8");
        }
        else
        {
            shop.Json("dry-run", "mine.csx", "ring.png", "--setup", "shop.json").ShouldExit(0);
        }

        switch (what)
        {
            case "art":
                Picture.WriteRing(shop.At("ring.png"), side: 44);
                break;
            case "step":
                shop.Json("commit", "clean-background", "ring.png", "--setup", "shop.json").ShouldExit(0);
                break;
            case "recipe":
                shop.Write("mine.csx", Mine + "// another line\n");
                break;
            case "recipe gone":
                File.Delete(shop.At("mine.csx"));
                break;
            case "setup":
                shop.Write("shop.json", """{ "name": "mine", "platen": { "width": 12, "height": 15 } }""");
                break;
            case "setup gone":
                File.Delete(shop.At("shop.json"));
                break;
        }

        var before = shop.Snapshot();
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldFail(7, "R6001");
        shop.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void It_refuses_once_the_art_of_a_begun_work_has_changed()
    {
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        Picture.WriteRing(shop.At("ring.png"), side: 44);
        var before = shop.Snapshot();
        foreach (string command in (string[])["check ring.png", "dry-run print-black ring.png", "commit print-black ring.png", "undo ring.png", "history ring.png", "export ring.png -o x.png"])
        {
            shop.Json(command.Split(' ')).ShouldFail(7, "R6002");
        }

        shop.Snapshot().ShouldBe(before);
        ((int)shop.Json("check", "ring.png", "--original").ShouldExit(0).Json["art"]!["width"]!).ShouldBe(44);
    }

    [Fact]
    public void It_works_without_the_cache_and_from_another_folder()
    {
        shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "light-garment", "--out", "tries/one").ShouldExit(0);
        Directory.Delete(Path.Combine(shop.Home, ".cache"), recursive: true);
        ((int)shop.Json("commit", "--dry-run", "tries/one").ShouldExit(0).Json["step"]!).ShouldBe(1);
        Exported(new Rgba8(254, 254, 254));
        ((string)shop.Json("commit", "--dry-run", "tries/one").ShouldFail(7, "R6001").Json["problems"]![0]!["message"]!).ShouldBe("This dry run has been kept already, as step 1 of ring.png.");
        shop.Run("undo", "ring.png").ShouldExit(0);
        shop.Run("commit", "--dry-run", "tries/one").ShouldExit(0);
    }

    [Theory]
    [InlineData("runs")]
    [InlineData("compiled")]
    public void A_forged_cache_entry_is_ignored(string kind)
    {
        shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        var entries = Directory.GetFiles(Path.Combine(shop.Home, ".cache/recipes", kind));
        entries.ShouldNotBeEmpty();
        foreach (string entry in entries)
        {
            byte[] bytes = File.ReadAllBytes(entry);
            // Past the MAC and the frame's head: content that no key of ours has signed.
            bytes[^1] ^= 1;
            bytes[bytes.Length / 2] ^= 1;
            File.WriteAllBytes(entry, bytes);
        }

        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldExit(0);
        Exported(new Rgba8(254, 254, 254));
    }

    [Fact]
    public void The_folder_is_not_trusted_with_pixels_or_digests()
    {
        shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        Picture.WriteRing(shop.At("ring.png.dry-run/after.png"), side: 12);
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldFail(7, "R6001");
        File.Exists(shop.At("ring.png.work")).ShouldBeFalse();
        shop.Write("other/report.json", "{");
        shop.Json("commit", "--dry-run", "other").ShouldFail(2, "R6006");
    }

    [Fact]
    public void Another_file_of_that_name_does_not_write_over_the_earlier_ones_export()
    {
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        shop.Json("export", "ring.png", "-o", "a.png").ShouldExit(0);
        string exported = Shop.HashOf(shop.At("a.png"));
        Picture.WriteRing(shop.At("ring.png"), side: 48);
        shop.Json("export", "ring.png", "-o", "a.png", "--original", "--setup", "light-garment").ShouldFail(9, "R8001");
        Shop.HashOf(shop.At("a.png")).ShouldBe(exported);
    }

    [Fact]
    public void An_export_says_what_it_is_and_whether_it_is_current()
    {
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        shop.Json("export", "ring.png", "-o", "a.png").ShouldExit(0);
        // One's own export may be written anew. What somebody changed since, or another setup's, may not.
        byte[] exported = File.ReadAllBytes(shop.At("a.png"));
        shop.Json("export", "ring.png", "-o", "a.png").ShouldExit(0);
        File.AppendAllText(shop.At("a.png"), "retouched");
        shop.Json("export", "ring.png", "-o", "a.png").ShouldFail(9, "R8001");
        File.WriteAllBytes(shop.At("a.png"), exported);
        shop.Json("export", "ring.png", "-o", "a.png", "--setup", "black-garment").ShouldFail(9, "R8001");
        shop.Json("export", "ring.png", "-o", "a.png", "--force").ShouldExit(0);
        shop.Json("export", "ring.png", "-o", "ring.png", "--force").ShouldFail(9, "R8001");
        var status = Status("a.png");
        ((bool)status["current"]!).ShouldBeTrue();
        ((string)status["art"]!).ShouldBe("ring.png");
        ((string)status["artSha256"]!).ShouldBe(Shop.HashOf(shop.At("ring.png")));
        ((int)status["step"]!).ShouldBe(1);
        shop.Json("commit", "clean-background", "ring.png").ShouldExit(0);
        ((bool)Status("a.png")["current"]!).ShouldBeFalse();
        shop.Json("export", "ring.png", "-o", "b.png").ShouldExit(0);
        shop.Json("undo", "ring.png").ShouldExit(0).Json["outdated"]!.AsArray().Select(path => (string)path!).ShouldBe(["b.png"]);
        ((bool)Status("a.png")["current"]!).ShouldBeTrue();
        shop.Json("export", "ring.png", "-o", "c.png", "--original").ShouldExit(0);
        Picture.Read(shop.At("c.png")).Pixels.ShouldBe(Picture.Read(shop.At("ring.png")).Pixels);
    }

    private JsonNode Status(string file) => shop.Json("check", file, "--setup", "light-garment").ShouldExit(0).Json["export"]!;

    private void Exported(Rgba8 inside)
    {
        shop.Json("export", "ring.png", "-o", "out.png").ShouldExit(0);
        Picture.Read(shop.At("out.png")).Pixels[(20 * 40) + 20].ShouldBe(inside);
    }

    private void Edit(string parent, string name, string value)
    {
        string path = shop.At("ring.png.dry-run/report.json");
        var report = JsonNode.Parse(File.ReadAllText(path))!;
        report[parent]![name] = value;
        File.WriteAllText(path, report.ToJsonString());
    }
}
