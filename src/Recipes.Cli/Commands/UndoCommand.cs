using System.Collections.Immutable;
using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Journals;
using Recipes.Problems;
using Recipes.Work;

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
        return command.With("recipes undo puffin.png", session => StepMove.Do(
            session, session.Parse.GetRequiredValue(art), session.SetupName(setup), Codes.NothingToUndo, "There is nothing to undo.",
            JournalAct.Undo, session.By(by), (work, line) => work.Undo(line, session.Parse.GetValue(to))));
    }
}

/// <summary><c>redo</c>: does an undone step again.</summary>
internal static class RedoCommand
{
    public static Command Create()
    {
        var art = Options.Art();
        var setup = Options.Setup();
        var by = Options.By();
        var command = new Command("redo", "Does the step again that was undone last") { art, setup, Options.Garment, by };
        return command.With("recipes redo puffin.png", session => StepMove.Do(
            session, session.Parse.GetRequiredValue(art), session.SetupName(setup), Codes.NothingToRedo, "There is nothing to redo.",
            JournalAct.Redo, session.By(by), (work, line) => work.Redo(line)));
    }
}

/// <summary>What undo and redo share: one transaction, and the exported files that it outdates.</summary>
internal static class StepMove
{
    public static Outcome Do(Session session, string artPath, string? setupOption, Code nothing, string message,
        JournalAct act, string? by, Func<WorkFile, string, HeadMove> move)
    {
        // The file is hashed while SQLite looks its own over.
        var reading = File.Exists(artPath) ? Task.Run(() => session.ReadArt(artPath)) : null;
        using var work = session.NeedWork(artPath, forWriting: true, nothing, message);
        if (reading is not null && reading.GetAwaiter().GetResult().Sha256 != work.Original.Sha256)
        {
            throw new ProblemException(Codes.ArtChanged, $"{artPath} is no longer the file that the work began with.",
                "Put the earlier file back, or move the work file away to start anew.", new Place(artPath));
        }

        string setup = ChosenSetup.NameIn(work, setupOption);
        var moved = move(work, setup);
        var unnoted = Journal.Note(new JournalEntry
        {
            At = session.Now,
            Act = act,
            By = by,
            Recipes = Between(work.Line(setup), moved),
            Art = new JournalFile(JournalFile.NameOf(artPath), work.Original.Sha256),
            Setup = setup,
            Step = moved.To,
        });
        var elsewhere = KeptSteps.Elsewhere(work, setup, moved.To);
        var fields = new JsonObject
        {
            ["setup"] = new JsonObject { ["name"] = setup },
            ["from"] = moved.From,
            ["step"] = moved.To,
            ["outdated"] = new JsonArray([.. moved.Outdated.Select(export => (JsonNode?)export.Path)]),
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"{artPath} is at step {moved.To} now{(moved.To == 0 ? ", the original" : "")} (it was at step {moved.From}), setup {setup}.");
            foreach (var export in moved.Outdated)
            {
                text.WriteLine($"  outdated: {export.Path} was exported from step {export.Step}");
            }

            foreach (string line in elsewhere)
            {
                text.WriteLine(line);
            }
        })
        {
            Problems = [.. Session.Warnings(unnoted)],
        };
    }

    // The recipes of the steps between, first the one that was taken back or done again first.
    private static ImmutableArray<string> Between(WorkLine line, HeadMove moved)
    {
        var names = ImmutableArray.CreateBuilder<string>();
        for (int n = Math.Max(moved.From, moved.To); n > Math.Min(moved.From, moved.To); n = line.Steps[n - 1].Parent)
        {
            names.Add(line.Steps[n - 1].Record.Recipe);
        }

        return names.ToImmutable();
    }
}
