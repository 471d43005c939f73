using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Shops;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Steps;

/// <summary>Where an art's steps went.</summary>
/// <param name="Setup">The setup whose steps they are.</param>
/// <param name="Move">From which step to which, and the exports that it outdated.</param>
public sealed record StepsMoved(string Setup, HeadMove Move)
{
    /// <summary>Where steps are kept under other setups while this one is at the original.</summary>
    public ImmutableArray<(string Setup, int Step)> Elsewhere { get; init; } = [];

    /// <summary>That the journal doesn't know of it, or null.</summary>
    public Problem? Unnoted { get; init; }
}

/// <summary>Undo and redo: one transaction, and the exported files that it outdates. The file itself was never touched.</summary>
public static class MoveSteps
{
    /// <summary>Takes the last step back, or all steps after one.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="artPath">The art.</param>
    /// <param name="setup">The setup's name, or null for the last one used.</param>
    /// <param name="to">The step to go back to, 0 for the original; null takes one back.</param>
    /// <param name="by">Who does it, or null.</param>
    /// <exception cref="ProblemException">R6004 there is nothing to undo; R6008 there is no such step; R6002 the art has changed;
    /// R6003 the work file is in use; R8002 it can't be written.</exception>
    public static StepsMoved Undo(Shop shop, string artPath, string? setup, int? to, string? by) =>
        Do(shop, artPath, setup, new Act(JournalAct.Undo, by, Codes.NothingToUndo, (work, line) => work.Undo(line, to)));

    /// <summary>Does the step again that was undone last.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="artPath">The art.</param>
    /// <param name="setup">The setup's name, or null for the last one used.</param>
    /// <param name="by">Who does it, or null.</param>
    /// <exception cref="ProblemException">R6005 there is nothing to redo; R6002 the art has changed; R6003 the work file is in use;
    /// R8002 it can't be written.</exception>
    public static StepsMoved Redo(Shop shop, string artPath, string? setup, string? by) =>
        Do(shop, artPath, setup, new Act(JournalAct.Redo, by, Codes.NothingToRedo, (work, line) => work.Redo(line)));

    private sealed record Act(JournalAct Name, string? By, Code Nothing, Func<WorkFile, string, HeadMove> Move);

    private static StepsMoved Do(Shop shop, string artPath, string? chosen, Act act)
    {
        ArgumentNullException.ThrowIfNull(shop);
        // The file is hashed while SQLite looks its own over.
        var reading = File.Exists(artPath) ? Task.Run(() => shop.ReadArt(artPath)) : null;
        string nothing = act.Name == JournalAct.Undo ? "There is nothing to undo." : "There is nothing to redo.";
        using var work = shop.NeedWork(artPath, forWriting: true, act.Nothing, nothing);
        if (reading is not null && reading.GetAwaiter().GetResult().Sha256 != work.Original.Sha256)
        {
            throw new ProblemException(Codes.ArtChanged, $"{artPath} is no longer the file that the work began with.",
                "Put the earlier file back, or move the work file away to start anew.", new Place(artPath));
        }

        string setup = ChosenSetup.NameIn(work, chosen);
        var moved = act.Move(work, setup);
        var unnoted = Journal.Note(new JournalEntry
        {
            At = shop.Now,
            Act = act.Name,
            By = act.By,
            Recipes = Between(work.Line(setup), moved),
            Art = new JournalFile(JournalFile.NameOf(artPath), work.Original.Sha256),
            Setup = setup,
            Step = moved.To,
        });
        return new StepsMoved(setup, moved) { Elsewhere = NewSteps.Elsewhere(work, setup, moved.To), Unnoted = unnoted };
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
