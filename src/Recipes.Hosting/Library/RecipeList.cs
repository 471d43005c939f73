using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Library;

/// <summary>One recipe of a list.</summary>
/// <param name="Name">The recipe's name.</param>
/// <param name="Sets">Its parameters, as <c>--set</c> takes them.</param>
public sealed record ListedRecipe(string Name, ImmutableArray<string> Sets);

/// <summary>Recipes that run one after the other and are looked at as one, <c>NAME.recipes</c>. docs/pipelines.md describes the format.</summary>
/// <param name="Name">Its name on the recipe path, or the file's stem.</param>
/// <param name="Path">The file.</param>
/// <param name="Title">What it is for, in a line.</param>
/// <param name="Recipes">The recipes in order, each once.</param>
/// <param name="Sha256">Of the text, lower-case hex.</param>
public sealed partial record RecipeList(string Name, string Path, string Title, ImmutableArray<ListedRecipe> Recipes, string Sha256)
{
    /// <summary>What such a file's name ends with.</summary>
    public const string Ending = ".recipes";

    private const string FirstLine = "recipes-list 1";
    internal const int MostRecipes = 32;
    private const long Longest = 64 * 1024;

    /// <summary>Where its recipes are looked for first: its folder, or the one around a folder of its own.</summary>
    public string Folder
    {
        get
        {
            string own = System.IO.Path.GetDirectoryName(System.IO.Path.GetFullPath(Path))!;
            return System.IO.Path.GetFileName(own) == Name ? System.IO.Path.GetDirectoryName(own)! : own;
        }
    }

    /// <summary>
    /// The recipe beside the list, where that lies outside the recipe path and so was named by its path, or null:
    /// who names a list by its path means what lies beside it, a shared folder's recipes for instance that were also added here.
    /// On the recipe path a name in two places stays an error.
    /// </summary>
    /// <param name="recipe">A recipe's name.</param>
    public FoundRecipe? Own(string recipe)
    {
        string folder = Folder;
        return RecipePath.Folders(null).Any(known => RealPath.Same(known, folder))
            || RecipePath.In(folder).Where(found => found.Name == recipe).ToList() is not [var own] ? null : own;
    }

    /// <summary>Finds a list by name on the recipe path, or takes a path to one; null where there is none of that name.</summary>
    /// <exception cref="ProblemException">R1002 no such file; R1003 the name is in two places; R6205 it can't be used.</exception>
    public static RecipeList? Find(string nameOrFile, string? recipesOption)
    {
        ArgumentNullException.ThrowIfNull(nameOrFile);
        if (nameOrFile.EndsWith(Ending, StringComparison.Ordinal))
        {
            return File.Exists(nameOrFile) ? Read(nameOrFile)
                : throw new ProblemException(Codes.UnknownRecipe, $"There is no recipe list {nameOrFile}.", "Check the path.", new Place(nameOrFile));
        }

        if (!PlainName.IsOfFile(nameOrFile))
        {
            return null;
        }

        string[] found = [.. RecipePath.Folders(recipesOption)
            .SelectMany(folder => new[] { System.IO.Path.Combine(folder, nameOrFile + Ending),
                System.IO.Path.Combine(folder, nameOrFile, nameOrFile + Ending) }).Where(File.Exists)];
        string[] all = found.Length == 0 ? []
            : [.. found, .. RecipePath.All(recipesOption).Where(recipe => recipe.Name == nameOrFile).Select(recipe => recipe.File)];
        return all.Length > 1
            ? throw new ProblemException(Codes.RecipeInTwoPlaces, $"'{nameOrFile}' is found in two places: {string.Join(" and ", all)}.",
                "Rename one of them, or name the file you mean by its path.", new Place(all[0]))
            : found.Length == 1 ? Read(found[0]) : null;
    }

    /// <summary>Reads a list.</summary>
    /// <param name="path">The file.</param>
    /// <param name="below">A shared folder below which no link is followed; null where the user named the list.</param>
    /// <exception cref="ProblemException">R6205.</exception>
    public static RecipeList Read(string path, string? below = null)
    {
        byte[] bytes;
        try
        {
            bytes = OutsideFile.Read(path, Longest, below) ?? throw Bad(path, 1, "The list is longer than 64 KB.");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw Bad(path, 1, $"The list can't be read: {e.Message}");
        }

        return Parse(bytes, path);
    }

    internal static RecipeList Parse(byte[] bytes, string path)
    {
        string[] lines = Encoding.UTF8.GetString(bytes).Replace("\r\n", "\n", StringComparison.Ordinal).Split('\n');
        if (lines[0] != FirstLine)
        {
            throw Bad(path, 1, $"The first line is not '{FirstLine}'.");
        }

        string title = "";
        var recipes = ImmutableArray.CreateBuilder<ListedRecipe>();
        for (int i = 1; i < lines.Length; i++)
        {
            string line = lines[i].Trim();
            if (line.Length == 0 || line[0] == '#')
            {
                continue;
            }

            if (line.StartsWith("title ", StringComparison.Ordinal) && title.Length == 0 && recipes.Count == 0)
            {
                title = CleanText.Line(line[6..], 200);
                continue;
            }

            string[] parts = line.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
            if (!PlainName.IsOfFile(parts[0]) || !parts.Skip(1).All(part => Set().IsMatch(part)))
            {
                throw Bad(path, i + 1, $"The line '{CleanText.Line(line, 80)}' is no recipe with parameters.");
            }

            if (recipes.Any(recipe => recipe.Name == parts[0]))
            {
                throw Bad(path, i + 1, $"'{parts[0]}' is there twice.");
            }

            recipes.Add(new ListedRecipe(parts[0], [.. parts.Skip(1)]));
        }

        return recipes.Count is >= 1 and <= MostRecipes
            ? new RecipeList(System.IO.Path.GetFileNameWithoutExtension(path), path, title, recipes.ToImmutable(),
                Convert.ToHexStringLower(SHA256.HashData(bytes)))
            : throw Bad(path, lines.Length, $"The list has {recipes.Count} recipes; 1 to {MostRecipes} make one.");
    }

    private static ProblemException Bad(string path, int line, string message) => new(
        Codes.BadRecipeList, message, "Write a recipe's name, then name=value for each parameter.", new Place(path, line, 1));

    [GeneratedRegex("""^[a-z0-9][a-z0-9-]*=\S*\z""", RegexOptions.CultureInvariant)]
    private static partial Regex Set();
}
