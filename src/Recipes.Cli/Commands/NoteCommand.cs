using System.Collections.Immutable;
using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
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
            return session.Parse.GetValue(note) is { } text ? Left(session, path, ArtNotes.Leave(session.Shop, path, text, session.By(by)))
                : Shown(path, ArtNotes.Find(session.Shop, path));
        });
    }

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

    private static Outcome Left(Session session, string artPath, NotedArt noted)
    {
        var fields = Fields(artPath, noted);
        fields["outputs"] = new JsonObject { ["file"] = session.Shop.WorkPathOf(artPath) };
        return new Outcome(fields, text => text.WriteLine($"Noted on {artPath}: {ArtNotes.InWords(noted.Notes[0])}"));
    }

    private static Outcome Shown(string artPath, NotedArt noted) => new(Fields(artPath, noted), text =>
    {
        foreach (var note in noted.Notes)
        {
            text.WriteLine(ArtNotes.InWords(note));
        }

        if (noted.Notes.IsEmpty)
        {
            text.WriteLine($"{artPath} has no notes.");
        }
    });

    private static JsonObject Fields(string artPath, NotedArt noted) => new()
    {
        ["art"] = new JsonObject { ["path"] = artPath, ["sha256"] = noted.ArtSha256 }, ["notes"] = ReportJson.Of(noted.Notes),
    };
}
