using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Imaging.Pictures;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Cli.Commands;

/// <summary><c>preview</c>: what the garment will show, simulated.</summary>
internal static class PreviewCommand
{
    private const string Caution = "A simulation on a screen, not a proof: a cured print decides.";

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
        var setup = Options.Setup();
        var original = Options.Original();
        var force = Options.Force();
        var command = new Command("preview", "Simulates what the garment will show") { art, output, garment, mark, approval, setup, original, force };
        return command.With("recipes preview puffin.png -o puffin-preview.png --setup black-garment", session => Run(
            session, session.Parse.GetRequiredValue(art), session.Parse.GetRequiredValue(output),
            new Choices(session.Parse.GetValue(garment), session.Parse.GetValue(mark), session.Parse.GetValue(approval), session.Parse.GetValue(setup),
                session.Parse.GetValue(original), session.Parse.GetValue(force))));
    }

    private sealed record Choices(string? Garment, bool Mark, bool Approval, string? Setup, bool Original, bool Force);

    private static Outcome Run(Session session, string artPath, string path, Choices choices)
    {
        var (garment, mark, forApproval, setupOption, original, force) = choices;
        if (!path.EndsWith(".png", StringComparison.OrdinalIgnoreCase))
        {
            throw new ProblemException(Codes.BadUsage, $"'{CleanText.Line(path, 120)}' is not a .png file name; preview writes .png.", "Name the output with .png.");
        }

        bool isColor = Rgba8.TryParse(garment, out var cloth);
        if (garment is not null && !isColor)
        {
            setupOption = garment.StartsWith('#')
                ? throw new ProblemException(Codes.BadUsage, $"'{CleanText.Line(garment, 40)}' is not a color.", "Write it as #rrggbb, such as #1f2a44.")
                : setupOption is null ? GarmentStock.Find(garment).Name
                : throw new ProblemException(Codes.BadUsage, "A garment from the stock chooses the setup; give it or '--setup', not both.",
                    "Give a color to see the setup on another cloth.");
        }

        var file = session.Shop.ReadArt(artPath);
        AtomicFile.RefuseOriginal(path, artPath);
        if (!force && File.Exists(path))
        {
            throw AtomicFile.Exists(path);
        }

        using var work = session.Shop.OpenWork(artPath);
        var chosen = ChosenSetup.Find(setupOption, work);
        var state = session.Shop.FindState(file, work, chosen, original, WorkerPool.Usual);
        var setup = !isColor ? chosen.Setup : chosen.Setup with { Garment = cloth };
        bool byFile = setup.Underbase == Underbase.File;
        var picture = session.Progress.During("Drawing the preview", () => session.Timings.Measure("preview", () => PrintPreview.Render(
            state.Art.Flat, setup, state.Art.UnderbaseFor(setup), byFile ? state.Art.SecondPass : null, mark)));
        string white = setup.Underbase == Underbase.None ? "no white ink: colors lie on bare cloth" : !byFile ? "the machine's underbase, estimated"
            : state.Art.Underbase is null ? "no underbase: colors lie on bare cloth" : state.Art.SecondPass is null ? "the file's underbase" : "the file's underbase and second pass";
        var sheet = forApproval ? ApprovalSheet.Of(state, setup) : null;
        picture = sheet?.Draw(picture) ?? picture;
        string says = $"Preview of {Path.GetFileName(artPath)}, step {state.Step}, setup {setup.Name}, garment {setup.Garment}; {white}. {Caution}";
        session.Cancel.ThrowIfCancellationRequested();
        AtomicFile.Write(path, stream => PngWriter.Write(stream, picture, sheet is null ? state.Art.PixelsPerInch : null,
            [new PngText("Comment", CleanText.Line(says, 1000))]), replace: force);
        var fields = new JsonObject
        {
            ["art"] = ReportJson.Of(state.Identity),
            ["setup"] = new JsonObject { ["name"] = setup.Name },
            ["setupIsFallback"] = chosen.IsFallback,
            ["step"] = state.Step,
            ["garment"] = setup.Garment.ToString(),
            ["underbase"] = white,
            ["simulation"] = Caution,
            ["approval"] = sheet?.ToJson(),
            ["outputs"] = new JsonObject { ["file"] = path },
            ["milliseconds"] = session.Timings.ToJson(),
        };
        List<Problem> problems = [.. RunProblems.Fallback(chosen), .. byFile ? SeparationFiles.Warning(state.Art) : []];
        return new Outcome(fields, text =>
        {
            text.WriteLine($"Wrote {path}: step {state.Step} of {artPath}, setup {setup.Name}, garment {setup.Garment}, {white}.");
            foreach (var line in sheet?.Lines ?? [])
            {
                text.WriteLine($"  {line.Label,-8}  {line.Text}");
            }

            text.WriteLine(Caution);
        })
        {
            Problems = problems,
        };
    }
}
