using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Hosting.TestPrints;
using Recipes.Imaging;

namespace Recipes.Cli.Commands;

/// <summary><c>gang</c>: several tests with captions on what is free of one test garment.</summary>
internal static class GangCommand
{
    public static Command Create()
    {
        var art = new Argument<string[]>("ART")
        {
            Description = "The pictures; one may be named several times, with a box each", Arity = ArgumentArity.OneOrMore,
        };
        var output = new Option<string>("--output", "-o")
        {
            Description = "The picture of the whole platen to write, as .png", HelpName = "FILE", Required = true,
        };
        var garment = new Option<string?>("--test-garment")
        {
            Description = "The test garment's file, .json, made where there is none [default: FILE.garment.json]", HelpName = "FILE",
        };
        var box = new Option<string[]>("--box")
        {
            Description = "What to print of the art: x,y,w,h with units, or auto; once for all or once for each ART [default: auto]",
            HelpName = "BOX", DefaultValueFactory = _ => [],
        };
        var caption = new Option<string[]>("--caption")
        {
            Description = "What stands below a test, after its ID; once for each ART [default: name and step]",
            HelpName = "TEXT", DefaultValueFactory = _ => [],
        };
        var margin = new Option<string?>("--margin")
        {
            Description = "Stays free towards edges and earlier tests, in mm or in [default: 0.5in, or the setup's safe margin where larger]",
            HelpName = "LENGTH",
        };
        var setup = Options.Setup();
        var original = Options.Original();
        var force = Options.Force();
        var command = new Command("gang", "Packs test prints with captions on the free part of a test garment")
        {
            art, output, garment, box, caption, margin, setup, Options.Garment, original, force,
        };
        return command.With("recipes gang puffin.png puffin-red.png -o tests.png --setup light-garment --test-garment tee-3.json", session =>
        {
            var parse = session.Parse;
            string path = parse.GetRequiredValue(output);
            var asked = session.Art("", setup, original);
            ArtReference[] arts = [.. parse.GetRequiredValue(art).Select(one => asked with { Path = one })];
            var wanted = Wanted(arts, parse.GetValue(box)!, parse.GetValue(caption)!);
            var request = new GangRequest(wanted, path, parse.GetValue(garment) ?? Path.ChangeExtension(path, ".garment.json"))
            {
                Margin = parse.GetValue(margin), Force = parse.GetValue(force),
            };
            return Told(session, request, Gang.Write(session.Shop, request));
        });
    }

    private static ImmutableArray<TestWanted> Wanted(ArtReference[] arts, string[] boxes, string[] captions) =>
        (boxes.Length > 1 && boxes.Length != arts.Length) || (captions.Length > 0 && captions.Length != arts.Length)
            ? throw Gang.Bad($"for {arts.Length} tests there are {boxes.Length} boxes and {captions.Length} captions",
                "Give one --box for all or one for each ART, and one --caption for each ART or none.")
            : [.. arts.Select((art, i) => new TestWanted(art)
            {
                Box = boxes switch { [] => TestWanted.Auto, [var all] => all, _ => boxes[i] },
                Caption = captions.Length > 0 ? captions[i] : null,
            })];

    private static Outcome Told(Session session, GangRequest request, Ganged ganged)
    {
        var (setup, planes) = (ganged.Cut.Setup, ganged.Planes.Select(plane => plane.Path).ToList());
        var fields = new JsonObject
        {
            ["setup"] = SetupJson.ToJson(setup),
            ["ppi"] = ganged.Cut.PixelsPerInch,
            ["margin"] = ganged.Margin,
            ["garment"] = new JsonObject { ["file"] = request.GarmentPath, ["name"] = ganged.Garment.Name, ["used"] = ganged.Garment.Used.Length },
            ["tests"] = new JsonArray([
                .. ganged.Cut.Tests.Zip(ganged.Used, ganged.Places).Select(test => Of(test.First, test.Second.Place, test.Third, setup)),
            ]),
            ["outputs"] = new JsonObject
            {
                ["file"] = request.Path, ["planes"] = new JsonArray([.. planes.Select(path => (JsonNode)path)]), ["garment"] = request.GarmentPath,
            },
            ["milliseconds"] = session.Timings.ToJson(),
        };
        return new Outcome(fields, text =>
        {
            foreach (var (test, used) in ganged.Cut.Tests.Zip(ganged.Used))
            {
                string where = string.Create(CultureInfo.InvariantCulture,
                    $"{used.Place.Left:0.00} in from the left and {used.Place.Top:0.00} in from the top");
                string white = setup.Underbase == Underbase.File && test.Piece.Underbase is null ? "; no underbase, colors lie on bare cloth" : "";
                text.WriteLine($"{test.Id}: {test.State.File.Path}, step {test.State.Step}, box {test.Box} px, {where}{white}.");
                if (test.LeavesOut.Count > 0)
                {
                    text.WriteLine($"  leaves out {string.Join(", ", test.LeavesOut)}");
                }
            }

            text.WriteLine($"Wrote {string.Join(", ", planes.Prepend(request.Path))}, the whole platen of {setup.Name}, "
                + $"and noted the places in {request.GarmentPath}.");
            text.WriteLine("Print it at its own size and don't stack it before it is cured. To take a test back, delete its entry from the garment's file.");
        }) { Problems = ganged.Cut.Warnings };
    }

    private static JsonObject Of(CutTest test, PlatenPlace place, Box at, GarmentSetup setup) => new()
    {
        ["id"] = test.Id,
        ["art"] = ReportJson.Of(test.State.Identity),
        ["step"] = test.State.Step,
        ["box"] = ReportJson.Of(test.Box),
        ["leavesOut"] = new JsonArray([.. test.LeavesOut.Select(name => (JsonNode?)name)]),
        ["at"] = new JsonArray(at.X, at.Y),
        ["place"] = TestGarment.Of(place),
        ["caption"] = string.Join(' ', test.Piece.Caption),
        ["underbase"] = setup.Underbase == Underbase.Machine ? "machine" : test.Piece.Underbase is null ? "none" : "file",
    };
}
