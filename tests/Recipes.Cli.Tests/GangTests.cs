using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>Test prints packed on one garment, and what the next gang knows of the last.</summary>
public sealed class GangTests : IDisposable
{
    private static readonly Rgba8 Ink = new(200, 60, 40);
    private readonly Shop shop = new();

    // 2 x 1.5 in at the setup's 300 ppi, ink in the middle: 1 x 0.5 in.
    public GangTests() => Picture.Write(shop.At("sail.png"), 600, 450, (x, y) => x is >= 150 and < 450 && y is >= 150 and < 300 ? Ink : Rgba8.White);

    public void Dispose() => shop.Dispose();

    private Answer Gang(params string[] args) => shop.Json(["gang", .. args, "--setup", "light-garment", "--test-garment", "tee.json"]);

    private static Box BoxOf(JsonNode place) => new(
        (int)Math.Floor((double)place[0]! * 300), (int)Math.Floor((double)place[1]! * 300), (int)Math.Ceiling((double)place[2]! * 300), (int)Math.Ceiling((double)place[3]! * 300));

    [Fact]
    public void Tests_lie_apart_inside_the_margin_and_the_next_gang_keeps_clear_of_them()
    {
        var first = Gang("sail.png", "sail.png", "-o", "one.png", "--box", "auto", "--box", "200px,160px,100px,100px", "--caption", "as sent", "--caption", "corner").ShouldExit(0).Json;
        var tests = first["tests"]!.AsArray();
        tests.Select(test => (string)test!["id"]!).ShouldBe(["tee-1", "tee-2"]);
        // auto takes what prints, where that is small.
        tests[0]!["box"]!.ToJsonString().ShouldBe("[150,150,300,150]");
        var (width, height, pixels) = Picture.Read(shop.At("one.png"));
        (width, height).ShouldBe((14 * 300, 16 * 300));
        foreach (var test in tests)
        {
            var (at, box) = (test!["at"]!, test["box"]!);
            for (int y = 0; y < (int)box[3]!; y++)
            {
                for (int x = 0; x < (int)box[2]!; x++)
                {
                    pixels[(((int)at[1]! + y) * width) + (int)at[0]! + x].ShouldBe(Ink);
                }
            }
        }

        // The sheet says what it is, and check suggests nothing for it.
        shop.Json("check", "one.png", "--setup", "light-garment").ShouldExit(0).Json["findings"]!.AsArray().ShouldAllBe(finding => finding!["recipe"] == null);

        // 0.5 in from every edge nothing prints.
        var places = tests.Select(test => BoxOf(test!["place"]!)).ToList();
        var inside = new Box(150, 150, width - 300, height - 300);
        for (int i = 0; i < pixels.Length; i++)
        {
            (!pixels[i].IsTransparent && !inside.Contains(i % width, i / width)).ShouldBeFalse();
        }

        shop.Json("commit", "swap-color", "sail.png", "--set", "from=#c83c28", "--set", "to=#28503c", "--setup", "light-garment").ShouldExit(0);
        var second = Gang("sail.png", "-o", "two.png").ShouldExit(0).Json["tests"]![0]!;
        ((string)second["id"]!).ShouldBe("tee-3");
        ((string)second["caption"]!).ShouldBe("tee-3 sail step 1");
        var next = BoxOf(second["place"]!);
        // A px for rounding inches.
        places.ShouldAllBe(place => place.Grow(149).Within(next).IsEmpty);
        Picture.Read(shop.At("two.png")).Pixels.Count(pixel => pixel == new Rgba8(0x28, 0x50, 0x3c)).ShouldBe(300 * 150);

        // The garment's file and the same art give the same bytes.
        var used = JsonNode.Parse(File.ReadAllText(shop.At("tee.json")))!;
        used["used"]!.AsArray().RemoveAt(2);
        shop.Write("tee.json", used.ToJsonString());
        Gang("sail.png", "-o", "again.png").ShouldExit(0);
        File.ReadAllBytes(shop.At("again.png")).ShouldBe(File.ReadAllBytes(shop.At("two.png")));

        // By a link it is the same garment, and the others see what is used.
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        File.Move(shop.At("tee.json"), shop.At("shared.json"));
        File.CreateSymbolicLink(shop.At("tee.json"), shop.At("shared.json"));
        Gang("sail.png", "-o", "linked.png").ShouldExit(0);
        JsonNode.Parse(File.ReadAllText(shop.At("shared.json")))!["used"]!.AsArray().Count.ShouldBe(4);
    }

    [Fact]
    public void Without_room_a_chosen_setup_or_a_sound_request_nothing_is_written()
    {
        shop.Write("tee.json", """{ "schema": 1, "kind": "test-garment", "name": "tee", "platen": [14, 16], "pretreated": [0, 0, 4.9, 3], "used": [ { "place": [0, 0, 3, 3] } ] }""");
        Picture.Write(shop.At("logo.png"), 100, 100, (_, _) => Ink, 72);
        Picture.Write(shop.At("bare.png"), 100, 100, (_, _) => Rgba8.White);
        var before = shop.Snapshot();
        Gang("sail.png", "-o", "tests.png").ShouldFail(2, "R7502");
        Gang("sail.png", "logo.png", "-o", "tests.png").ShouldFail(2, "R7503");
        Gang("bare.png", "-o", "tests.png").ShouldFail(2, "R7503");
        Gang("sail.png", "-o", "tests.png", "--box", "0px,0px,50px,50px").ShouldFail(2, "R7503");
        Gang("sail.png", "-o", "tests.png", "--box", "500px,0px,200px,50px").ShouldFail(2, "R7503");
        Gang("sail.png", "-o", "tests.png", "--margin", "0.1in").ShouldFail(2, "R7503");
        Gang("sail.png", "-o", "tests.png", "--caption", "a", "--caption", "b").ShouldFail(2, "R7503");
        Gang("sail.png", "-o", "sail.png").ShouldFail(9, "R8001");
        shop.Json("gang", "sail.png", "-o", "tests.png").ShouldFail(2, "R1008");
        shop.Write("small.json", """{ "name": "small", "platen": { "width": 10, "height": 12 } }""");
        shop.Json("gang", "sail.png", "-o", "tests.png", "--setup", "small.json", "--test-garment", "tee.json").ShouldFail(3, "R7501");
        File.Delete(shop.At("small.json"));
        shop.Snapshot().ShouldBe(before);

        // 4.9 in less the margin, from 3 in and the margin on, are 0.9 in for a test of 1 in; with a margin of 0.25 in they are 1.4.
        Gang("sail.png", "-o", "tests.png", "--margin", "0.25in").ShouldExit(0);
    }

    [Fact]
    public void The_underbase_of_the_file_comes_along()
    {
        string[] setup = ["--setup", "black-garment-opaque-white"];
        Picture.Write(shop.At("beak.png"), 300, 300, (x, y) => x is >= 100 and < 200 && y is >= 100 and < 200 ? Ink : default);
        shop.Json(["commit", "white-underbase", "beak.png", .. setup, "--set", "choke=0px"]).ShouldExit(0);
        var json = shop.Json(["gang", "beak.png", "-o", "tests.png", .. setup]).ShouldExit(0).Json;
        ((string)json["outputs"]!["garment"]!).ShouldBe("tests.garment.json");
        ((string)json["tests"]![0]!["id"]!).ShouldBe("tests-1");
        ((string)json["tests"]![0]!["underbase"]!).ShouldBe("file");
        var plane = Picture.Read(shop.At("tests-underbase.png"));
        var art = Picture.Read(shop.At("tests.png"));
        // Under every pixel that prints, letters included, lies a solid: the color is saturated and the cloth dark.
        for (int i = 0; i < art.Pixels.Length; i++)
        {
            plane.Pixels[i].R.ShouldBe(art.Pixels[i].IsTransparent ? (byte)0 : (byte)255);
        }

        art.Pixels.Count(pixel => pixel == Ink).ShouldBe(100 * 100);
        art.Pixels.Count(pixel => pixel == new Rgba8(254, 254, 254)).ShouldBeGreaterThan(0);
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
