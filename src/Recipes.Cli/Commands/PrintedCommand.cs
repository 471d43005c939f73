using System.CommandLine;
using System.Globalization;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Hosting;
using Recipes.Hosting.Work;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>printed</c>: remembers how a real print came out, and what it was printed with.</summary>
internal static class PrintedCommand
{
    private const int LongestNote = 1000;

    public static Command Create()
    {
        var art = Options.Art();
        var result = new Option<string>("--result") { Description = "How it came out: good or bad", HelpName = "good|bad", Required = true, CompletionSources = { "good", "bad" } };
        var note = new Option<string?>("--note") { Description = "What was seen on the cured print; a bad one needs it", HelpName = "TEXT" };
        var setup = Options.Setup();
        var by = Options.By();
        var command = new Command("printed", "Remembers how a real print of the current step came out, with the setup's lots and chart")
        {
            art, result, note, setup, Options.Garment, by,
        };
        return command.With("recipes printed puffin.png --result good --note \"whites dense, orange right\" --by night-shift", session => Run(
            session, session.Parse.GetRequiredValue(art), session.Parse.GetRequiredValue(result), session.Parse.GetValue(note),
            session.Setup(setup), session.Parse.GetValue(by)));
    }

    /// <summary>A remembered print.</summary>
    public static JsonObject Of(string setup, PrintRecord print)
    {
        // The setup comes from a file that anybody could have written; only its fields that a print depends on are told.
        var with = OutsideJson.Parse(Encoding.UTF8.GetBytes(print.SetupJson));
        return new JsonObject
        {
            ["setup"] = setup,
            ["step"] = print.Step,
            ["pixelsSha256"] = print.PixelsSha256,
            ["result"] = Word(print.IsGood),
            ["note"] = print.Note.Length == 0 ? null : print.Note,
            ["inkLot"] = with.Text("inkLot"),
            ["pretreatment"] = with.Text("pretreatment"),
            ["chart"] = with.Object("chart") is { } chart ? new JsonObject { ["file"] = chart.Text("file"), ["sha256"] = chart.Text("sha256"), ["date"] = chart.Text("date") } : null,
            ["by"] = print.By,
            ["at"] = print.At.ToString("O", CultureInfo.InvariantCulture),
        };
    }

    /// <summary>A remembered print in a line.</summary>
    public static string InWords(PrintRecord print)
    {
        string when = print.At.ToUniversalTime().ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture) + " UTC";
        return $"printed step {print.Step}, {when}, {(print.By is { } by ? $"by {by}" : "by nobody named")}: {Word(print.IsGood)}{(print.Note.Length == 0 ? "" : $", {CleanText.Line(print.Note, 200)}")}";
    }

    private static string Word(bool good) => good ? "good" : "bad";

    private static Outcome Run(Session session, string artPath, string result, string? note, string? setupOption, string? by)
    {
        if (result is not ("good" or "bad"))
        {
            throw new ProblemException(Codes.BadUsage, $"'--result' takes good or bad, not '{CleanText.Line(result, 40)}'.", "Write --result good, for instance.");
        }

        // What went wrong can't be asked of the print later; that all was well says enough.
        if (note is null && result == "bad")
        {
            throw new ProblemException(Codes.BadUsage, "A bad print needs a note.", "Say what was seen on the cured print, for instance --note \"banding in the blue\".");
        }

        if (note is not null && (string.IsNullOrWhiteSpace(note) || note.Length > LongestNote))
        {
            throw new ProblemException(Codes.BadUsage, $"'--note' takes 1 to {LongestNote} characters.", "Say what was seen on the cured print, for instance --note \"whites dense\".");
        }

        var file = session.ReadArt(artPath);
        using var work = session.OpenWork(artPath, forWriting: true);
        var chosen = ChosenSetup.Find(setupOption, work).Required();
        var state = session.FindState(file, work, chosen, original: false, Workers.Usual);
        var print = new PrintRecord
        {
            Step = state.Step,
            PixelsSha256 = KeptRun.ResultSha256(state.Art),
            IsGood = result == "good",
            Note = note ?? "",
            SetupJson = SetupJson.Text(state.Setup),
            By = by ?? Settings.Read().By,
            At = session.Now,
        };
        session.Cancel.ThrowIfCancellationRequested();
        string workPath = WorkFile.PathFor(artPath, session.WorkFolder);
        if (work is not null)
        {
            work.RecordPrint(state.Setup.Name, print);
        }
        else
        {
            var sent = new OriginalFile(Path.GetFileName(state.File.Path), state.File.Bytes, state.Identity.Format, state.Identity.Notes);
            WorkFile.Create(workPath, sent, state.Art, begun => begun.RecordPrint(state.Setup.Name, print)).Dispose();
        }

        var fields = new JsonObject
        {
            ["art"] = ReportJson.Of(state.Identity),
            ["setup"] = SetupJson.ToJson(state.Setup),
            ["step"] = state.Step,
            ["print"] = Of(state.Setup.Name, print),
            ["outputs"] = new JsonObject { ["file"] = workPath },
            ["milliseconds"] = session.Timings.ToJson(),
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"Remembered for {artPath}, setup {state.Setup.Name}: {InWords(print)}");
            if (Repeat.Unnoted(state.Setup) is { Length: > 0 } unnoted)
            {
                text.WriteLine($"The setup doesn't note {unnoted}, so a later ticket can't tell whether it changed; docs/setups.md says how to note it.");
            }
        });
    }
}
