using System.Security.Cryptography;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>Nothing that a customer or a technician made is ever written over or deleted, by whatever path it is named.</summary>
public sealed class OriginalSafetyTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_linked_folder_is_no_way_to_an_original()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        byte[] hash = Hash(Picture.WriteRing(shop.At("ring.png")));
        Directory.CreateSymbolicLink(shop.At("link"), shop.Desk);
        string art = Picture.WriteRing(shop.At("after.png"));
        byte[] after = Hash(art);

        shop.Json("export", "ring.png", "-o", "link/ring.png", "--setup", "light-garment", "--force").ShouldExit(9).Codes.ShouldBe(["R8001"]);
        shop.Json("run", "printable-whites", "ring.png", "-o", "link", "--setup", "light-garment", "--force").ShouldExit(9);
        shop.Json("dry-run", "printable-whites", "after.png", "--out", "link", "--setup", "light-garment", "--force").ShouldExit(9);
        Hash(shop.At("ring.png")).ShouldBe(hash);
        Hash(art).ShouldBe(after);

        // One's output is another's original, which a link names: that one isn't written, and the other is.
        File.CreateSymbolicLink(shop.At("other.png"), art);
        Directory.CreateDirectory(shop.At("in"));
        Picture.WriteRing(shop.At("in/after.png"));
        shop.Json("run", "printable-whites", "in/after.png", "other.png", "-o", ".", "--setup", "light-garment", "--force").ShouldFail(9, "R8001");
        Hash(art).ShouldBe(after);
    }

    // A hard link, like a folder that is mounted twice or a file system that ignores case, is one file by two names; stat(2) tells by device and inode.
    [Theory]
    [InlineData("other.png", "export", "ring.png", "-o", "other.png", "--force")]
    [InlineData("other.ora", "export", "ring.png", "-o", "other.ora", "--force")]
    [InlineData("other.png", "preview", "ring.png", "-o", "other.png", "--force")]
    [InlineData("other.html", "ticket", "ring.png", "-o", "other.html", "--force")]
    [InlineData("other.png", "gang", "ring.png", "-o", "other.png", "--force")]
    [InlineData("out/ring.png", "run", "printable-whites", "ring.png", "-o", "out", "--force")]
    [InlineData("out/ring.json", "run", "printable-whites", "ring.png", "-o", "out", "--force")]
    [InlineData("out/after.png", "dry-run", "printable-whites", "ring.png", "--out", "out", "--force")]
    [InlineData("out/report.json", "dry-run", "printable-whites", "ring.png", "--out", "out", "--force")]
    [InlineData("out/diff.png", "compare", "ring.png", "second.png", "--out", "out", "--force")]
    [InlineData("out/check.html", "check", "ring.png", "--out", "out", "--force")]
    public void An_original_of_two_names_is_not_written_over(string link, params string[] command)
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Only Linux is asked for device and inode.");
        string art = Picture.WriteRing(shop.At("ring.png"));
        Picture.WriteRing(shop.At("second.png"));
        Directory.CreateDirectory(shop.At("out"));
        using (var made = shop.StartWith("ln", art, shop.At(link)))
        {
            Shop.End(made).ShouldExit(0);
        }

        var before = shop.Snapshot();
        shop.Json([.. command, "--setup", "light-garment"]).ShouldExit(9).Codes[0].ShouldBe("R8001");
        shop.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void What_work_was_begun_on_is_an_original_for_every_other_command()
    {
        Picture.WriteRing(shop.At("ring.png"));
        Picture.WriteRing(shop.At("order.png"), side: 44);
        shop.Json("commit", "printable-whites", "order.png", "--setup", "light-garment").ShouldExit(0);
        var before = shop.Snapshot();
        shop.Json("export", "ring.png", "-o", "order.png", "--setup", "light-garment", "--force").ShouldFail(9, "R8001");
        shop.Json("chart", "-o", "order.png", "--setup", "light-garment", "--force").ShouldFail(9, "R8001");
        shop.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void A_recipe_is_not_written_over_by_its_pack()
    {
        shop.Write("mine.csx",
            "Recipe.Title(\"Mine\");\nRecipe.Purpose(\"Makes whites printable.\");\n"
            + "Art.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"mine\");\n");
        var before = shop.Snapshot();
        shop.Json("pack", "./mine.csx", "-o", "mine.csx", "--force").ShouldFail(9, "R8001");
        shop.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void The_demo_replaces_only_what_it_wrote_itself()
    {
        string folder = shop.At("mine");
        Directory.CreateDirectory(folder);
        string art = Picture.WriteRing(Path.Combine(folder, "puffin.png")), work = shop.Write(Path.Combine("mine", "puffin.png.work"), "hours of work");
        shop.Write(Path.Combine("mine", "about.txt"), "Made by 'recipes demo', which replaces it.\n");
        byte[] hash = Hash(art);

        shop.Json("demo", "-o", "mine").ShouldExit(9);
        shop.Json("demo", "-o", "mine", "--force").ShouldExit(9);
        Hash(art).ShouldBe(hash);
        File.ReadAllText(work).ShouldBe("hours of work");

        // Nor what stands in the way of one of its commands, which is no fault of the program.
        shop.Write(Path.Combine("other", "puffin.png.dry-run", "report.json"), "{}");
        shop.Json("demo", "-o", "other").ShouldFail(9, "R8002");
        shop.Json("demo", "-o", "").ShouldFail(9, "R8002");
    }

    [Fact]
    public void A_failed_run_leaves_no_earlier_print_beside_its_record()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("run", "printable-whites", "ring.png", "-o", "out", "--setup", "light-garment").ShouldExit(0);
        File.Exists(shop.At("out/ring.png")).ShouldBeTrue();

        File.WriteAllText(shop.At("ring.png"), "no picture any more");
        shop.Json("run", "printable-whites", "ring.png", "-o", "out", "--setup", "light-garment").ShouldExit(3);
        File.Exists(shop.At("out/ring.png")).ShouldBeFalse();
        File.ReadAllText(shop.At("out/ring.json")).ShouldContain("R3003");

        // The record of the failure is ours, so the next run goes on from it.
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("run", "printable-whites", "ring.png", "-o", "out", "--setup", "light-garment").ShouldExit(0);
        File.Exists(shop.At("out/ring.png")).ShouldBeTrue();
    }

    [Fact]
    public void Art_whose_work_file_lies_elsewhere_is_an_original_too()
    {
        Picture.WriteRing(shop.At("ring.png"));
        Picture.Write(shop.At("other.png"), 40, 40, (x, y) => x is > 9 and < 30 && y is > 9 and < 30 ? Rgba8.Black : Rgba8.White);
        Directory.CreateDirectory(shop.At("steps"));
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment", "--work", "steps").ShouldExit(0);
        shop.Json("commit", "clean-background", "other.png", "--setup", "light-garment", "--work", "steps").ShouldExit(0);
        byte[] before = File.ReadAllBytes(shop.At("other.png"));
        shop.Json("export", "ring.png", "--work", "steps", "-o", "other.png", "--force").ShouldFail(9, "R8001");
        File.ReadAllBytes(shop.At("other.png")).ShouldBe(before);
    }

    [Fact]
    public void An_export_that_was_painted_over_is_not_current()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        shop.Json("export", "ring.png", "-o", "print.png").ShouldExit(0);
        // Everything that the file says of itself stays; one bit of a checksum-free place would do, here it is a chunk after the end.
        using (var stream = new FileStream(shop.At("print.png"), FileMode.Append))
        {
            stream.WriteByte(0);
        }

        shop.Json("check", "print.png", "--setup", "light-garment").ShouldExit(0).Json["export"]!["current"]!.GetValue<bool>().ShouldBeFalse();
    }

    [Fact]
    public void A_setup_from_a_file_is_not_mistaken_for_one_of_the_same_name()
    {
        Picture.Write(shop.At("black.png"), 40, 40, (x, y) => x is > 9 and < 30 && y is > 9 and < 30 ? Rgba8.Black : Rgba8.White);
        // A black garment on which black prints: not the shipped setup of that name.
        shop.Write("black-garment.json", """{ "name": "black-garment", "platen": { "width": 14, "height": 16 }, "bare": { "white": true, "black": false, "transparent": true } }""");
        shop.Json("commit", "clean-background", "black.png", "--setup", "./black-garment.json").ShouldExit(0);
        shop.Json("check", "black.png").ShouldExit(2).Codes.ShouldBe(["R1007"]);
        shop.Json("check", "black.png", "--setup", "./black-garment.json").ShouldExit(0);
    }

    [Fact]
    public void An_edited_flag_keeps_no_setup_that_nobody_chose()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("dry-run", "printable-whites", "ring.png").ShouldExit(0);
        string report = shop.At("ring.png.dry-run/report.json"), text = File.ReadAllText(report);
        text.ShouldContain("\"setupIsFallback\": true");
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldExit(2).Codes.ShouldBe(["R1008"]);
        File.WriteAllText(report, text.Replace("\"setupIsFallback\": true", "\"setupIsFallback\": false", StringComparison.Ordinal));
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldExit(7).Codes.ShouldBe(["R6001"]);
        File.Exists(shop.At("ring.png.work")).ShouldBeFalse();
    }

    [Theory]
    [InlineData("\"art\": \"", "\"art\": \"a\\u0000b", 2)]
    [InlineData("\"schema\": 1,", "\"schema\": 1, \"schema\": 2,", 2)]
    public void A_hostile_report_is_a_clear_error(string find, string put, int exit)
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        string report = shop.At("ring.png.dry-run/report.json"), text = File.ReadAllText(report);
        int at = text.LastIndexOf(find, StringComparison.Ordinal);
        at.ShouldBeGreaterThanOrEqualTo(0);
        File.WriteAllText(report, text[..at] + put + text[(at + find.Length)..]);
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldExit(exit);
    }

    [Fact]
    public void Standard_output_that_takes_nothing_is_exit_9()
    {
        Shop.Needs(File.Exists("/dev/full"), "/dev/full");
        Picture.WriteRing(shop.At("ring.png"));
        using var process = shop.StartWith("sh", "-c", $"'{Shop.Dotnet}' exec '{Path.Combine(Shop.ProgramFolder, "recipes.dll")}' check ring.png --setup light-garment --json > /dev/full");
        string errors = process.StandardError.ReadToEnd();
        process.WaitForExit();
        process.ExitCode.ShouldBe(9);
        errors.ShouldNotContain("   at ");
    }

    private static byte[] Hash(string path) => SHA256.HashData(File.ReadAllBytes(path));
}
