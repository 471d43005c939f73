using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Work;

namespace Recipes.Cli.Commands;

/// <summary><c>note</c>: a handover note on an art, or all that there are.</summary>
internal static class NoteCommand
{
    // What a check shows; all of them stand in the history.
    private const int MostShown = 3;

    public static Command Create()
    {
        var art = Options.Art();
        var note = new Argument<string?>("TEXT")
        {
            Description = "What whoever comes next has to know; left out, it shows the notes", Arity = ArgumentArity.ZeroOrOne,
        };
        var by = Options.By();
        var command = new Command("note", "Leaves a handover note on the art, or shows its notes") { art, note, by };
        return command.With("recipes note puffin.png \"the customer wants the beak brighter\" --by night-shift", session =>
        {
            string path = session.Parse.GetRequiredValue(art);
            return session.Parse.GetValue(note) is { } text ? Add(session, path, ArtNotes.Read(text), session.By(by)) : Show(session, path);
        });
    }

    /// <summary>Notes in a JSON answer, the oldest first.</summary>
    public static JsonArray Of(ImmutableArray<ArtNote> notes) => new([.. notes.Select(note => (JsonNode)new JsonObject
    {
        ["text"] = note.Text, ["by"] = note.By, ["at"] = note.At.ToString("O", CultureInfo.InvariantCulture),
    })]);

    /// <summary>Writes the newest notes, one on a line.</summary>
    public static void Write(TextWriter text, ImmutableArray<ArtNote> notes, int most = MostShown)
    {
        foreach (var note in notes.TakeLast(most))
        {
            text.WriteLine($"  note      {ArtNotes.InWords(note)}");
        }

        if (notes.Length > most)
        {
            text.WriteLine($"            and {Numeral.Of(notes.Length - most)} older ones; 'recipes note' shows all");
        }
    }

    private static Outcome Add(Session session, string artPath, string text, string? by)
    {
        var file = session.Shop.ReadArt(artPath);
        string workPath = WorkPath.Of(artPath, session.Shop.WorkFolder);
        using var work = session.Shop.OpenWork(artPath, forWriting: true);
        var note = new ArtNote(text, by, session.Shop.Now);
        session.Cancel.ThrowIfCancellationRequested();
        ArtNotes.Add(file, workPath, work, note, session.Cancel);
        var fields = new JsonObject
        {
            ["art"] = new JsonObject { ["path"] = artPath, ["sha256"] = file.Sha256 },
            ["notes"] = Of([note]),
            ["outputs"] = new JsonObject { ["file"] = workPath },
        };
        return new Outcome(fields, answer => answer.WriteLine($"Noted on {artPath}: {ArtNotes.InWords(note)}"));
    }

    private static Outcome Show(Session session, string artPath)
    {
        var file = session.Shop.ReadArt(artPath);
        using var work = session.Shop.OpenWork(artPath);
        var notes = work is null ? [] : ArtNotes.Of(file, work);
        var fields = new JsonObject { ["art"] = new JsonObject { ["path"] = artPath, ["sha256"] = file.Sha256 }, ["notes"] = Of(notes) };
        return new Outcome(fields, text =>
        {
            foreach (var note in notes)
            {
                text.WriteLine(ArtNotes.InWords(note));
            }

            if (notes.IsEmpty)
            {
                text.WriteLine($"{artPath} has no notes.");
            }
        });
    }
}
