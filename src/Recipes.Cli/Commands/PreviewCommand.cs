using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Exports;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>preview</c>: what the garment will show, simulated.</summary>
internal static class PreviewCommand
{
    public static Command Create()
    {
        var art = Options.Art();
        var output = new Option<string>("--output", "-o") { Description = "The file to write, as .png", HelpName = "FILE", Required = true };
        var garment = new Option<string?>("--garment")
        {
            Description = "Another garment color, or a garment from the shop's stock", HelpName = "#rrggbb|NAME", CompletionSources = { Names.Garments },
        };
        var mark = new Option<bool>("--mark-bare") { Description = "Mark what stays bare with a weave" };
        var approval = new Option<bool>("--for-approval")
        {
            Description = "A picture to send for the customer's yes: it says which art, size, garment and file",
        };
        var field = Options.Field();
        var setup = Options.Setup();
        var original = Options.Original();
        var force = Options.Force();
        var command = new Command("preview", "Simulates what the garment will show") { art, output, garment, mark, approval, field, setup, original, force };
        return command.With("recipes preview puffin.png -o puffin-preview.png --setup black-garment", session =>
        {
            var parse = session.Parse;
            string path = parse.GetRequiredValue(output), artPath = parse.GetRequiredValue(art);
            if (!path.EndsWith(".png", StringComparison.OrdinalIgnoreCase))
            {
                throw new ProblemException(
                    Codes.BadUsage, $"'{CleanText.Line(path, 120)}' is not a .png file name; preview writes .png.", "Name the output with .png.");
            }

            var fields = TicketField.Read(parse.GetValue(field)!);
            if (!fields.IsEmpty && !parse.GetValue(approval))
            {
                throw new ProblemException(Codes.BadUsage, "'--field' stands on the picture for the customer's yes.", "Add --for-approval, or leave it out.");
            }

            var request = On(parse.GetValue(garment),
                new PreviewRequest(new ArtReference(artPath) { Setup = parse.GetValue(setup), Original = parse.GetValue(original) }, path)
                {
                    Force = parse.GetValue(force), MarkBare = parse.GetValue(mark), ForApproval = parse.GetValue(approval), Fields = fields,
                });
            return Preview.Draw(session.Shop, request, preview => Told(session, artPath, path, preview));
        });
    }

    // A color, or a garment from the stock, which chooses the setup.
    private static PreviewRequest On(string? garment, PreviewRequest request)
    {
        if (garment is null)
        {
            return request;
        }

        if (Rgba8.TryParse(garment, out var cloth))
        {
            return request with { Cloth = cloth };
        }

        if (garment.StartsWith('#'))
        {
            throw new ProblemException(Codes.BadUsage, $"'{CleanText.Line(garment, 40)}' is not a color.", "Write it as #rrggbb, such as #1f2a44.");
        }

        return request.Art.Setup is null ? request with { Art = request.Art with { Setup = GarmentStock.Find(garment).Name } }
            : throw new ProblemException(Codes.BadUsage, "A garment from the stock chooses the setup; give it or '--setup', not both.",
                "Give a color to see the setup on another cloth.");
    }

    private static Outcome Told(Session session, string artPath, string path, Preview preview)
    {
        var (state, setup, sheet) = (preview.State, preview.Setup, preview.Sheet);
        var fields = new JsonObject
        {
            ["art"] = ReportJson.Of(state.Identity),
            ["setup"] = new JsonObject { ["name"] = setup.Name },
            ["setupIsFallback"] = state.SetupIsFallback,
            ["step"] = state.Step,
            ["garment"] = setup.Garment.ToString(),
            ["underbase"] = preview.White,
            ["simulation"] = Preview.Caution,
            ["approval"] = sheet?.ToJson(),
            ["outputs"] = new JsonObject { ["file"] = path },
            ["milliseconds"] = session.Timings.ToJson(),
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"Wrote {path}: step {state.Step} of {artPath}, setup {setup.Name}, garment {setup.Garment}, {preview.White}.");
            foreach (var line in sheet?.Told ?? [])
            {
                text.WriteLine($"  {line.Label,-8}  {line.Text}");
            }

            text.WriteLine(Preview.Caution);
        })
        {
            Problems = [.. RunProblems.Fallback(state), .. setup.Underbase == Underbase.File ? SeparationFiles.Warning(state.Art) : []],
        };
    }
}
