using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text;
using Recipes.Files;
using Recipes.Problems;

namespace Recipes.Hosting.Library;

/// <summary>One file that an approval covers.</summary>
/// <param name="Name">As the recipe sees it: <c>NAME.csx</c>, the name after <c>#load</c>, or the case's path from the recipe's folder, with slashes.</param>
/// <param name="Sha256">Of the content, lower-case hex; of a recipe or snippet without a byte-order mark.</param>
public sealed record LockedFile(string Name, string Sha256);

/// <summary>The files that make a recipe what it is: its source, the snippets it loads, and its test cases.</summary>
public static class RecipeFiles
{
    private const int MostCases = 500;
    private const long LongestCase = 16 * 1024 * 1024;

    /// <summary>All of them, sorted by name.</summary>
    /// <exception cref="ProblemException">R6204: the cases are too many, too large, or links.</exception>
    public static ImmutableArray<LockedFile> Of(RecipeSource source)
    {
        ArgumentNullException.ThrowIfNull(source);
        return [.. source.Loads.Select(load => new LockedFile(load.Name, Hash(Encoding.UTF8.GetBytes(load.Text))))
            .Append(new LockedFile(Path.GetFileName(source.Path), Hash(Encoding.UTF8.GetBytes(source.Text))))
            .Concat(Cases(source.Path).Select(file => new LockedFile(file.Name, Hash(Content(file.Path, FolderOf(source.Path))))))
            .OrderBy(file => file.Name, StringComparer.Ordinal)];
    }

    /// <summary>All that makes a list what it is: its own text, and what makes each of its recipes, under the recipe's name.</summary>
    /// <exception cref="ProblemException">R6204.</exception>
    public static ImmutableArray<LockedFile> Of(RecipeList list, IEnumerable<RecipeSource> recipes)
    {
        ArgumentNullException.ThrowIfNull(list);
        return [.. recipes.SelectMany(recipe => Of(recipe).Select(file => file with { Name = $"{recipe.Name}/{file.Name}" }))
            .Append(new LockedFile(Path.GetFileName(list.Path), list.Sha256))
            .OrderBy(file => file.Name, StringComparer.Ordinal)];
    }

    /// <summary>The recipe's test cases: all files of <c>cases</c> in its own folder <c>NAME/</c>, and of <c>NAME.cases</c> beside it.</summary>
    /// <exception cref="ProblemException">R6204.</exception>
    public static IReadOnlyList<(string Name, string Path)> Cases(string recipe)
    {
        string folder = Path.GetDirectoryName(Path.GetFullPath(recipe))!, stem = Path.GetFileNameWithoutExtension(recipe);
        var found = new List<(string, string)>();
        foreach (string cases in Path.GetFileName(folder) == stem ? (string[])["cases", stem + ".cases"] : [stem + ".cases"])
        {
            var root = new DirectoryInfo(Path.Combine(folder, cases));
            if (!root.Exists)
            {
                continue;
            }

            foreach (var entry in root.EnumerateFileSystemInfos("*", new EnumerationOptions { RecurseSubdirectories = true, AttributesToSkip = 0 })
                .Prepend(root))
            {
                if (entry.LinkTarget is not null)
                {
                    throw Refused($"{entry.FullName} is a link.", entry.FullName);
                }

                if (entry is FileInfo file)
                {
                    found.Add((Path.GetRelativePath(folder, file.FullName).Replace('\\', '/'), file.FullName));
                }
            }
        }

        return found.Count <= MostCases ? found : throw Refused($"The recipe has more than {MostCases} files of cases.", recipe);
    }

    internal static string FolderOf(string path) => Path.GetDirectoryName(Path.GetFullPath(path))!;

    /// <summary>A covered file's bytes.</summary>
    /// <param name="path">The file.</param>
    /// <param name="below">The folder below which it must be no link, nor lie behind one.</param>
    internal static byte[] Content(string path, string below)
    {
        try
        {
            return OutsideFile.Read(path, LongestCase, below) ?? throw Refused("A case's file is larger than 16 MB.", path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw Refused($"A case's file can't be read: {e.Message}", path);
        }
    }

    internal static string Hash(ReadOnlySpan<byte> bytes) => Convert.ToHexStringLower(SHA256.HashData(bytes));

    private static ProblemException Refused(string message, string path) => new(
        Codes.UnfitFile, message, "Cases are ordinary files, at most 500 of 16 MB.", new Place(path));
}
