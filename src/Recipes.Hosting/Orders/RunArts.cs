using System.Collections.Immutable;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Tickets;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Orders;

/// <summary>The arts of a run of many files: those that were named, and those that lie in folders that were.</summary>
/// <param name="Arts">Their paths, each once, as named; a folder's by name.</param>
/// <param name="Skipped">Pictures in these folders that this program wrote itself.</param>
/// <param name="LeftOut">Work files that can't be read, as warnings: their exports count as arts.</param>
public sealed record RunArts(ImmutableArray<string> Arts, ImmutableArray<string> Skipped, ImmutableArray<Problem> LeftOut)
{
    private const long LongestRecord = 64_000_000;
    private static readonly string[] Endings = [".png", ".jpg", ".jpeg", ".tif", ".tiff", ".webp", ".ora"];

    /// <summary>Finds them. A folder gives its pictures and not those of the folders in it, so pictures of dry runs stay out; hidden files do, too.</summary>
    /// <param name="named">Files and folders.</param>
    /// <param name="workFolder">Where work files lie, or null for beside the arts.</param>
    /// <exception cref="ProblemException">R1001 a folder holds no picture to run. R3001 it can't be read, or has no name.</exception>
    public static RunArts Of(IEnumerable<string> named, string? workFolder)
    {
        ArgumentNullException.ThrowIfNull(named);
        var arts = new List<string>();
        var (skipped, leftOut) = (new List<string>(), new List<Problem>());
        foreach (string path in named)
        {
            if (path.Length == 0)
            {
                throw new ProblemException(Codes.ArtMissing, "A file without a name is no art.", "Name files or folders.");
            }

            if (!Directory.Exists(path))
            {
                arts.Add(path);
                continue;
            }

            var found = In(path, workFolder);
            if (found.Arts.IsEmpty)
            {
                throw new ProblemException(
                    Codes.BadUsage, $"{path} holds no picture to run{(found.Skipped.IsEmpty ? "" : " but what this program wrote")}.",
                    $"A folder gives its files that end in {string.Join(", ", Endings)}, not those of the folders in it.", new Place(path));
            }

            arts.AddRange(found.Arts);
            skipped.AddRange(found.Skipped);
            leftOut.AddRange(found.LeftOut);
        }

        return new RunArts([.. arts.DistinctBy(Path.GetFullPath, RealPath.Comparer)], [.. skipped], [.. leftOut]);
    }

    /// <summary>The pictures of a folder, but none of those in it; there may be none.</summary>
    /// <param name="folder">The folder.</param>
    /// <param name="workFolder">Where work files lie, or null for beside the arts.</param>
    /// <exception cref="ProblemException">R3001 it can't be read.</exception>
    public static RunArts In(string folder, string? workFolder)
    {
        var leftOut = new List<Problem>();
        string[] pictures = [.. PicturesIn(folder)];
        var own = ExportsIn(folder, workFolder, leftOut);
        string[] ours = [.. pictures.Where(picture => !File.Exists(WorkPath.Of(picture, workFolder))
            && (IsResult(picture) || TicketFile.IsStrip(picture) || OwnExports.IsOneOf(picture, [.. own[Path.GetFullPath(picture)]])))];
        return new RunArts([.. pictures.Except(ours)], [.. ours], [.. leftOut]);
    }

    /// <summary>How the files end that are taken for pictures.</summary>
    public static IReadOnlyList<string> PictureEndings => Endings;

    /// <summary>True where a file's name ends like a picture's.</summary>
    public static bool IsPictureName(string name) => Endings.Contains(Path.GetExtension(name).ToLowerInvariant());

    /// <summary>What each art's result is called: its stem, or where stems meet the whole file name, <c>kids.jpg</c> and <c>kids.png</c>.</summary>
    /// <param name="arts">The arts.</param>
    /// <exception cref="ProblemException">R1009 two have the same file name.</exception>
    public static ImmutableArray<string> Stems(IReadOnlyList<string> arts)
    {
        ArgumentNullException.ThrowIfNull(arts);
        string[] stems = [.. arts.Select(art => Path.GetFileNameWithoutExtension(art))];
        // A whole name may meet another's stem: a.png beside a.jpg, and a.png.jpg.
        while (stems.Zip(arts).GroupBy(one => one.First, StringComparer.OrdinalIgnoreCase).Where(group => group.Count() > 1).ToList()
            is { Count: > 0 } meeting)
        {
            var met = meeting.Select(group => group.Key).ToHashSet(StringComparer.OrdinalIgnoreCase);
            string[] longer = [.. stems.Zip(arts, (stem, art) => met.Contains(stem) ? Path.GetFileName(art) : stem)];
            if (longer.SequenceEqual(stems))
            {
                throw new ProblemException(
                    Codes.SameOutput, $"{string.Join(" and ", meeting[0].Select(one => one.Second))} would both give {meeting[0].Key}.png.",
                    "Rename one of them, or run them into different folders.");
            }

            stems = longer;
        }

        return [.. stems];
    }

    private static IEnumerable<string> PicturesIn(string folder) => OutsideFile.In(folder, "*").Select(file => Path.GetFileName(file))
        .Where(name => name[0] != '.' && IsPictureName(name))
        .Order(StringComparer.Ordinal).Select(name => Path.Combine(folder, name));

    // The result of a run has its record beside it.
    private static bool IsResult(string picture) =>
        Path.GetExtension(picture).Equals(".png", StringComparison.OrdinalIgnoreCase)
        && OutsideJson.ReadFile(Path.ChangeExtension(picture, ".json"), LongestRecord) is { } record && record.Text("command") == "run"
        && Path.GetFileName(record.Object("outputs").Text("file")) == Path.GetFileName(picture);

    private static ILookup<string, string> ExportsIn(string folder, string? workFolder, List<Problem> leftOut)
    {
        var exports = new List<(string Path, string Sha256)>();
        string around = Path.GetFullPath(folder);
        string works = workFolder ?? folder;
        foreach (string path in Directory.Exists(works) ? OutsideFile.In(works, "*.work") : [])
        {
            try
            {
                using var work = WorkFile.Open(path, forWriting: false);
                exports.AddRange((work?.Setups ?? []).SelectMany(setup => work!.Line(setup).Exports)
                    .Select(export => (Path.GetFullPath(export.Path, around), export.Sha256)));
            }
            catch (ProblemException e)
            {
                // One that can't be read stops no run.
                leftOut.AddRange(e.LeftOut());
            }
        }

        return exports.ToLookup(export => export.Path, export => export.Sha256, RealPath.Comparer);
    }
}
