using System.Collections.Immutable;
using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Cli.Commands;

/// <summary><c>export</c>: the current state, flat or with its layers, with its provenance inside.</summary>
internal static class ExportCommand
{
    public static Command Create()
    {
        var art = Options.Art();
        var output = new Option<string>("--output", "-o") { Description = "The file to write: .png or .tif flat, .ora with its layers", HelpName = "FILE", Required = true };
        var setup = Options.Setup();
        var original = Options.Original();
        var force = Options.Force();
        var by = Options.By();
        var command = new Command("export", "Writes the current state, flat as .png or .tif or with its layers as .ora, with step, setup and hashes in it")
        {
            art, output, setup, Options.Garment, original, force, by,
        };
        return command.With("recipes export puffin.png -o puffin-print.png", session => Run(
            session, session.Parse.GetRequiredValue(art), session.Parse.GetRequiredValue(output), session.Setup(setup),
            session.Parse.GetValue(original), session.Parse.GetValue(force), session.By(by)));
    }

    private static Outcome Run(Session session, string artPath, string path, string? setupOption, bool original, bool force, string? by)
    {
        Action<Stream, Artwork, string> write = Path.GetExtension(path).ToLowerInvariant() switch
        {
            ".png" => (stream, art, text) => PngWriter.Write(stream, art.Flat, art.PixelsPerInch, [new PngText(PngText.Provenance, text)]),
            ".tif" or ".tiff" => (stream, art, text) => TiffWriter.Write(stream, art.Flat, art.PixelsPerInch, text),
            ".ora" => (stream, art, text) => OpenRasterWriter.Write(stream, art, text),
            _ => throw new ProblemException(Codes.BadUsage, $"'{CleanText.Line(path, 120)}' is not a .png, .tif or .ora file name.", "Name the output with .png or .tif for a flat picture, .ora for one with its layers."),
        };
        var file = session.Shop.ReadArt(artPath);
        AtomicFile.RefuseOriginal(path, artPath);
        using var work = session.Shop.OpenWork(artPath, forWriting: true);
        var setup = ChosenSetup.Find(setupOption, work).Required();
        // One's own export of this very art, as it was written, may be written anew: it is outdated, or comes out the same.
        bool Replaces(string output) =>
            force || OwnExports.Hold(work?.Original.Sha256 == file.Sha256 ? work : null, setup.Setup.Name, artPath, output);
        if (File.Exists(path) && !Replaces(path))
        {
            throw AtomicFile.Exists(path);
        }

        var state = session.Shop.FindState(file, work, setup, original, WorkerPool.Usual);
        var planes = SeparationFiles.Of(state.Art, path);
        foreach (var plane in planes)
        {
            AtomicFile.RefuseOriginal(plane.Path, artPath);
            if (File.Exists(plane.Path) && !Replaces(plane.Path))
            {
                throw AtomicFile.Exists(plane.Path);
            }
        }

        session.Cancel.ThrowIfCancellationRequested();
        var written = new List<(string Path, string Sha256)>();
        foreach (var plane in planes)
        {
            string from = Provenance.Of(state, plane.Path).ToJson();
            written.Add((plane.Path, Write(session, plane.Path, Replaces(plane.Path), stream => plane.Write(stream, state.Art.PixelsPerInch, from))));
        }

        string provenance = Provenance.Of(state, path).ToJson();
        string sha256 = session.Progress.During("Writing the picture", () => session.Timings.Measure("encode", () =>
            Write(session, path, Replaces(path), stream => write(stream, state.Art, provenance))));
        written.Add((path, sha256));
        List<Problem> problems = [.. SeparationFiles.Warning(state.Art)];
        if (work is not null && work.Original.Sha256 == file.Sha256)
        {
            try
            {
                string folder = Path.GetDirectoryName(Path.GetFullPath(artPath))!;
                foreach (var (at, hash) in written)
                {
                    work.RecordExport(setup.Setup.Name, new ExportRecord(Path.GetRelativePath(folder, Path.GetFullPath(at)), hash, state.Step, session.Shop.Now));
                }
            }
            catch (ProblemException e)
            {
                // The picture is written and right; only the note about it is missing.
                problems.Add(new Problem(e.Problems[0].Code, $"The picture is written, but the work file couldn't note it: {e.Problems[0].Message}",
                    "Undo won't name it as outdated; export again to note it.", e.Problems[0].Where, Severity.Warning));
            }
        }

        problems.AddRange(Session.Warnings(Journal.Note(new JournalEntry
        {
            At = session.Shop.Now,
            Act = JournalAct.Export,
            By = by,
            Art = new JournalFile(JournalFile.NameOf(artPath), file.Sha256),
            Setup = setup.Setup.Name,
            Step = state.Step,
            File = new JournalFile(JournalFile.NameOf(path), sha256),
        })));
        var fields = new JsonObject
        {
            ["art"] = ReportJson.Of(state.Identity),
            ["setup"] = new JsonObject { ["name"] = setup.Setup.Name },
            ["step"] = state.Step,
            ["effectivePpi"] = Math.Round(ResolutionInWords.Effective(state.Art, setup.Setup), 2),
            ["outputs"] = new JsonObject { ["file"] = path, ["planes"] = new JsonArray([.. planes.Select(plane => (JsonNode)plane.Path)]) },
            ["sha256"] = sha256,
            ["milliseconds"] = session.Timings.ToJson(),
        };
        ImmutableArray<(string Setup, int Step)> elsewhere = original ? [] : NewSteps.Elsewhere(work, setup.Setup.Name, state.Step);
        var outcome = new Outcome(fields, text =>
        {
            text.WriteLine($"Wrote {path}: step {state.Step}{(state.Step == 0 ? ", the original," : "")} of {artPath}, setup {setup.Setup.Name}, "
                + $"{ResolutionInWords.Effective(state)}.");
            UndoCommand.Elsewhere(text, elsewhere);

            foreach (string note in state.Identity.Notes)
            {
                text.WriteLine($"  original: {note}");
            }

            foreach (var plane in planes)
            {
                text.WriteLine($"Wrote {plane.Path}: white ink, white is a solid.");
            }
        }) { Problems = problems };
        return outcome.TellFirst(state);
    }

    // Gives the SHA-256 of what was written.
    private static string Write(Session session, string path, bool replace, Action<Stream> write) => AtomicFile.WriteHashed(path, stream =>
    {
        write(stream);
        session.Cancel.ThrowIfCancellationRequested();
    }, replace);
}
