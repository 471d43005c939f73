using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>Test prints packed on one garment: exit codes, JSON, and what check knows of them. How they lie is tested in Hosting.</summary>
public sealed class GangTests : IDisposable
{
    private static readonly Rgba8 Ink = new(200, 60, 40);
    private readonly Shop shop = new();

    // 2 x 1.5 in at the setup's 300 ppi, ink in the middle: 1 x 0.5 in.
    public GangTests() => Picture.Write(shop.At("sail.png"), 600, 450, (x, y) => x is >= 150 and < 450 && y is >= 150 and < 300 ? Ink : Rgba8.White);

    public void Dispose() => shop.Dispose();

    private Answer Gang(params string[] args) => shop.Json(["gang", .. args, "--setup", "light-garment", "--test-garment", "tee.json"]);

    [Fact]
    public void The_answer_names_tests_places_and_files_and_the_sheet_says_what_it_is()
    {
        var json = Gang("sail.png", "sail.png", "-o", "one.png", "--box", "auto", "--box", "200px,160px,100px,100px",
            "--caption", "as sent", "--caption", "corner").ShouldExit(0).Json;
        var tests = json["tests"]!.AsArray();
        tests.Select(test => ((string)test!["id"]!, (string)test["caption"]!, (string)test["underbase"]!))
            .ShouldBe([("tee-1", "tee-1 as sent", "machine"), ("tee-2", "tee-2 corner", "machine")]);
        // auto takes what prints, where that is small.
        tests.Select(test => test!["box"]!.ToJsonString()).ShouldBe(["[150,150,300,150]", "[200,160,100,100]"]);
        ((double)json["margin"]!, (int)json["garment"]!["used"]!, (string)json["outputs"]!["garment"]!).ShouldBe((0.5, 2, "tee.json"));
        var (width, _, pixels) = Picture.Read(shop.At("one.png"));
        foreach (var test in tests)
        {
            pixels[((int)test!["at"]![1]! * width) + (int)test["at"]![0]!].ShouldBe(Ink);
        }

        // Check suggests nothing for it.
        shop.Json("check", "one.png", "--setup", "light-garment").ShouldExit(0).Json["findings"]!.AsArray().ShouldAllBe(finding => finding!["recipe"] == null);
    }

    [Fact]
    public void What_cannot_be_ganged_writes_nothing()
    {
        shop.Write("tee.json", """{ "schema": 1, "kind": "test-garment", "name": "tee", "platen": [10, 12] }""");
        var before = shop.Snapshot();
        Gang("sail.png", "-o", "tests.png").ShouldFail(3, "R7501");
        Gang("sail.png", "-o", "tests.png", "--caption", "a", "--caption", "b").ShouldFail(2, "R7503");
        Gang("sail.png", "-o", "tests.png", "--box", "auto", "--box", "auto").ShouldFail(2, "R7503");
        Gang("sail.png", "-o", "sail.png").ShouldFail(9, "R8001");
        shop.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void A_test_print_says_so_in_its_work_file_and_in_its_export()
    {
        // White paper in a frame of ink, all of it inside the box that is printed.
        Picture.Write(shop.At("frame.png"), 600, 450, (x, y) =>
            x is >= 100 and < 500 && y is >= 100 and < 350 && !(x is >= 200 and < 400 && y is >= 180 and < 270) ? Ink : Rgba8.White);
        shop.Json("commit", "test-print", "frame.png", "--set", "box=150px,120px,300px,200px", "--setup", "light-garment").ShouldExit(0);
        shop.Json("export", "frame.png", "-o", "test.png").ShouldExit(0);
        foreach (string file in (string[])["frame.png", "test.png"])
        {
            var finding = shop.Json("check", file, "--setup", "light-garment").ShouldExit(0).Json["findings"]!.AsArray().Single(found => (string)found!["code"]! == "enclosed-white")!;
            ((string)finding["message"]!).ShouldContain("test print made by recipes");
            finding["recipe"].ShouldBeNull();
        }

        shop.Json("undo", "frame.png").ShouldExit(0);
        shop.Json("check", "frame.png", "--setup", "light-garment").ShouldExit(0).Json["findings"]!.AsArray()
            .Single(found => (string)found!["code"]! == "enclosed-white")!["recipe"]!.ToString().ShouldBe("printable-whites");
    }
}
