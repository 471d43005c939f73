using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Reports;
using Recipes.Problems;

namespace Recipes.Hosting.Cases;

/// <summary>The pictures of a failing case: what came out, as a dry run shows it; and where pixels were expected, those and how it differs from them.</summary>
internal static class CasePictures
{
    /// <summary>Draws them.</summary>
    /// <param name="outcome">The case, which gave a result.</param>
    /// <param name="folder">Where to.</param>
    /// <param name="originals">The art of all cases; none of it is written over.</param>
    /// <param name="force">True: replaces what isn't an earlier test's.</param>
    /// <returns>The picture that shows what changed.</returns>
    /// <exception cref="ProblemException">R8 codes: they can't be written.</exception>
    public static string Draw(CaseOutcome outcome, string folder, string[] originals, bool force)
    {
        var result = outcome.Result!;
        string expected = Path.Combine(folder, "expected.png"), wrong = Path.Combine(folder, "wrong.png");
        foreach (string own in (string[])[expected, wrong])
        {
            AtomicFile.RefuseOriginal(own, originals);
            // Where there is a report, it says whose the folder is.
            if (!force && File.Exists(own) && !File.Exists(Path.Combine(folder, "report.json")))
            {
                throw AtomicFile.Exists(own);
            }
        }

        using var pictures = DryRunFolder.Prepare(folder, "test", force, [outcome.Path, .. originals]);
        var fields = new JsonObject();
        ReportJson.AddTo(fields, result.Report);
        fields["outputs"] = pictures.Outputs();
        fields["inputs"] = new JsonObject { ["art"] = pictures.Seen(outcome.Path) };
        pictures.Draw(result);
        pictures.Complete(ReportJson.Answer("test", ExitCode.TestFailed, [], fields));
        AtomicFile.Delete(expected);
        AtomicFile.Delete(wrong);
        if (outcome.Expected is { } pixels)
        {
            AtomicFile.Write(expected, stream => PngWriter.Write(stream, pixels, result.After.PixelsPerInch));
            if (pixels.Grid == result.After.Grid)
            {
                var difference = DiffPicture.Render(pixels, result.After.Flat, result.Report.Setup.Ink);
                AtomicFile.Write(wrong, stream => PngWriter.Write(stream, difference, result.After.PixelsPerInch));
            }
        }

        return pictures["diff.png"];
    }
}
