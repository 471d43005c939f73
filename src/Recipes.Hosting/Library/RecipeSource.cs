using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.Library;

/// <summary>A recipe's text with the snippets it loads. The host resolves the snippets and never compiles anything.</summary>
/// <param name="Name">Its name on the recipe path, or the file's stem.</param>
/// <param name="Path">The file.</param>
/// <param name="Text">The source.</param>
/// <param name="Loads">Loaded snippets, each once.</param>
/// <param name="Sha256">Of source and snippets, names included.</param>
public sealed partial record RecipeSource(string Name, string Path, string Text, ImmutableArray<LoadedText> Loads, string Sha256)
{
    /// <summary>The longest recipe or snippet, in bytes.</summary>
    public const int Longest = 64 * 1024;

    private const int MostLoads = 32;

    /// <summary>Reads a recipe and what it loads.</summary>
    /// <param name="name">Its name.</param>
    /// <param name="path">The file.</param>
    /// <param name="below">A shared folder below which no link is followed; null where the user named the recipe.</param>
    /// <exception cref="ProblemException">R2006 too long; R2007 a snippet can't be loaded; R2008 unreadable.</exception>
    public static RecipeSource Read(string name, string path, string? below = null)
    {
        // Folders are named for recipes, and this one would lead out of where they lie.
        if (name is "." or "..")
        {
            throw new ProblemException(Codes.UnreadableRecipe, $"'{name}' is no name for a recipe.", "Rename the file.", new Place(path));
        }

        string text = ReadText(path, null, below);
        var loads = new List<LoadedText>();
        Collect(path, path, text, loads, below);
        return new RecipeSource(name, path, text, [.. loads], Hash(text, loads));
    }

    /// <summary>
    /// Where a worker says a problem is.
    /// Only lines of the recipe's own file and of the snippets it loads are places; anything else that a worker names is not.
    /// </summary>
    internal Place PlaceOf(ProblemMessage problem)
    {
        var load = Loads.FirstOrDefault(load => load.Name == problem.File);
        string file = load?.Name ?? Path, text = load?.Text ?? Text;
        int lines = 0;
        foreach (var _ in text.EnumerateLines())
        {
            lines++;
        }

        return problem.Line is { } line && line > 0 && line <= lines
            ? new Place(file, line, problem.Column is { } column && column > 0 && column <= text.Length + 1 ? column : null)
            : new Place(file);
    }

    private static void Collect(string recipe, string file, string text, List<LoadedText> loads, string? below)
    {
        int line = 0;
        foreach (string content in text.Split('\n'))
        {
            line++;
            if (LoadLine().Match(content) is not { Success: true } match)
            {
                continue;
            }

            string name = match.Groups[1].Value;
            if (loads.Any(known => known.Name == name))
            {
                continue;
            }

            var where = new Place(file, line, match.Groups[1].Index + 1);
            if (loads.Count >= MostLoads)
            {
                throw new ProblemException(Codes.BadSnippet, $"The recipe loads more than {MostLoads} snippets.", "Load fewer.", where);
            }

            string path = Resolve(recipe, name, where);
            // Snippets of the user's own lie elsewhere.
            string loaded = ReadText(path, where, below is not null && IsIn(path, below) ? below : null);
            loads.Add(new LoadedText(name, loaded));
            Collect(recipe, path, loaded, loads, below);
        }
    }

    // Inside the recipe's folder, or inside a snippets folder; links count as where they lead.
    private static string Resolve(string recipe, string name, Place where)
    {
        string[] parts = name.Split('/');
        if (name.Length > 200 || !name.EndsWith(".csx", StringComparison.Ordinal)
            || parts.Any(part => part is "" or "." or ".." || DeviceName.Is(part))
            || name.Contains('\\', StringComparison.Ordinal) || name.Contains(':', StringComparison.Ordinal))
        {
            throw new ProblemException(Codes.BadSnippet, $"'{CleanText.Line(name, 80)}' can't be loaded.",
                "Load a .csx file of the recipe's own folder, or \"snippets/NAME.csx\", by a name that Windows gives to no device.", where);
        }

        string own = System.IO.Path.GetDirectoryName(System.IO.Path.GetFullPath(recipe))!;
        var folders = new List<(string Folder, string Bounds)> { (own, own) };
        if (parts[0] == "snippets")
        {
            // What else lies beside a shared snippets folder is not for recipes to load.
            folders.AddRange(RecipePath.SnippetParents().Select(parent => (parent, System.IO.Path.Combine(parent, "snippets"))));
        }

        foreach (var (folder, bounds) in folders)
        {
            string path = System.IO.Path.Combine([folder, .. parts]);
            if (!File.Exists(path))
            {
                continue;
            }

            string real = RealPath.Of(path), root = RealPath.Of(bounds);
            return real.StartsWith(root + System.IO.Path.DirectorySeparatorChar, StringComparison.Ordinal)
                ? path
                : throw new ProblemException(Codes.BadSnippet, $"'{name}' leads out of its folder.", "Copy the snippet instead of linking to it.", where);
        }

        throw new ProblemException(Codes.BadSnippet, $"There is no snippet '{name}'.",
            "Snippets lie in the recipe's folder, or in a snippets folder beside the recipes.", where);
    }

    private static bool IsIn(string path, string folder) => !System.IO.Path.GetRelativePath(folder, path).StartsWith("..", StringComparison.Ordinal);

    private static string ReadText(string path, Place? loadedAt, string? below)
    {
        try
        {
            byte[] bytes = OutsideFile.Read(path, Longest, below)
                ?? throw new ProblemException(Codes.TooLarge, "The recipe is longer than 64 KB.",
                    "Split it, or move parts into snippets.", loadedAt ?? new Place(path));
            if (bytes.Length == 0)
            {
                throw new ProblemException(Codes.UnreadableRecipe, "The file is empty, or not an ordinary file.",
                    "Name the recipe's file, or write what it does; 'recipes new NAME' makes one to begin with.", loadedAt ?? new Place(path, 1, 1));
            }

            var utf8 = bytes.AsSpan();
            return new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(utf8.StartsWith(Encoding.UTF8.Preamble) ? utf8[3..] : utf8);
        }
        catch (ArgumentException e)
        {
            throw new ProblemException(Codes.UnreadableRecipe, "The recipe is not UTF-8 text.", "Save it as UTF-8.", new Place(path), e);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.UnreadableRecipe, $"The recipe can't be read: {e.Message}",
                "Check the file and its permissions.", loadedAt ?? new Place(path), e);
        }
    }

    private static string Hash(string text, List<LoadedText> loads)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        Add("recipe", text);
        foreach (var load in loads.OrderBy(load => load.Name, StringComparer.Ordinal))
        {
            Add(load.Name, load.Text);
        }

        return Convert.ToHexStringLower(hash.GetHashAndReset());

        void Add(string name, string content)
        {
            byte[] bytes = Encoding.UTF8.GetBytes(content);
            hash.AppendData(Encoding.UTF8.GetBytes($"{name}\n{bytes.Length}\n"));
            hash.AppendData(bytes);
        }
    }

    [GeneratedRegex("""^\s*#load\s+"([^"\r\n]+)"\s*$""", RegexOptions.CultureInvariant)]
    private static partial Regex LoadLine();
}
