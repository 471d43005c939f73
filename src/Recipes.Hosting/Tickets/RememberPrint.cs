using Recipes.Hosting.Arts;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tickets;

/// <summary>How a real print came out.</summary>
/// <param name="IsGood">Whether it was good.</param>
/// <param name="Cause">Why it was bad, or null.</param>
/// <param name="Cost">What a bad one cost, or null.</param>
/// <param name="Note">What was seen on the cured print.</param>
public sealed record PrintSeen(bool IsGood, PrintCause? Cause, PrintCost? Cost, string Note);

/// <summary>A print that was remembered.</summary>
/// <param name="State">What was printed.</param>
/// <param name="Print">What was written down.</param>
/// <param name="WorkPath">The work file.</param>
public sealed record RememberedPrint(ArtState State, PrintRecord Print, string WorkPath)
{
    /// <summary>That the journal doesn't say so, as a warning; else null.</summary>
    public Problem? Unnoted { get; init; }
}

/// <summary>Remembers how a real print of the current step came out, with the setup's lots and chart; makes the work file where there is none.</summary>
public static class RememberPrint
{
    private const int LongestNoted = 200;

    /// <summary>Remembers it.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="art">The art.</param>
    /// <param name="by">Who tells it, or null.</param>
    /// <param name="seen">What was seen.</param>
    /// <exception cref="ProblemException">
    /// R1008 nobody chose the setup; R3 codes the art can't be read; R6003 the work file is in use; R8002 it can't be written.
    /// </exception>
    public static RememberedPrint Of(Shop shop, ArtReference art, string? by, PrintSeen seen)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(seen);
        using var open = OpenArt.Of(shop, art, forWriting: true, toWrite: true);
        var state = open.State(shop.Workers);
        var print = new PrintRecord
        {
            Step = state.Step,
            PixelsSha256 = RunCache.ResultSha256(state.Art),
            IsGood = seen.IsGood,
            Cause = seen.Cause?.Name,
            Cost = seen.Cost,
            Note = seen.Note,
            SetupJson = SetupJson.Text(state.Setup),
            By = by,
            At = shop.Now,
        };
        shop.Cancel.ThrowIfCancellationRequested();
        string workPath = shop.WorkPathOf(art.Path);
        if (open.Work is { } work)
        {
            work.RecordPrint(state.Setup.Name, print);
        }
        else
        {
            var sent = new OriginalFile(Path.GetFileName(state.File.Path), state.File.Bytes, state.Identity.Format, state.Identity.Notes);
            WorkFile.Create(workPath, sent, state.Art, begun => begun.RecordPrint(state.Setup.Name, print)).Dispose();
        }

        return new RememberedPrint(state, print, workPath) { Unnoted = Noted(state, print) };
    }

    // A repeat may come under another name, whose work file knows nothing of this print.
    private static Problem? Noted(ArtState state, PrintRecord print) => Journal.Note(new JournalEntry
    {
        At = print.At,
        Act = JournalAct.Print,
        By = print.By,
        Art = new JournalFile(JournalFile.NameOf(state.File.Path), state.File.Sha256),
        Setup = state.Setup.Name,
        Step = state.Step,
        Note = CleanText.Line(print.Note, LongestNoted),
        Result = PrintJson.Word(print.IsGood),
        Cause = print.Cause,
    });
}
