using System.Collections.Immutable;
using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tickets;

/// <summary>Notes on an art.</summary>
/// <param name="ArtSha256">The art's hash, lower-case hex.</param>
/// <param name="Notes">The notes, the oldest first.</param>
public sealed record NotedArt(string ArtSha256, ImmutableArray<ArtNote> Notes);

/// <summary>The handover notes on an art: written by anybody, so one line of clean text each, bounded.</summary>
public static class ArtNotes
{
    /// <summary>The longest note, characters.</summary>
    public const int Longest = 500;

    /// <summary>A note as it is kept: one line, and what is hidden in it to be seen.</summary>
    /// <exception cref="ProblemException">R1001: it says nothing, or too much.</exception>
    public static string Read(string text)
    {
        string clean = CleanText.Line(text, int.MaxValue);
        return clean.Length is > 0 and <= Longest ? clean : throw new ProblemException(
            Codes.BadUsage, $"A note takes 1 to {Longest} characters.", "Say what whoever comes next has to know; leave the text out to see the notes.");
    }

    /// <summary>Leaves a note on an art, and makes its work file where there is none.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="artPath">The art.</param>
    /// <param name="text">What it says.</param>
    /// <param name="by">Who leaves it, or null.</param>
    /// <returns>The note alone.</returns>
    /// <exception cref="ProblemException">R1001 it says nothing, or too much; R3 codes the art can't be read; R6002 the work file is another file's;
    /// R6003 it is in use; R8002 it can't be written.</exception>
    public static NotedArt Leave(Shop shop, string artPath, string text, string? by)
    {
        ArgumentNullException.ThrowIfNull(shop);
        string clean = Read(text);
        var file = shop.ReadArt(artPath);
        using var work = shop.OpenWork(artPath, forWriting: true);
        var note = new ArtNote(clean, by, shop.Now);
        shop.Cancel.ThrowIfCancellationRequested();
        Add(shop, file, shop.WorkPathOf(artPath), work, note);
        return new NotedArt(file.Sha256, [note]);
    }

    /// <summary>The notes on an art.</summary>
    /// <exception cref="ProblemException">R3 codes the art can't be read; R6002 the work file is another file's; R3009 it is damaged.</exception>
    public static NotedArt Find(Shop shop, string artPath)
    {
        var file = shop.ReadArt(artPath);
        using var work = shop.OpenWork(artPath);
        return new NotedArt(file.Sha256, work is null ? [] : Of(file, work));
    }

    /// <summary>When, by whom, and what, in a line.</summary>
    public static string InWords(ArtNote note)
    {
        ArgumentNullException.ThrowIfNull(note);
        string when = note.At.ToUniversalTime().ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture) + " UTC";
        return $"{when}, {(note.By is { } by ? $"by {CleanText.Line(by, 80)}" : "by nobody named")}: {CleanText.Line(note.Text, Longest)}";
    }

    /// <summary>The notes on a file, the oldest first.</summary>
    /// <exception cref="ProblemException">R6002: the work file is another file's; R3009 it is damaged.</exception>
    internal static ImmutableArray<ArtNote> Of(ArtFile file, WorkFile work)
    {
        RequireSame(file, work);
        return work.Notes;
    }

    /// <summary>Adds a note, and makes the work file where there is none.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="file">The art.</param>
    /// <param name="workPath">Where its work file lies.</param>
    /// <param name="work">The work file, open for writing, or null where there is none.</param>
    /// <param name="note">The note.</param>
    /// <exception cref="ProblemException">R3 codes; R6002 as above; R8002 it can't be written.</exception>
    internal static void Add(Shop shop, ArtFile file, string workPath, WorkFile? work, ArtNote note)
    {
        if (work is not null)
        {
            RequireSame(file, work);
            work.AddNote(note);
            return;
        }

        var decoded = file.Decode(shop.Workers, shop.Cancel);
        var sent = new OriginalFile(Path.GetFileName(file.Path), file.Bytes, decoded.Format, decoded.Notes);
        WorkFile.Create(workPath, sent, decoded.Art, begun => begun.AddNote(note)).Dispose();
    }

    private static void RequireSame(ArtFile file, WorkFile work)
    {
        ArgumentNullException.ThrowIfNull(file);
        ArgumentNullException.ThrowIfNull(work);
        if (file.Sha256 != work.Original.Sha256)
        {
            throw new ProblemException(Codes.ArtChanged, $"{file.Path} is no longer the file that the work began with.",
                "Put the earlier file back, or move the work file away to start anew.", new Place(file.Path));
        }
    }
}
