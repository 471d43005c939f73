using Recipes.Api;
using Recipes.Checking;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Worker;

/// <summary>Runs one recipe on one art.</summary>
internal static class RunJob
{
    public static void Do(Request from, Stream output)
    {
        var request = Message.Read<RunRequest>(from.Stream);
        byte[] assembly = Frame.Read(from.Stream, Frame.Bytes, MetadataCheck.LargestAssembly);
        var before = PatchFrame.Read(from.Art, 0, null, inPlace: true).ApplyTo(null).WithGround(request.Ground);
        from.HasBeenRead();
        var run = new RecipeRun(before, request.Setup, request.Values);
        try
        {
            // The host checked these bytes; checking again costs little and trusts nobody.
            var problems = MetadataCheck.Check(assembly, CompileRequest.RecipeFile, out var recipe);
            if (recipe is null)
            {
                throw new ProblemException(problems);
            }

            World.Begin(run);
            RecipeLoader.Run(recipe, from.HasBeenLoaded);
        }
        catch (ProblemException e)
        {
            Message.Write(output, Failed(e));
            return;
        }

        Reply(output, before, run);
    }

    /// <summary>
    /// Does what every run does, on a small art and with nobody's recipe, so that what is loaded and compiled for it isn't while somebody waits.
    /// </summary>
    public static void Rehearse()
    {
        var tile = new Rgba8[TileGrid.Side * TileGrid.Side];
        tile.AsSpan().Fill(Rgba8.Black);
        tile.AsSpan(TileGrid.Side + 1, 8).Fill(Rgba8.White);
        using var wire = new MemoryStream();
        PatchFrame.Write(wire, ArtworkPatch.Between(null, Artwork.FromPixels(Plane<Rgba8>.FromContiguous(TileGrid.Side, TileGrid.Side, tile), null)));
        wire.Position = 0;
        var before = PatchFrame.Read(wire, 0, null).ApplyTo(null);
        // Judged like a recipe, and refused for all that a recipe may not do.
        MetadataCheck.Check(File.ReadAllBytes(typeof(Problem).Assembly.Location), "", out _);
        var run = new RecipeRun(before, new GarmentSetup { Name = "rehearsal", PlatenWidth = 14, PlatenHeight = 16 }, new Dictionary<string, string>());
        var islands = run.Art.Find.PureWhite().Enclosed().Islands();
        var chosen = islands.Pick(_ => true);
        run.Reporter.Regions("rehearsal", islands, chosen);
        run.Art.MakePrintable(chosen, "rehearsal");
        Reply(wire, before, run);
    }

    private static void Reply(Stream output, Artwork before, RecipeRun run)
    {
        var declared = run.Art.Declared;
        Message.Write(output, new RunReply(
            [],
            [.. run.Reporter.Notes],
            [.. run.Reporter.RegionLists.Select(list => new RegionListMessage(list.Title,
                [.. list.Regions.Select(region => new RegionMessage(region.Number, region.Box, region.Pixels, region.Chosen, region.Class))]))],
            [.. run.Reporter.ColorLists.Select(list => new ColorListMessage(list.Title,
                [.. list.Colors.Select(color => new ColorMessage(color.Color.ToString(), color.Pixels))], list.Others))],
            [.. run.Reporter.Questions.Select(asked => new QuestionMessage(asked.Code, asked.Message,
                [.. asked.Regions.Select(region => new RegionMessage(region.Number, region.Bounds, region.Count, false, region.Class))], asked.Proposal,
                    asked.Answer, asked.Decided))],
            declared.Printable is not null,
            declared.Bare is not null,
            declared.DroppedBlack is not null,
            declared.PrintedBlack is not null,
            declared.SizeChange,
            declared.SizeChange ? run.Art.Artwork.Ground.Edge : null,
            declared.SizeChange ? run.Art.Artwork.Ground.Scale : null,
            declared.SizeChange ? run.Art.Artwork.Ground.Whole : null));
        PatchFrame.Write(output, ArtworkPatch.Between(before, run.Art.Artwork));
        foreach (var coverage in new[] { declared.Printable, declared.Bare, declared.DroppedBlack, declared.PrintedBlack })
        {
            if (coverage is not null)
            {
                PatchFrame.Write(output, coverage);
            }
        }
    }

    private static RunReply Failed(ProblemException e) =>
        new([.. e.Problems.Select(Program.Tell)], [], [], [], [], false, false, false, false);
}
