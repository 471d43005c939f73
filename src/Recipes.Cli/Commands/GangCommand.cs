using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Exports;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Hosting.TestPrints;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>gang</c>: several tests with captions on what is free of one test garment.</summary>
internal static class GangCommand
{
    private const int MostTests = 100, LongestCaption = 60;

    // A garment never lies twice in the same place; common practice, no source.
    private const double LoadingMargin = 0.5;

    // The largest side of a test that needs no smaller box, inches.
    private const double Small = 2;

    private sealed record Test(string Id, ArtState State, Box Box, GangedTest Piece, IReadOnlyList<string> LeavesOut);

    public static Command Create()
    {
        var art = new Argument<string[]>("ART") { Description = "The pictures; one may be named several times, with a box each", Arity = ArgumentArity.OneOrMore };
        var output = new Option<string>("--output", "-o") { Description = "The picture of the whole platen to write, as .png", HelpName = "FILE", Required = true };
        var garment = new Option<string?>("--test-garment") { Description = "The test garment's file, .json, made where there is none [default: FILE.garment.json]", HelpName = "FILE" };
        var box = new Option<string[]>("--box") { Description = "What to print of the art: x,y,w,h with units, or auto; once for all or once for each ART [default: auto]", HelpName = "BOX", DefaultValueFactory = _ => [] };
        var caption = new Option<string[]>("--caption") { Description = "What stands below a test, after its ID; once for each ART [default: name and step]", HelpName = "TEXT", DefaultValueFactory = _ => [] };
        var margin = new Option<string?>("--margin") { Description = "Stays free towards edges and earlier tests, in mm or in [default: 0.5in, or the setup's safe margin where larger]", HelpName = "LENGTH" };
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
            return Run(session, parse.GetRequiredValue(art), path, parse.GetValue(garment), parse.GetValue(box)!, parse.GetValue(caption)!, parse.GetValue(margin),
                session.Setup(setup), parse.GetValue(original), parse.GetValue(force));
        });
    }

    private static Outcome Run(
        Session session, string[] arts, string path, string? garmentOption, string[] boxes, string[] captions, string? marginText, string? setupOption, bool original, bool force)
    {
        if (!path.EndsWith(".png", StringComparison.OrdinalIgnoreCase))
        {
            throw new ProblemException(Codes.BadUsage, $"'{CleanText.Line(path, 120)}' is not a .png file name; gang writes .png.", "Name the output with .png.");
        }

        string garmentPath = garmentOption ?? path[..^4] + ".garment.json";
        if (!garmentPath.EndsWith(".json", StringComparison.OrdinalIgnoreCase))
        {
            throw new ProblemException(Codes.BadUsage, $"'{CleanText.Line(garmentPath, 120)}' is not a .json file name; a test garment is a .json file.", "Name it with .json.");
        }

        if (arts.Length > MostTests)
        {
            throw Bad($"{arts.Length} tests are more than {MostTests}", "Gang fewer at once.");
        }

        if ((boxes.Length > 1 && boxes.Length != arts.Length) || (captions.Length > 0 && captions.Length != arts.Length))
        {
            throw Bad($"for {arts.Length} tests there are {boxes.Length} boxes and {captions.Length} captions", "Give one --box for all or one for each ART, and one --caption for each ART or none.");
        }

        AtomicFile.RefuseOriginal(path, arts);
        AtomicFile.RefuseOriginal(garmentPath, arts);
        if (!force && File.Exists(path))
        {
            throw AtomicFile.Exists(path);
        }

        // What a link leads to is what others read; a file in the link's place would let them print on used places.
        string garmentFile = RealPath.Of(garmentPath);
        using var hold = TestGarment.Hold(garmentFile);
        var garment = TestGarment.Read(garmentPath);
        var (setup, ppi, tests, problems) = Cut(session, arts, boxes, captions, setupOption, original, chosen => garment ??= TestGarment.Fresh(garmentPath, chosen));
        if (Math.Abs(garment!.PlatenWidth - setup.PlatenWidth) > 1e-6 || Math.Abs(garment.PlatenHeight - setup.PlatenHeight) > 1e-6)
        {
            throw new ProblemException(Codes.BadTestGarment,
                string.Create(CultureInfo.InvariantCulture, $"The test garment lies on a platen of {garment.PlatenWidth} x {garment.PlatenHeight} in, the setup's has {setup.PlatenWidth} x {setup.PlatenHeight} in."),
                "Choose the setup with that platen, or another test garment.", new Place(garmentPath));
        }

        if (garment.Used.Length + tests.Count > TestGarment.MostUsed)
        {
            throw NoRoom(garmentPath, $"it would hold more than {TestGarment.MostUsed} of them");
        }

        var platen = setup.PlatenAt(ppi);
        if (platen.Width > Artwork.LargestSide || platen.Height > Artwork.LargestSide || (long)platen.Width * platen.Height > Artwork.MostPixels)
        {
            throw Bad("the platen is too large at this resolution for one picture", "Use art of less resolution.");
        }

        double margin = Margin(marginText, setup);
        var area = new PlatenPlace(0, 0, setup.PlatenWidth, setup.PlatenHeight).Inside(ppi, margin).Within(platen);
        area = garment.Pretreated is { } pretreated ? area.Within(pretreated.Inside(ppi, margin)) : area;
        var sheet = GangSheet.LayOut(setup, ppi, [.. tests.Select(test => test.Piece)], area, [.. garment.Used.Select(used => used.Place.Outside(ppi, margin))])
            ?? throw NoRoom(garmentPath, string.Create(CultureInfo.InvariantCulture, $"{tests.Count} tests with their captions don't fit on what is free of it, {margin:0.###} in away from edges and earlier tests"));

        var used = tests.Zip(sheet.Places, (test, place) => new UsedPlace(PlatenPlace.Around(place, ppi), test.Id, CleanText.Line(
            $"{Path.GetFileName(test.State.File.Path)}, step {test.State.Step}, box {test.Box}, setup {setup.Name}", 190))).ToList();
        var after = garment with { Used = [.. garment.Used, .. used] };
        var art = session.Progress.During("Drawing the tests", () => session.Timings.Measure("draw", sheet.Draw));
        var planes = SeparationFiles.Of(art, path);
        foreach (var plane in planes)
        {
            AtomicFile.RefuseOriginal(plane.Path, arts);
            if (!force && File.Exists(plane.Path))
            {
                throw AtomicFile.Exists(plane.Path);
            }
        }

        session.Cancel.ThrowIfCancellationRequested();
        PngText[] says =
        [
            new PngText("Comment", CleanText.Line($"Test prints {string.Join(", ", tests.Select(test => test.Id))}; setup {setup.Name}", 1000)),
            new PngText(PngText.Provenance, TestSheet.Gang.ToJson(setup.Name, tests.Select(test => test.Id))),
        ];
        session.Progress.During("Writing the picture", () => session.Timings.Measure("encode", () =>
        {
            // The garment's first: were the machine to stop between two of them, a place would stay unused, never be used twice.
            AtomicFile.WriteAll(
            [
                (garmentFile, after.Write, true),
                .. planes.Select(plane => (plane.Path, (Action<Stream>)(stream => PngWriter.Write(stream, plane.Ink, ppi, says)), force)),
                (path, stream => PngWriter.Write(stream, art.Flat, ppi, says), force),
            ]);
            return true;
        }));

        var fields = new JsonObject
        {
            ["setup"] = SetupJson.ToJson(setup),
            ["ppi"] = ppi,
            ["margin"] = margin,
            ["garment"] = new JsonObject { ["file"] = garmentPath, ["name"] = after.Name, ["used"] = after.Used.Length },
            ["tests"] = new JsonArray([.. tests.Zip(used, sheet.Places).Select(item => new JsonObject
            {
                ["id"] = item.First.Id,
                ["art"] = ReportJson.Of(item.First.State.Identity),
                ["step"] = item.First.State.Step,
                ["box"] = ReportJson.Of(item.First.Box),
                ["leavesOut"] = new JsonArray([.. item.First.LeavesOut.Select(name => (JsonNode?)name)]),
                ["at"] = new JsonArray(item.Third.X, item.Third.Y),
                ["place"] = TestGarment.Of(item.Second.Place),
                ["caption"] = string.Join(' ', item.First.Piece.Caption),
                ["underbase"] = setup.Underbase == Underbase.Machine ? "machine" : item.First.Piece.Underbase is null ? "none" : "file",
            })]),
            ["outputs"] = new JsonObject { ["file"] = path, ["planes"] = new JsonArray([.. planes.Select(plane => (JsonNode)plane.Path)]), ["garment"] = garmentPath },
            ["milliseconds"] = session.Timings.ToJson(),
        };
        return new Outcome(fields, text =>
        {
            foreach (var (test, place) in tests.Zip(used))
            {
                text.WriteLine(string.Create(CultureInfo.InvariantCulture,
                    $"{test.Id}: {test.State.File.Path}, step {test.State.Step}, box {test.Box} px, {place.Place.Left:0.00} in from the left and {place.Place.Top:0.00} in from the top{(setup.Underbase == Underbase.File && test.Piece.Underbase is null ? "; no underbase, colors lie on bare cloth" : "")}."));
                if (test.LeavesOut.Count > 0)
                {
                    text.WriteLine($"  leaves out {string.Join(", ", test.LeavesOut)}");
                }
            }

            text.WriteLine($"Wrote {string.Join(", ", planes.Select(plane => plane.Path).Prepend(path))}, the whole platen of {setup.Name}, and noted the places in {garmentPath}.");
            text.WriteLine("Print it at its own size and don't stack it before it is cured. To take a test back, delete its entry from the garment's file.");
        }) { Problems = problems };
    }

    // Only the crops stay in memory.
    private static (GarmentSetup Setup, double PixelsPerInch, List<Test> Tests, List<Problem> Problems) Cut(
        Session session, string[] arts, string[] boxes, string[] captions, string? setupOption, bool original, Func<GarmentSetup, TestGarment> garmentFor)
    {
        List<Test> tests = [];
        List<Problem> problems = [];
        // Variants of one art are compared, so a box that was found in the first is theirs, too.
        var found = new Dictionary<(int Width, int Height), Box>();
        (GarmentSetup Setup, double PixelsPerInch)? common = null;
        for (int i = 0; i < arts.Length; i++)
        {
            session.Cancel.ThrowIfCancellationRequested();
            var file = session.Shop.ReadArt(arts[i]);
            using var work = session.Shop.OpenWork(arts[i]);
            var chosen = ChosenSetup.Find(setupOption, work).Required();
            var state = session.Shop.FindState(file, work, chosen, original, WorkerPool.Usual);
            double ppi = chosen.Setup.ResolutionFor(state.Art);
            common ??= (chosen.Setup, ppi);
            if (SetupJson.Text(common.Value.Setup) != SetupJson.Text(chosen.Setup))
            {
                throw Bad($"{arts[0]} was last worked on under {common.Value.Setup.Name}, {arts[i]} under {chosen.Setup.Name}", "Name one with --setup.", arts[i]);
            }

            if (Math.Abs(common.Value.PixelsPerInch - ppi) > 0.01)
            {
                throw Bad(string.Create(CultureInfo.InvariantCulture, $"{arts[0]} has {common.Value.PixelsPerInch:0.##} pixels per inch, {arts[i]} {ppi:0.##}, and a test resamples nothing"),
                    "Run fit-to-platen on them first.", arts[i]);
            }

            var garment = garmentFor(chosen.Setup);
            string asked = boxes switch { [] => "auto", [var all] => all, _ => boxes[i] };
            var box = asked != "auto" ? Given(asked, state.Art, ppi, arts[i])
                : found.TryGetValue((state.Art.Width, state.Art.Height), out var known) ? known
                : session.Progress.During("Looking for what to test", () => session.Timings.Measure("find", () => Auto(state.Art.Flat, chosen.Setup.Ink, ppi)))
                    ?? throw Bad($"nothing of {arts[i]} prints", "Leave it out.", arts[i]);
            if (asked == "auto")
            {
                found.TryAdd((state.Art.Width, state.Art.Height), box);
            }

            var pixels = Crop.Of(state.Art.Flat, box);
            if (InkCount.Of(pixels, chosen.Setup.Ink).Prints == 0)
            {
                throw Bad($"nothing of {arts[i]} prints in the box {box} px", "Name another --box.", arts[i]);
            }

            string id = string.Create(CultureInfo.InvariantCulture, $"{garment.Name}-{garment.Next + i}");
            string caption = CleanText.Line(captions.Length > 0 ? captions[i]
                : string.Create(CultureInfo.InvariantCulture, $"{Path.GetFileNameWithoutExtension(arts[i])}{(state.Step > 0 ? $" step {state.Step}" : "")}"), LongestCaption);
            bool byFile = chosen.Setup.Underbase == Underbase.File;
            var piece = new GangedTest(
                pixels, byFile && state.Art.Underbase is { } first ? Crop.Of(first, box) : null, byFile && state.Art.SecondPass is { } second ? Crop.Of(second, box) : null,
                caption.Length == 0 ? [id] : [id, caption]);
            problems.AddRange(byFile ? SeparationFiles.Warning(state.Art) : []);
            // What a test doesn't show isn't tested, and nobody should think so.
            var judged = session.Timings.Measure("find", () => TestBox.At(state.Art.Flat, chosen.Setup.Ink, ppi, box));
            tests.Add(new Test(id, state with { Art = Artwork.FromPixels(pixels), Work = null }, box, piece, judged?.LeavesOut ?? []));
        }

        return (common!.Value.Setup, common.Value.PixelsPerInch, tests, problems);
    }

    private static Box? Auto(Plane<Rgba8> flat, InkRules rules, double ppi)
    {
        var ink = Find.Where(flat, pixel => rules.StateOf(pixel) == InkState.Prints).Bounds;
        return ink is { } all && Math.Max(all.Width, all.Height) <= Small * ppi ? all : TestBox.Smallest(flat, rules, ppi)?.Area;
    }

    private static Box Given(string text, Artwork art, double ppi, string path)
    {
        var box = Measure.Box(text, ppi) ?? throw Bad($"--box takes x,y,w,h with units, or auto, not '{CleanText.Line(text, 60)}'", "Write --box 1in,1in,2in,2in, for instance.");
        return box.Within(new Box(0, 0, art.Width, art.Height)) == box ? box
            : throw Bad($"the box {box} px doesn't lie inside {path}, {art.Width} x {art.Height} px", "Name a box inside of it.", path);
    }

    private static double Margin(string? text, GarmentSetup setup)
    {
        if (text is null)
        {
            return Math.Max(LoadingMargin, setup.SafeMargin);
        }

        // At one px to the inch a length is inches.
        double? inches = text.EndsWith("px", StringComparison.Ordinal) ? null : Measure.Length(text, 1);
        return inches is { } margin && margin >= setup.SafeMargin && margin <= 10 ? margin
            : throw Bad(string.Create(CultureInfo.InvariantCulture, $"--margin takes mm or in, from the setup's safe margin of {setup.SafeMargin:0.###} in to 10 in, not '{CleanText.Line(text, 40)}'"), "Write --margin 0.5in, for instance.");
    }

    private static ProblemException NoRoom(string path, string why) => new(Codes.NoRoom, $"The tests don't fit on the test garment: {why}.",
        "Gang fewer tests, make their boxes smaller with --box, or begin another test garment with --test-garment.", new Place(path));

    private static ProblemException Bad(string what, string hint, string? file = null) => new(Codes.BadGang, $"The tests can't be ganged: {what}.", hint, file is null ? null : new Place(file));
}
