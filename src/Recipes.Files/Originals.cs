using Recipes.Problems;

namespace Recipes.Files;

/// <summary>The arts that this command reads: none of them is ever written over, by whatever name, and no option lifts it.</summary>
public static class Originals
{
    private static readonly Lock Gate = new();
    private static readonly Dictionary<string, string> Paths = new(RealPath.Comparer);
    private static readonly Dictionary<FileIdentity, string> Files = [];
    private static readonly List<string> Unseen = [];
    private static readonly HashSet<string> WorkFolders = new(RealPath.Comparer);

    /// <summary>Says where else than beside their arts this command looks for work files.</summary>
    public static void AddWorkFolder(string folder)
    {
        lock (Gate)
        {
            WorkFolders.Add(folder);
        }
    }

    /// <summary>Says that a file is an original.</summary>
    public static void Add(string path)
    {
        lock (Gate)
        {
            Unseen.Add(path);
        }
    }

    /// <summary>
    /// Refuses an output that would take the place of an original: one that this command reads, or one that lies beside its work file. Not by its name, but by
    /// what lies there: a hard link, a folder that is mounted twice and a file system that ignores case lead to one file by several names.
    /// </summary>
    /// <exception cref="ProblemException">R8001.</exception>
    public static void Refuse(string output)
    {
        // What doesn't exist is nothing's place.
        if (!File.Exists(output))
        {
            return;
        }

        lock (Gate)
        {
            if (WorkFolders.Append(null).Any(folder => File.Exists(WorkPath.Of(output, folder))))
            {
                throw Refused(output, output);
            }

            Look();
            // The inode of an original that is gone may be another file's by now.
            if (Paths.TryGetValue(RealPath.Of(output), out string? original)
                || (FileIdentity.Of(output) is { } file && Files.TryGetValue(file, out original) && FileIdentity.Of(original) == file))
            {
                throw Refused(output, original);
            }
        }
    }

    /// <summary>That an output would be written over an original.</summary>
    internal static ProblemException Refused(string output, string original) => new(
        Codes.OutputExists, $"{original} would be written over, and an original is never written.", "Name another output.", new Place(output));

    // Most commands write nothing that exists, and then nobody looks.
    private static void Look()
    {
        foreach (string path in Unseen)
        {
            Paths.TryAdd(RealPath.Of(path), path);
            if (FileIdentity.Of(path) is { } file)
            {
                Files.TryAdd(file, path);
            }
        }

        Unseen.Clear();
    }
}
