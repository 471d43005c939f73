using System.Collections.Immutable;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Packs;

/// <summary>A recipe or list with all that belongs to it, as it travels: source, snippets, cases, documentation and lock file.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Files">Content by name, seen from the recipe's own folder.</param>
public sealed partial record PackedRecipe(string Name, ImmutableSortedDictionary<string, byte[]> Files)
{
    /// <summary>The most files of one recipe.</summary>
    public const int MostFiles = 512;

    /// <summary>The note beside an added recipe, which says where it came from; it never travels.</summary>
    internal const string NoteName = "added.json";

    private const int LongestName = 99;
    private static readonly string[] Kinds = [".csx", ".lock", ".md", ".json", ".png", ".txt", ".case"];

    /// <summary>True where it is a list of recipes; they travel by themselves.</summary>
    public bool IsList => Files.ContainsKey(Name + RecipeList.Ending);

    /// <summary>The names of a list's recipes; none of a recipe.</summary>
    /// <exception cref="ProblemException">R6205: the list can't be read.</exception>
    internal IEnumerable<string> Listed => IsList
        ? RecipeList.Parse(Files[Name + RecipeList.Ending], Name + RecipeList.Ending).Recipes.Select(recipe => recipe.Name) : [];

    /// <summary>The name of its lock file.</summary>
    public string LockName => RecipeLock.PathFor(IsList ? Name + RecipeList.Ending : Name + ".csx");

    /// <summary>The version that the source states, by a look at its text; what counts is the compiled recipe's. A list has none.</summary>
    public int Version => IsList ? 1 : VersionCall().Match(Encoding.UTF8.GetString(Files[Name + ".csx"])) is { Success: true } match
        && int.TryParse(match.Groups[1].ValueSpan, NumberStyles.None, CultureInfo.InvariantCulture, out int version) ? version : 1;

    /// <summary>The hash of names and contents, lower-case hex.</summary>
    public string Sha256 => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(
        string.Concat(Files.Select(file => $"{RecipeFiles.Hash(file.Value)}  {file.Key}\n")))));

    /// <summary>True where both hold the same files, byte for byte.</summary>
    public bool Same(PackedRecipe? other) => other is not null && Name == other.Name && Sha256 == other.Sha256;

    /// <summary>Collects a recipe that lies on this machine.</summary>
    /// <param name="source">The recipe.</param>
    /// <param name="below">The folder below which no link is followed; null for the recipe's own.</param>
    /// <exception cref="ProblemException">R2 codes of reading it; R6204 it has a file that can't travel.</exception>
    public static PackedRecipe Collect(RecipeSource source, string? below = null)
    {
        ArgumentNullException.ThrowIfNull(source);
        var files = ImmutableSortedDictionary.CreateBuilder<string, byte[]>(StringComparer.Ordinal);
        files[source.Name + ".csx"] = Encoding.UTF8.GetBytes(source.Text);
        foreach (var load in source.Loads)
        {
            files[load.Name] = Encoding.UTF8.GetBytes(load.Text);
        }

        foreach (var (name, path) in RecipeFiles.Cases(source.Path))
        {
            files[name] = RecipeFiles.Content(path, below ?? RecipeFiles.FolderOf(source.Path));
        }

        return Finished(source.Name, source.Path, files, below);
    }

    /// <summary>Collects a list that lies on this machine, without its recipes.</summary>
    /// <param name="list">The list.</param>
    /// <param name="below">The folder below which no link is followed; null for the list's own.</param>
    /// <exception cref="ProblemException">R6204.</exception>
    public static PackedRecipe Collect(RecipeList list, string? below = null)
    {
        ArgumentNullException.ThrowIfNull(list);
        var files = ImmutableSortedDictionary.CreateBuilder<string, byte[]>(StringComparer.Ordinal);
        files[list.Name + RecipeList.Ending] = RecipeFiles.Content(list.Path, below ?? RecipeFiles.FolderOf(list.Path));
        return Finished(list.Name, list.Path, files, below);
    }

    private static PackedRecipe Finished(string name, string path, ImmutableSortedDictionary<string, byte[]>.Builder files, string? below)
    {
        foreach (string beside in (string[])[Path.ChangeExtension(path, ".md"), RecipeLock.PathFor(path)])
        {
            if (File.Exists(beside))
            {
                files[Path.GetFileName(beside)] = RecipeFiles.Content(beside, below ?? RecipeFiles.FolderOf(path));
            }
        }

        return Checked(name, files.ToImmutable()) is var (recipe, why) && recipe is not null
            ? recipe
            : throw new ProblemException(Codes.UnfitFile, $"'{CleanText.Line(name, 80)}' can't travel: {why}.",
                "Rename or remove the file: letters, digits, dot, dash and underscore, and an ending of a recipe's files.", new Place(path));
    }

    /// <summary>The recipe, or why these files make none that may be written to a disk.</summary>
    internal static (PackedRecipe? Recipe, string Why) Checked(string name, ImmutableSortedDictionary<string, byte[]> files)
    {
        if (!PlainName.IsOfFile(name))
        {
            return (null, "its name is not of small letters, digits and dashes");
        }

        string list = name + RecipeList.Ending;
        if (files.ContainsKey(name + ".csx") == files.ContainsKey(list))
        {
            return (null, files.ContainsKey(list) ? $"it has {name}.csx and {list}" : $"it has no {name}.csx");
        }

        if (files.ContainsKey(list) && files.Keys.FirstOrDefault(file => file != list && file != list + ".lock" && file != name + ".md") is { } stray)
        {
            return (null, $"its file '{CleanText.Line(stray, 100)}' is no list's file");
        }

        if (files.Count > MostFiles)
        {
            return (null, $"it has more than {MostFiles} files");
        }

        if (files.Keys.FirstOrDefault(file => !IsFileName(name, file)) is { } odd)
        {
            return (null, $"its file '{CleanText.Line(odd, 100)}' has a name that is no recipe's file");
        }

        // Windows and macOS take names that differ in case for one; a file and a folder of one name can't both be.
        var folded = files.Keys.GroupBy(file => file, StringComparer.OrdinalIgnoreCase).FirstOrDefault(group => group.Count() > 1);
        return folded is not null
            ? (null, $"its file '{folded.Key}' is there twice")
            : files.Keys.FirstOrDefault(file => files.Keys.Any(other => other.StartsWith(file + "/", StringComparison.OrdinalIgnoreCase))) is { } both
                ? (null, $"'{both}' is a file and a folder")
                : (new PackedRecipe(name, files), "");
    }

    private static bool IsFileName(string recipe, string file)
    {
        string[] parts = file.Split('/');
        return !string.Equals(file, NoteName, StringComparison.OrdinalIgnoreCase)
            && recipe.Length + 1 + file.Length <= LongestName && parts.Length <= 4
            && parts.All(part => Part().IsMatch(part) && !DeviceName.Is(part))
            && (file == recipe + RecipeList.Ending || Kinds.Contains(Path.GetExtension(file)));
    }

    [GeneratedRegex("""^[A-Za-z0-9_][A-Za-z0-9_.-]*(?<!\.)\z""", RegexOptions.CultureInvariant)]
    private static partial Regex Part();

    [GeneratedRegex("""^\s*Recipe\.Version\(([0-9]{1,7})\)""", RegexOptions.Multiline | RegexOptions.CultureInvariant)]
    private static partial Regex VersionCall();
}
