using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Words;

namespace Recipes.Cli.Commands;

/// <summary><c>undo</c>: takes steps back; the file itself was never touched.</summary>
internal static class UndoCommand
{
    public static Command Create()
    {
        var art = Options.Art();
        var setup = Options.Setup();
        var by = Options.By();
        var to = new Option<int?>("--to") { Description = "Go back to this step; 0 is the original", HelpName = "STEP" };
        var command = new Command("undo", "Takes the last step back, or all steps after one") { art, setup, Options.Garment, to, by };
        return command.With("recipes undo puffin.png", session =>
        {
            string path = session.Parse.GetRequiredValue(art);
            return Told(path, MoveSteps.Undo(session.Shop, path, session.SetupName(setup), session.Parse.GetValue(to), session.By(by)));
        });
    }

    /// <summary>What undo and redo answer.</summary>
    public static Outcome Told(string artPath, StepsMoved moved)
    {
        var (from, to, outdated) = moved.Move;
        var fields = new JsonObject
        {
            ["setup"] = new JsonObject { ["name"] = moved.Setup },
            ["from"] = from,
            ["step"] = to,
            ["outdated"] = new JsonArray([.. outdated.Select(export => (JsonNode?)export.Path)]),
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"{artPath} is at step {to} now{(to == 0 ? ", the original" : "")} (it was at step {from}), setup {moved.Setup}.");
            foreach (var export in outdated)
            {
                text.WriteLine($"  outdated: {export.Path} was exported from step {export.Step}");
            }

            Elsewhere(text, moved.Elsewhere);
        })
        {
            Problems = [.. Session.Warnings(moved.Unnoted)],
        };
    }

    /// <summary>Where steps are kept under other setups.</summary>
    public static void Elsewhere(TextWriter text, IEnumerable<(string Setup, int Step)> lines)
    {
        foreach (var (setup, step) in lines)
        {
            text.WriteLine($"  kept under another setup: step {step} under {setup}; --setup {ShellWord.Of(setup)} goes on there");
        }
    }
}
