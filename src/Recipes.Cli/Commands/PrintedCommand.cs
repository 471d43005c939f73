using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Cli.Commands;

/// <summary><c>printed</c>: remembers how a real print came out, and what it was printed with.</summary>
internal static class PrintedCommand
{
    private const int LongestNote = 1000;

    public static Command Create()
    {
        var art = Options.Art();
        var result = new Option<string>("--result")
        {
            Description = "How it came out: good or bad", HelpName = "good|bad", Required = true, CompletionSources = { "good", "bad" },
        };
        var reason = new Option<string?>("--reason")
        {
            Description = "Why it is bad, by the name of a cause, such as dust or rim; an unknown one shows them all", HelpName = "CAUSE",
            CompletionSources = { Names.Causes },
        };
        var cost = new Option<string?>("--cost") { Description = "What a bad one cost, as 12.50 or \"12.50 EUR\"", HelpName = "AMOUNT" };
        var note = new Option<string?>("--note") { Description = "What was seen on the cured print; a bad one needs it, or a reason", HelpName = "TEXT" };
        var setup = Options.Setup();
        var by = Options.By();
        var command = new Command("printed", "Remembers how a real print of the current step came out, with the setup's lots and chart, and why it was bad")
        {
            art, result, reason, cost, note, setup, Options.Garment, by,
        };
        return command.With("recipes printed puffin.png --result bad --reason dust --cost 12.50 --note \"left of the sail\" --by night-shift", session => Run(
            session, session.Art(session.Parse.GetRequiredValue(art), setup), session.By(by), Read(
                session.Parse.GetRequiredValue(result), session.Parse.GetValue(reason), session.Parse.GetValue(cost), session.Parse.GetValue(note))));
    }

    /// <summary>An answer about an art, which says first that the last print under this setup was bad, where it was.</summary>
    public static Outcome TellFirst(this Outcome outcome, ArtState state)
    {
        var bad = EarlierPrint.LastBad(state);
        outcome.Fields["lastBad"] = PrintJson.Of(bad);
        return bad is null ? outcome : outcome with { First = [bad.Warning(state.File.Path)] };
    }

    /// <summary>A remembered print in a line.</summary>
    public static string InWords(PrintRecord print)
    {
        string when = print.At.ToUniversalTime().ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture) + " UTC";
        string?[] said = [PrintJson.Word(print.IsGood), print.Cause, print.Cost?.ToString(), print.Note.Length == 0 ? null : CleanText.Line(print.Note, 200)];
        return $"printed step {print.Step}, {when}, {(print.By is { } by ? $"by {by}" : "by nobody named")}: {string.Join(", ", said.OfType<string>())}";
    }

    private static PrintSeen Read(string result, string? reason, string? cost, string? note)
    {
        if (result is not ("good" or "bad"))
        {
            throw Bad($"'--result' takes good or bad, not '{CleanText.Line(result, 40)}'.", "Write --result good, for instance.");
        }

        if (result == "good" && (reason is not null || cost is not null))
        {
            throw Bad("'--reason' and '--cost' are about a bad print.", "Leave them out, or write --result bad.");
        }

        // What went wrong can't be asked of the print later; that all was well says enough.
        if (result == "bad" && reason is null && note is null)
        {
            string causes = string.Join(", ", PrintCauses.All().Select(cause => cause.Name));
            throw Bad("A bad print needs a reason or a note.",
                $"Name the cause, as --reason dust ({causes}), or say what was seen, as --note \"banding in the blue\".");
        }

        if (note is not null && (string.IsNullOrWhiteSpace(note) || note.Length > LongestNote))
        {
            throw Bad($"'--note' takes 1 to {LongestNote} characters.", "Say what was seen on the cured print, for instance --note \"whites dense\".");
        }

        var paid = cost is null ? null : PrintCost.Read(cost)
            ?? throw Bad($"'--cost' takes {PrintCost.Takes}, not '{CleanText.Line(cost, 40)}'.", "Write --cost 12.50, or --cost \"12.50 EUR\".");
        return new PrintSeen(result == "good", reason is null ? null : PrintCauses.Find(reason), paid, note ?? "");
    }

    private static ProblemException Bad(string message, string hint) => new(Codes.BadUsage, message, hint);

    private static Outcome Run(Session session, ArtReference art, string? by, PrintSeen told)
    {
        var remembered = RememberPrint.Of(session.Shop, art, by, told);
        var (state, print, workPath) = remembered;
        var fields = new JsonObject
        {
            ["art"] = ReportJson.Of(state.Identity),
            ["setup"] = SetupJson.ToJson(state.Setup),
            ["step"] = state.Step,
            ["print"] = PrintJson.Of(state.Setup.Name, print),
            ["cause"] = told.Cause?.ToJson(),
            ["outputs"] = new JsonObject { ["file"] = workPath },
            ["milliseconds"] = session.Timings.ToJson(),
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"Remembered for {art.Path}, setup {state.Setup.Name}: {InWords(print)}");
            if (told.Cause is { } cause)
            {
                text.WriteLine($"{cause.Name}: {cause.What}{(cause.HelpsWith(art.Path) is { } helps ? $" Helps next time: {helps}" : "")}");
            }
            else if (!told.IsGood)
            {
                text.WriteLine("No cause was named, so 'history --reasons' counts it as such; --reason names one.");
            }

            if (Repeat.Unnoted(state.Setup) is { Length: > 0 } silent)
            {
                text.WriteLine($"The setup doesn't note {silent}, so a later ticket can't tell whether it changed; docs/setups.md says how to note it.");
            }
        })
        {
            Problems = remembered.Unnoted is { } unnoted ? [unnoted] : [],
        };
    }
}
