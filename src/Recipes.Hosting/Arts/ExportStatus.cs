using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Shops;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Arts;

/// <summary>Whether an exported file still shows the current state of the art that it came from.</summary>
/// <param name="From">What the file says of itself.</param>
/// <param name="Current">True or false; null where the art or its work file isn't there to compare with.</param>
/// <param name="Message">The answer in words.</param>
public sealed record ExportStatus(Provenance From, bool? Current, string Message)
{
    /// <summary>Looks at a file that may be an export; null for any other.</summary>
    public static ExportStatus? Of(Shop shop, ArtFile file, string? provenance)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(file);
        if (Provenance.Read(provenance) is not { } from)
        {
            return null;
        }

        string what = $"step {from.Step} of {from.Art}, setup {from.Setup}";
        // The name comes from a stranger's file: only a path seen from its own folder is looked at, and what lies there only answers yes or no.
        string? artPath = Path.IsPathRooted(from.Art) ? null : OutsideJson.PathFrom(Path.GetDirectoryName(Path.GetFullPath(file.Path))!, from.Art);
        try
        {
            using var work = artPath is null ? null : WorkFile.Open(shop.WorkPathOf(artPath), forWriting: false);
            return work is null
                ? new ExportStatus(from, null, $"This file was exported from {what}; its work file isn't there to compare with.")
                : Of(file, from, work, what);
        }
        catch (ProblemException)
        {
            return new ExportStatus(from, null, $"This file was exported from {what}; its work file can't be read to compare with.");
        }
    }

    private static ExportStatus Of(ArtFile file, Provenance from, WorkFile work, string what)
    {
        if (work.Original.Sha256 != from.ArtSha256)
        {
            return new ExportStatus(from, false, $"This file was exported from {what}, but the art there is another one now.");
        }

        var line = work.Line(from.Setup);
        if (line.Head != from.Step || ArtState.HashOf(from.ArtSha256, line, line.Head) != from.StateSha256)
        {
            return new ExportStatus(from, false, $"This file was exported from {what}, and is outdated: the art is at step {line.Head} now. Export it again.");
        }

        // What a file says of itself proves nothing about its pixels; the work file remembers the bytes that were written.
        return line.Exports.Any(export => export.Step == from.Step && export.Sha256 == file.Sha256)
            ? new ExportStatus(from, true, $"This file was exported from {what}, and is still current.")
            : new ExportStatus(from, false, $"This file says that it was exported from {what}, but the work file remembers no export with these bytes: "
                + "it was changed since. Export it again.");
    }

    /// <summary>As answers tell it.</summary>
    public JsonObject ToJson() => new()
    {
        ["art"] = From.Art, ["artSha256"] = From.ArtSha256, ["setup"] = From.Setup, ["step"] = From.Step, ["current"] = Current, ["message"] = Message,
    };
}
