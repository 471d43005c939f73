using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.DryRuns;

/// <summary>
/// The folder of a dry run or a comparison: before.png, after.png, diff.png, report.html, and report.json last, so that a
/// folder with a report.json is complete.
/// </summary>
public sealed class DryRunFolder : IDisposable
{
    private const long LongestReport = 64 * 1024 * 1024;
    private const string ReportName = "report.json";

    /// <summary>The files that such a folder holds.</summary>
    public static IReadOnlyList<string> FileNames { get; } = ["before.png", "after.png", "diff.png", "report.html", ReportName];

    // The folders that weren't there, the innermost first.
    private readonly string[] made;

    // What was written, and its hash.
    private readonly Dictionary<string, string> written = [];

    private DryRunFolder(string folder, string[] made) => (Folder, this.made) = (folder, made);

    /// <summary>The folder.</summary>
    public string Folder { get; }

    /// <summary>The path of one of its files.</summary>
    public string this[string name] => Path.Combine(Folder, name);

    /// <summary>
    /// Prepares the folder. A file of these names that the same command didn't write earlier for the same art needs force; other files in it are left alone.
    /// Disposing takes back the folders that were made where nothing was written into them: who was interrupted finds no empty folder.
    /// </summary>
    /// <param name="folder">The folder.</param>
    /// <param name="command">The command that writes it.</param>
    /// <param name="force">True: replaces what others wrote, but never an art.</param>
    /// <param name="artPaths">The art, and further files that are read, none of which may be written.</param>
    /// <exception cref="ProblemException">R8001 it holds something else; R8002 it can't be made.</exception>
    public static DryRunFolder Prepare(string folder, string command, bool force, params ReadOnlySpan<string> artPaths)
    {
        string artPath = artPaths[0];
        foreach (string name in FileNames)
        {
            AtomicFile.RefuseOriginal(Path.Combine(folder, name), artPaths);
        }

        if (File.Exists(folder))
        {
            throw AtomicFile.Exists(folder);
        }

        if (Directory.Exists(folder) && !force && FileNames.Any(name => Path.Exists(Path.Combine(folder, name))) && !IsOurs(folder, command, artPath))
        {
            throw new ProblemException(Codes.OutputExists, $"{folder} holds pictures of another art or command.",
                "Name another folder with --out, or add --force to replace them.", new Place(folder));
        }

        var missing = new List<string>();
        for (string? path = Path.GetFullPath(folder); path is not null && !Path.Exists(path); path = Path.GetDirectoryName(path))
        {
            missing.Add(Path.TrimEndingDirectorySeparator(path));
        }

        AtomicFile.CreateFolder(folder);
        return new DryRunFolder(folder, [.. missing.Distinct()]);
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        try
        {
            foreach (string own in made)
            {
                Directory.Delete(own);
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Something lies in it.
        }
    }

    /// <summary>
    /// Writes the pictures and the page. The old report goes first, so that a half-replaced folder never looks complete;
    /// <see cref="Complete"/> must follow.
    /// </summary>
    /// <param name="result">The two states and what happened.</param>
    /// <param name="timings">What to say on the page about how long it took, or null: the same inputs then give the same bytes.</param>
    /// <param name="cancel">Ends it before the first file is written; what is begun is brought to its end.</param>
    public void Draw(RunResult result, Timings? timings = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(result);
        var report = result.Report;
        Plane<Rgba8> before = result.Before.Flat, after = result.After.Flat;
        cancel.ThrowIfCancellationRequested();
        AtomicFile.Delete(this[ReportName]);
        Parallel.Invoke(
            () =>
            {
                // Two states of different size have no pixel-by-pixel difference, unless the run that sized the one tells where it lies in the other; else
                // the picture shows the state after. Numbers are those of the art before.
                var aligned = report.Declared.SizeChange ? Alignment.Of(result.Before, result.After, report.Setup) : null;
                var was = aligned?.Before ?? before;
                NumberedBox[] regions = aligned is not null ? []
                    : [.. report.Regions.SelectMany(list => list.Regions).Select(region => new NumberedBox(region.Number, region.Box, region.Chosen))];
                var diff = was.Grid == after.Grid ? DiffPicture.Render(was, after, report.Setup.Ink, regions) : null;
                var pictures = new RunPictures(was, after, diff, report.Change.White is null ? null : result.After) { AlignedIn = aligned?.Box };
                Parallel.Invoke(
                    () => Write("report.html", stream => ReportPage.Write(stream, report, pictures, PngWriter.Encode, timings)),
                    () => Write("diff.png", stream => PngWriter.Write(stream, diff ?? after)));
            },
            () => Write("before.png", first => Write("after.png",
                second => PngWriter.WriteBoth((first, before, result.Before.PixelsPerInch), (second, after, result.After.PixelsPerInch)))));
    }

    /// <summary>Writes report.json, with which the folder is complete.</summary>
    /// <param name="answer">The report as JSON.</param>
    /// <exception cref="ProblemException">R8002 it is longer than what is read again; then nothing that was written stays.</exception>
    public void Complete(JsonObject answer)
    {
        using var text = new MemoryStream();
        ReportJson.Write(text, answer);
        if (text.Length > LongestReport || !OutsideJson.Takes(text.GetBuffer().AsSpan(0, (int)text.Length)))
        {
            foreach (string name in written.Keys)
            {
                AtomicFile.Delete(this[name]);
            }

            throw new ProblemException(
                Codes.OutputUnwritable,
                $"The report would be longer than 64 MB or hold more than {OutsideJson.Bound}, and nothing could read it again.",
                "Narrow the recipe, so that it lists fewer regions: leave out small ones, or choose some.", new Place(this[ReportName]));
        }

        Write(ReportName, text.WriteTo);
    }

    /// <summary>Writes a dry run's report.json likewise, with a seal that binds pictures, pages and report together.</summary>
    /// <param name="answer">The report as JSON.</param>
    /// <param name="steps">The complete folders of a list's recipes.</param>
    public void CompleteSealed(JsonObject answer, IEnumerable<DryRunFolder> steps)
    {
        ArgumentNullException.ThrowIfNull(answer);
        ArgumentNullException.ThrowIfNull(steps);
        var files = steps
            .SelectMany(step => step.written, (step, file) => KeyValuePair.Create($"{Seen(step.Folder).Replace('\\', '/')}/{file.Key}", file.Value))
            .Concat(written);
        if (DryRunSeal.Of(answer, files, create: true) is { } seal)
        {
            answer[DryRunSeal.Field] = seal;
        }

        Complete(answer);
    }

    // Nobody keeps a dry run: after a power cut it is run again, and waiting for the disk costs more than a picture.
    private void Write(string name, Action<Stream> write)
    {
        string sha256 = AtomicFile.WriteHashed(this[name], write, sync: false);
        lock (written)
        {
            written[name] = sha256;
        }
    }

    // Every file of a dry run but its report, as seen from the folder; null where the report names what no dry run has.
    internal static IReadOnlyList<string>? FilesOf(JsonObject report)
    {
        string[] steps = [.. (report["steps"] as JsonArray ?? []).Select((step, i) =>
            (step as JsonObject).Object("recipe").Text("name") is { Length: > 0 } name && Path.GetFileName(name) == name
                ? ReportPage.StepFolder(i + 1, name) : "")];
        return steps.Contains("") ? null
            : [.. FileNames.Where(name => name != ReportName), .. steps.SelectMany(step => FileNames.Select(name => $"{step}/{name}"))];
    }

    /// <summary>
    /// The first file of a dry run that isn't, byte for byte, what the same dry run wrote elsewhere, or null where all are. Where a report lies, what its
    /// paths are as seen from there and how long it took are no part of what was shown.
    /// </summary>
    /// <param name="folder">The folder.</param>
    /// <param name="report">Its report, as read.</param>
    /// <param name="again">Where it was written again.</param>
    public static string? Difference(string folder, JsonObject report, string again)
    {
        if (FilesOf(report) is not { } names || ReadReport(again) is not { } own || !FilesOf(own)!.SequenceEqual(names))
        {
            return ReportName;
        }

        return names.FirstOrDefault(name => !Same(name)) ?? (Shown(report).AsSpan().SequenceEqual(Shown(own)) ? null : ReportName);

        bool Same(string name)
        {
            string one = Path.Combine(folder, name), other = Path.Combine(again, name);
            if (Path.GetFileName(name) == ReportName)
            {
                return ReadReport(Path.GetDirectoryName(one)!) is { } step
                    && Shown(step).AsSpan().SequenceEqual(Shown(ReadReport(Path.GetDirectoryName(other)!)!));
            }

            try
            {
                return OutsideFile.Sha256(one, WorkFile.LargestOriginal) == OutsideFile.Sha256(other);
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                return false;
            }
        }
    }

    private static byte[] Shown(JsonObject report)
    {
        var shown = report.DeepClone().AsObject();
        foreach (var part in (shown["steps"] as JsonArray ?? []).OfType<JsonObject>().Prepend(shown))
        {
            foreach (string place in (string[])["inputs", "outputs", "milliseconds", DryRunSeal.Field])
            {
                part.Remove(place);
            }
        }

        using var text = new MemoryStream();
        ReportJson.Write(text, shown);
        return text.ToArray();
    }

    /// <summary>The outputs for the JSON answer.</summary>
    public JsonObject Outputs() => new()
    {
        ["before"] = this["before.png"], ["after"] = this["after.png"], ["diff"] = this["diff.png"],
        ["report"] = this["report.html"], ["file"] = this[ReportName],
    };

    /// <summary>Reads what <c>commit --dry-run</c> needs: the digest, and where the inputs were.</summary>
    /// <exception cref="ProblemException">R6006 no dry run, or a refused one.</exception>
    public static DryRunRecord Read(string folder)
    {
        var report = ReadReport(folder);
        if (report is null && File.Exists(Path.Combine(folder, ReportName)))
        {
            throw NoDryRun(folder, $"holds a {ReportName} that is no JSON object of at most 64 MB and {OutsideJson.Bound}");
        }

        if (report.Text("command") != "dry-run")
        {
            throw NoDryRun(folder, "holds no dry run");
        }

        if (!report.Says("ok"))
        {
            throw NoDryRun(folder, "holds a dry run that was refused");
        }

        var inputs = report.Object("inputs");
        string? setup = inputs.Text("setup"), setupFile = OutsideJson.PathFrom(folder, setup);
        return report.Text("digest") is { Length: 64 } digest && report.Text("resultSha256") is { Length: 64 } result
            && OutsideJson.PathFrom(folder, inputs.Text("art")) is { } art
            && OutsideJson.PathFrom(folder, inputs.Text("recipe")) is { } recipe && setup is not null
            ? new DryRunRecord
            {
                Digest = digest,
                ResultSha256 = result,
                Art = art,
                ArtSha256 = report.Object("art").Text("sha256"),
                Recipe = recipe,
                RecipeSha256 = report.Object("recipe").Text("sha256"),
                WorkFolder = OutsideJson.PathFrom(folder, inputs.Text("work")),
                Setup = setupFile is not null && File.Exists(setupFile) ? setupFile : setup,
                SetupIsFallback = report.Says("setupIsFallback"),
                Original = inputs.Says("original"),
                Kind = inputs.Text("kind"),
                Sets = [.. (report.Object("parameters") ?? []).Select(pair => $"{pair.Key}={report.Object("parameters").Text(pair.Key)}")],
                Guards = [.. (report!["guards"] as JsonArray ?? []).OfType<JsonObject>().Select(guard => $"{guard.Text("name")}={guard.Text("policy")}")],
                Report = report!,
                IsOwn = Task.Run(() => DryRunSeal.Holds(folder, report!)),
            }
            : throw NoDryRun(folder, $"holds a damaged {ReportName}");
    }

    private static ProblemException NoDryRun(string folder, string why) => new(
        Codes.NotADryRun, $"{folder} {why}.", "Name the folder that 'recipes dry-run' wrote, or run the dry run again.", new Place(folder));

    private static bool IsOurs(string folder, string command, string artPath) =>
        ReadReport(folder) is { } report && report.Text("command") == command
        && OutsideJson.PathFrom(folder, report.Object("inputs").Text("art")) == Path.GetFullPath(artPath);

    private static JsonObject? ReadReport(string folder) => OutsideJson.ReadFile(Path.Combine(folder, ReportName), LongestReport);

    /// <summary>A path as it is seen from the folder, for <c>inputs</c>.</summary>
    public string Seen(string path) => Path.GetRelativePath(Path.GetFullPath(Folder), Path.GetFullPath(path));
}
