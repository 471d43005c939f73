using System.Collections.Immutable;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Exports;

/// <summary>An art that is to be written as a file.</summary>
/// <param name="Art">The art.</param>
/// <param name="Path">Where to: .png or .tif flat, .ora with its layers.</param>
public sealed record ExportRequest(ArtReference Art, string Path)
{
    /// <summary>True: takes the place of a file that isn't this art's own export.</summary>
    public bool Force { get; init; }

    /// <summary>The state that somebody saw and means; null for the one that is found.</summary>
    public string? StateSha256 { get; init; }

    /// <summary>Who does it, for the journal.</summary>
    public string? By { get; init; }
}

/// <summary>An art that was written as a file.</summary>
/// <param name="State">What was written.</param>
/// <param name="Sha256">The hash of the picture's bytes, lower-case hex.</param>
/// <param name="Planes">The white ink beside it.</param>
public sealed record Exported(ArtState State, string Sha256, IReadOnlyList<SeparationFiles> Planes)
{
    /// <summary>Where steps are kept under other setups while this one is at the original.</summary>
    public ImmutableArray<(string Setup, int Step)> Elsewhere { get; init; } = [];

    /// <summary>What to know about it.</summary>
    public ImmutableArray<Problem> Warnings { get; init; } = [];
}

/// <summary>Writes the current state of an art, flat or with its layers, with its provenance inside.</summary>
public static class Export
{
    /// <summary>Writes it, and goes on while the work file is open.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="request">What is to be written.</param>
    /// <param name="then">What to tell of it.</param>
    /// <exception cref="ProblemException">
    /// R1001 no such format; R1008 nobody chose the setup; R3 codes the art can't be read; R6002 it is another state than was seen; R8 codes a file can't be
    /// written.
    /// </exception>
    public static T Write<T>(Shop shop, ExportRequest request, Func<Exported, T> then)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(then);
        var (artPath, path) = (request.Art.Path, request.Path);
        var write = WriterOf(path);
        using var open = OpenArt.Of(shop, request.Art, forWriting: true, toWrite: true, () => AtomicFile.RefuseOriginal(path, artPath));
        string setup = open.Chosen.Setup.Name;
        var own = open.Work?.Original.Sha256 == open.File.Sha256 ? open.Work : null;
        RefuseForeign(path);
        var state = open.State(shop.Workers);
        state.RequireSeen(request.StateSha256);
        var planes = SeparationFiles.Of(state.Art, path);
        foreach (var plane in planes)
        {
            AtomicFile.RefuseOriginal(plane.Path, artPath);
            RefuseForeign(plane.Path);
        }

        shop.Cancel.ThrowIfCancellationRequested();
        var written = new List<(string Path, string Sha256)>();
        foreach (var plane in planes)
        {
            string from = Provenance.Of(state, plane.Path).ToJson();
            written.Add((plane.Path, Hashed(plane.Path, stream => plane.Write(stream, state.Art.PixelsPerInch, from))));
        }

        string provenance = Provenance.Of(state, path).ToJson();
        written.Add((path, shop.Progress.During("Writing the picture", () =>
            shop.Timings.Measure("encode", () => Hashed(path, stream => write(stream, state.Art, provenance))))));
        return then(new Exported(state, written[^1].Sha256, planes)
        {
            Elsewhere = request.Art.Original ? [] : NewSteps.Elsewhere(open.Work, setup, state.Step),
            Warnings = [.. SeparationFiles.Warning(state.Art), .. Remember(shop, own, state, written), .. Note(shop, request, state, written[^1].Sha256)],
        });

        // One's own export of this very art, as it was written, may be written anew: it is outdated, or comes out the same.
        bool Replaces(string output) => request.Force || OwnExports.Hold(own, setup, artPath, output);

        void RefuseForeign(string output)
        {
            if (File.Exists(output) && !Replaces(output))
            {
                throw AtomicFile.Exists(output);
            }
        }

        string Hashed(string output, Action<Stream> content) => AtomicFile.WriteHashed(output, stream =>
        {
            content(stream);
            shop.Cancel.ThrowIfCancellationRequested();
        }, Replaces(output));
    }

    private static Action<Stream, Artwork, string> WriterOf(string path) => Path.GetExtension(path).ToLowerInvariant() switch
    {
        ".png" => (stream, art, text) => PngWriter.Write(stream, art.Flat, art.PixelsPerInch, [new PngText(PngText.Provenance, text)]),
        ".tif" or ".tiff" => (stream, art, text) => TiffWriter.Write(stream, art.Flat, art.PixelsPerInch, text),
        ".ora" => (stream, art, text) => OpenRasterWriter.Write(stream, art, text),
        _ => throw new ProblemException(Codes.BadUsage, $"'{CleanText.Line(path, 120)}' is not a .png, .tif or .ora file name.",
            "Name the output with .png or .tif for a flat picture, .ora for one with its layers."),
    };

    private static IEnumerable<Problem> Remember(Shop shop, WorkFile? work, ArtState state, IEnumerable<(string Path, string Sha256)> written)
    {
        if (work is null)
        {
            return [];
        }

        try
        {
            string folder = Path.GetDirectoryName(Path.GetFullPath(state.File.Path))!;
            foreach (var (at, hash) in written)
            {
                work.RecordExport(state.Setup.Name, new ExportRecord(Path.GetRelativePath(folder, Path.GetFullPath(at)), hash, state.Step, shop.Now));
            }

            return [];
        }
        catch (ProblemException e)
        {
            // The picture is written and right; only the note about it is missing.
            return
            [
                new Problem(e.Problems[0].Code, $"The picture is written, but the work file couldn't note it: {e.Problems[0].Message}",
                    "Undo won't name it as outdated; export again to note it.", e.Problems[0].Where, Severity.Warning),
            ];
        }
    }

    private static IEnumerable<Problem> Note(Shop shop, ExportRequest request, ArtState state, string sha256)
    {
        var unnoted = Journal.Note(new JournalEntry
        {
            At = shop.Now,
            Act = JournalAct.Export,
            By = request.By,
            Art = new JournalFile(JournalFile.NameOf(request.Art.Path), state.File.Sha256),
            Setup = state.Setup.Name,
            Step = state.Step,
            File = new JournalFile(JournalFile.NameOf(request.Path), sha256),
        });
        return unnoted is null ? [] : [unnoted];
    }
}
