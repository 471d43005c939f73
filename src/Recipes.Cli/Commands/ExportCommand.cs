using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Exports;
using Recipes.Hosting.Reports;

namespace Recipes.Cli.Commands;

/// <summary><c>export</c>: the current state, flat or with its layers, with its provenance inside.</summary>
internal static class ExportCommand
{
    public static Command Create()
    {
        var art = Options.Art();
        var output = new Option<string>("--output", "-o")
        {
            Description = "The file to write: .png or .tif flat, .ora with its layers", HelpName = "FILE", Required = true,
        };
        var setup = Options.Setup();
        var original = Options.Original();
        var force = Options.Force();
        var by = Options.By();
        var command = new Command("export", "Writes the current state, flat as .png or .tif or with its layers as .ora, with step, setup and hashes in it")
        {
            art, output, setup, Options.Garment, original, force, by,
        };
        return command.With("recipes export puffin.png -o puffin-print.png", session =>
        {
            var parse = session.Parse;
            var request = new ExportRequest(session.Art(parse.GetRequiredValue(art), setup, original), parse.GetRequiredValue(output))
            {
                Force = parse.GetValue(force), By = session.By(by),
            };
            return Export.Write(session.Shop, request, exported => Told(session, request, exported).TellFirst(exported.State));
        });
    }

    private static Outcome Told(Session session, ExportRequest request, Exported exported)
    {
        var (state, path) = (exported.State, request.Path);
        var fields = new JsonObject
        {
            ["art"] = ReportJson.Of(state.Identity),
            ["setup"] = new JsonObject { ["name"] = state.Setup.Name },
            ["step"] = state.Step,
            ["effectivePpi"] = Math.Round(ResolutionInWords.Effective(state.Art, state.Setup), 2),
            ["outputs"] = new JsonObject { ["file"] = path, ["planes"] = new JsonArray([.. exported.Planes.Select(plane => (JsonNode)plane.Path)]) },
            ["sha256"] = exported.Sha256,
            ["milliseconds"] = session.Timings.ToJson(),
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"Wrote {path}: step {state.Step}{(state.Step == 0 ? ", the original," : "")} of {request.Art.Path}, setup {state.Setup.Name}, "
                + $"{ResolutionInWords.Effective(state)}.");
            UndoCommand.Elsewhere(text, exported.Elsewhere);
            foreach (string note in state.Identity.Notes)
            {
                text.WriteLine($"  original: {note}");
            }

            foreach (var plane in exported.Planes)
            {
                text.WriteLine($"Wrote {plane.Path}: white ink, white is a solid.");
            }
        })
        {
            Problems = exported.Warnings,
        };
    }
}
