using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.TestPrints;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.UseCases;

/// <summary>Test prints packed on one garment, and what the next gang knows of the last.</summary>
public sealed class GangTests : IDisposable
{
    private static readonly Rgba8 Ink = new(200, 60, 40);
    private readonly Bench bench = new();

    // 2 x 1.5 in at the setup's 300 ppi, ink in the middle: 1 x 0.5 in.
    public GangTests() => bench.Draw("sail.png", 600, 450, (x, y) => x is >= 150 and < 450 && y is >= 150 and < 300 ? Ink : Rgba8.White);

    public void Dispose() => bench.Dispose();

    [Fact]
    public void Tests_lie_apart_inside_the_margin_and_the_next_gang_keeps_clear_of_them()
    {
        var first = Write("one.png", Sail() with { Caption = "as sent" },
            Sail() with { Box = "200px,160px,100px,100px", Caption = "corner" });
        // auto takes what prints, where that is small.
        first.Cut.Tests.Select(test => (test.Id, test.Box)).ShouldBe([("tee-1", new Box(150, 150, 300, 150)), ("tee-2", new Box(200, 160, 100, 100))]);
        first.Cut.Tests.Select(test => string.Join('|', test.Piece.Caption)).ShouldBe(["tee-1|as sent", "tee-2|corner"]);
        var flat = bench.Read(bench.At("one.png"), Bench.Light).Flat;
        (flat.Width, flat.Height).ShouldBe((14 * 300, 16 * 300));
        foreach (var (test, place) in first.Cut.Tests.Zip(first.Places))
        {
            Enumerable.Range(0, test.Box.Width * test.Box.Height)
                .ShouldAllBe(i => flat[place.X + (i % test.Box.Width), place.Y + (i / test.Box.Width)] == Ink);
        }

        // 0.5 in from every edge nothing prints.
        var prints = Find.Where(flat, pixel => !pixel.IsTransparent).Bounds!.Value;
        prints.Within(new Box(150, 150, flat.Width - 300, flat.Height - 300)).ShouldBe(prints);

        bench.Commit("swap-color", bench.At("sail.png"), Bench.Light, "from=#c83c28", "to=#28503c");
        var second = Write("two.png");
        var next = second.Cut.Tests.ShouldHaveSingleItem();
        string.Join('|', next.Piece.Caption).ShouldBe("tee-3|sail step 1");
        // Half an inch is 150 px at 300 ppi; a px for rounding inches.
        first.Places.ShouldAllBe(place => place.Grow(149).Within(second.Places[0]).IsEmpty);
        Bench.Pixels(bench.Read(bench.At("two.png"), Bench.Light).Flat).Count(pixel => pixel == new Rgba8(0x28, 0x50, 0x3c)).ShouldBe(300 * 150);
    }

    [Fact]
    public void The_same_garment_gives_the_same_bytes_also_by_a_link()
    {
        Write("one.png");
        File.Copy(bench.At("tee.json"), bench.At("noted.json"));
        Write("two.png");
        File.Move(bench.At("noted.json"), bench.At("tee.json"), overwrite: true);
        Write("again.png");
        Bench.HashOf(bench.At("again.png")).ShouldBe(Bench.HashOf(bench.At("two.png")));

        // By a link it is the same garment, and the others see what is used.
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        File.Move(bench.At("tee.json"), bench.At("shared.json"));
        File.CreateSymbolicLink(bench.At("tee.json"), bench.At("shared.json"));
        Write("linked.png");
        JsonNode.Parse(File.ReadAllText(bench.At("shared.json")))!["used"]!.AsArray().Count.ShouldBe(3);
    }

    [Fact]
    public void Without_room_a_chosen_setup_or_a_sound_request_nothing_is_written()
    {
        bench.Write("tee.json", """
            { "schema": 1, "kind": "test-garment", "name": "tee", "platen": [14, 16], "pretreated": [0, 0, 4.9, 3], "used": [ { "place": [0, 0, 3, 3] } ] }
            """);
        bench.Draw("logo.png", 100, 100, (_, _) => Ink, 72);
        bench.Draw("bare.png", 100, 100, (_, _) => Rgba8.White);
        string small = bench.Write("small.json", """{ "name": "small", "platen": { "width": 10, "height": 12 } }""");
        var sail = Sail();
        var request = new GangRequest([sail], bench.At("tests.png"), bench.At("tee.json"));
        var before = bench.Snapshot();
        (GangRequest Request, Code Code)[] refused =
        [
            (request, Codes.NoRoom),
            (request with { Tests = [sail, Wanted("logo.png")] }, Codes.BadGang),
            (request with { Tests = [Wanted("bare.png")] }, Codes.BadGang),
            (request with { Tests = [sail with { Box = "0px,0px,50px,50px" }] }, Codes.BadGang),
            (request with { Tests = [sail with { Box = "500px,0px,200px,50px" }] }, Codes.BadGang),
            (request with { Tests = [sail with { Box = "large" }] }, Codes.BadGang),
            (request with { Tests = [.. Enumerable.Repeat(sail, 101)] }, Codes.BadGang),
            (request with { Margin = "0.1in" }, Codes.BadGang),
            (request with { Path = bench.At("sail.png"), Force = true }, Codes.OutputExists),
            (request with { Path = bench.At("tests.tif") }, Codes.BadUsage),
            (request with { GarmentPath = bench.At("tee.txt") }, Codes.BadUsage),
            (request with { Tests = [Wanted("sail.png", null)] }, Codes.NoSetupChosen),
            (request with { Tests = [Wanted("sail.png", small)] }, Codes.BadTestGarment),
        ];
        refused.Select(one => Bench.Refused(() => Gang.Write(bench.Shop, one.Request)).Code).ShouldBe(refused.Select(one => one.Code));
        bench.Snapshot().ShouldBe(before);

        // 4.9 in less the margin, from 3 in and the margin on, are 0.9 in for a test of 1 in; with a margin of 0.25 in they are 1.4.
        Gang.Write(bench.Shop, request with { Margin = "0.25in" }).Margin.ShouldBe(0.25);
    }

    [Fact]
    public void The_underbase_of_the_file_comes_along()
    {
        const string setup = "black-garment-opaque-white";
        string beak = bench.Draw("beak.png", 300, 300, (x, y) => x is >= 100 and < 200 && y is >= 100 and < 200 ? Ink : default);
        bench.Commit("white-underbase", beak, setup, "choke=0px");
        var ganged = Gang.Write(bench.Shop, new GangRequest([Wanted("beak.png", setup)], bench.At("tests.png"), bench.At("tee.json")));
        string file = ganged.Planes.ShouldHaveSingleItem().Path;
        file.ShouldBe(bench.At("tests-underbase.png"));
        Plane<Rgba8> plane = bench.Read(file, setup).Flat, art = bench.Read(bench.At("tests.png"), setup).Flat;
        // Under every pixel that prints, letters included, lies a solid: the color is saturated and the cloth dark.
        var pixels = Bench.Pixels(art).Zip(Bench.Pixels(plane), (color, white) => (Color: color, White: white.R));
        pixels.Count(pixel => pixel.White != (pixel.Color.IsTransparent ? 0 : 255)).ShouldBe(0);
        pixels.Count(pixel => pixel.Color == Ink).ShouldBe(100 * 100);
        pixels.Count(pixel => pixel.Color == new Rgba8(254, 254, 254)).ShouldBeGreaterThan(0);
    }

    private TestWanted Wanted(string name, string? setup = Bench.Light) => new(new ArtReference(bench.At(name)) { Setup = setup });

    private TestWanted Sail() => Wanted("sail.png");

    private Ganged Write(string name, params TestWanted[] tests) =>
        Gang.Write(bench.Shop, new GangRequest(tests.Length > 0 ? [.. tests] : [Sail()], bench.At(name), bench.At("tee.json")));
}
