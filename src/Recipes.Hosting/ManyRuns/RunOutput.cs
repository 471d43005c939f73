using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.ManyRuns;

/// <summary>The picture and the record of one run of many. A picture without its own record never passes for a good one.</summary>
/// <param name="ArtPath">The art.</param>
/// <param name="Picture">The picture.</param>
/// <param name="RecordPath">Its record.</param>
internal sealed record RunOutput(string ArtPath, string Picture, string RecordPath)
{
    private const long LongestRecord = 64_000_000;

    public static RunOutput Of(string folder, string stem, string artPath) =>
        new(artPath, Path.Combine(folder, stem + ".png"), Path.Combine(folder, stem + ".json"));

    /// <summary>True where the record says that an earlier run of the same art wrote it.</summary>
    public bool IsOurs() => OutsideJson.ReadFile(RecordPath, LongestRecord) is { } json && json.Text("command") == "run"
        && OutsideJson.PathFrom(Path.GetDirectoryName(Path.GetFullPath(RecordPath))!, json.Object("inputs").Text("art")) == Path.GetFullPath(ArtPath);

    /// <summary>Refuses to replace what no earlier run of the same art wrote.</summary>
    /// <exception cref="ProblemException">R8001.</exception>
    public void RefuseForeign(bool force)
    {
        Originals.Refuse(Picture);
        Originals.Refuse(RecordPath);
        bool there = File.Exists(Picture);
        if (!force && (there || File.Exists(RecordPath)) && !IsOurs())
        {
            throw AtomicFile.Exists(there ? Picture : RecordPath);
        }
    }

    /// <summary>Writes the picture and gives its hash.</summary>
    public string Write(Artwork after, JsonObject fields)
    {
        // An unfinished record stands before the picture does; it goes to the disk while the picture is encoded.
        var unfinished = Task.Run(() => Record(
            fields, false, [new Problem(Codes.Interrupted, "The picture was not finished.", "Run it again.", new Place(ArtPath))]));
        try
        {
            return AtomicFile.WriteHashed(Picture, stream =>
            {
                PngWriter.Write(stream, after.Flat, after.PixelsPerInch, [new PngText(PngText.Provenance, KindHint.ToJson(after.Ground))]);
                unfinished.GetAwaiter().GetResult();
            });
        }
        finally
        {
            // Where the picture failed, the record of that mustn't come before this one.
            Task.WhenAny(unfinished).GetAwaiter().GetResult();
        }
    }

    /// <summary>Writes the record. One that isn't good leaves no picture beside it.</summary>
    public void Record(JsonObject fields, bool keepPicture, IReadOnlyList<Problem> problems)
    {
        var exit = problems.FirstOrDefault(problem => problem.Severity == Severity.Error)?.Code.Exit ?? ExitCode.Done;
        var answer = ReportJson.Answer("run", exit, problems, fields);
        AtomicFile.Write(RecordPath, stream => ReportJson.Write(stream, answer));
        if (!keepPicture)
        {
            AtomicFile.Delete(Picture);
        }
    }
}
