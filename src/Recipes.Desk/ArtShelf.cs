using System.Collections.Concurrent;
using System.Security.Cryptography;
using System.Text;
using Recipes.Files;
using Recipes.Hosting.Orders;
using Recipes.Problems;

namespace Recipes.Desk;

/// <summary>A picture in one of the desk's folders.</summary>
/// <param name="Id">What the page calls it.</param>
/// <param name="Folder">The folder's number.</param>
/// <param name="Path">Its path.</param>
internal sealed record ShelvedArt(string Id, int Folder, string Path)
{
    /// <summary>Its file name.</summary>
    public string Name => System.IO.Path.GetFileName(Path);
}

/// <summary>
/// The arts that the page may open: the pictures of the folders that were named at the start. The page knows each by a name that is no path, and what it
/// calls so is looked for among them, so nothing else can be reached.
/// </summary>
internal sealed class ArtShelf(IReadOnlyList<string> folders, string? workFolder)
{
    /// <summary>The largest file that can be dropped: the largest original that a work file takes.</summary>
    public const long Largest = 900_000_000;

    private readonly ConcurrentDictionary<string, ShelvedArt> known = new();

    /// <summary>The folders, with links resolved.</summary>
    public IReadOnlyList<string> Folders { get; } = [.. folders.Select(RealPath.Of)];

    /// <summary>All of them, the newest first.</summary>
    public List<ShelvedArt> All()
    {
        var found = Folders.SelectMany((folder, i) => Directory.Exists(folder) ? RunArts.In(folder, workFolder).Arts.Select(path => Of(i, path)) : []).ToList();
        return [.. found.OfType<ShelvedArt>().OrderByDescending(art => File.GetLastWriteTimeUtc(art.Path)).ThenBy(art => art.Path, StringComparer.Ordinal)];
    }

    /// <summary>The art of a name.</summary>
    /// <exception cref="ProblemException">R3001: there is none.</exception>
    public ShelvedArt Find(string id)
    {
        if (!known.TryGetValue(id, out var art))
        {
            _ = All();
            known.TryGetValue(id, out art);
        }

        // A folder may have been exchanged for a link since.
        return art is not null && IsInside(art.Folder, art.Path) ? art : throw new ProblemException(
            Codes.ArtMissing, "This picture isn't in the desk's folders any more.", "Look whether it was moved or renamed.");
    }

    /// <summary>The art at a path, where it lies in one of the folders; else null.</summary>
    public ShelvedArt? At(string path)
    {
        int folder = Folders.ToList().FindIndex(each => RealPath.Within(path, each));
        return folder < 0 ? null : Of(folder, path);
    }

    /// <summary>The path that a dropped file gets.</summary>
    /// <exception cref="ProblemException">R1001: no such folder, or no name for a picture.</exception>
    public string PathFor(int folder, string name) =>
        folder >= 0 && folder < Folders.Count && name.Length is > 0 and <= 200 && Path.GetFileName(name) == name && name[0] != '.'
        && !name.Contains('\\', StringComparison.Ordinal) && !name.Any(char.IsControl) && RunArts.IsPictureName(name)
            ? Path.Combine(Folders[folder], name)
            : throw new ProblemException(Codes.BadUsage, "This file can't be taken: it isn't named like a picture.",
                $"Drop files that end in {string.Join(", ", RunArts.PictureEndings)}.");

    /// <summary>True where a path leads into one of the folders.</summary>
    public bool Holds(string path) => path.Length > 0 && !path.Contains('\0', StringComparison.Ordinal) && Folders.Any(folder => RealPath.Within(path, folder));

    private ShelvedArt? Of(int folder, string path)
    {
        if (!IsInside(folder, path))
        {
            return null;
        }

        string id = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(Path.GetFullPath(path))))[..16];
        return known.GetOrAdd(id, _ => new ShelvedArt(id, folder, path));
    }

    // What is written for an art lies beside it, so the folder that it is named in must lie here, too.
    private bool IsInside(int folder, string path) => RealPath.Within(path, Folders[folder])
        && RealPath.Within(Path.GetDirectoryName(Path.GetFullPath(path))!, Folders[folder]);
}
