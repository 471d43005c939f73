using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Library;

/// <summary>A recipe, or a list of them, on the recipe path.</summary>
public sealed record FoundRecipe(string Name, string File);

/// <summary>
/// Where recipes are found: <c>--recipes DIR</c>, then RECIPES_PATH, then the user's data folder, then the shipped ones. A
/// recipe lies there as <c>NAME.csx</c> or <c>NAME/NAME.csx</c>; one name in two places is an error, never a choice.
/// </summary>
public static class RecipePath
{
    private static string Shipped => Path.Combine(ProgramFolder.Root, "share", "recipes");

    /// <summary>Whether a file lies where the program's own recipes do.</summary>
    internal static bool IsShipped(string file) => Path.GetDirectoryName(Path.GetFullPath(file)) == Path.GetFullPath(Shipped);

    /// <summary>The folders in order, each once; those that don't exist are left out.</summary>
    public static IReadOnlyList<string> Folders(string? recipesOption)
    {
        var folders = new List<string>();
        if (recipesOption is not null)
        {
            folders.Add(Directory.Exists(recipesOption)
                ? recipesOption
                : throw new ProblemException(Codes.BadUsage, $"There is no folder {recipesOption}.",
                    "Name an existing folder with --recipes.", new Place(recipesOption)));
        }

        folders.AddRange((Environment.GetEnvironmentVariable("RECIPES_PATH") ?? "").Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries));
        if (UserFolders.Data is { } data)
        {
            folders.Add(Path.Combine(data, "recipes"));
        }

        folders.Add(Shipped);
        return [.. folders.Where(Directory.Exists).DistinctBy(folder => Path.GetFullPath(folder).TrimEnd(Path.DirectorySeparatorChar))];
    }

    /// <summary>The folders that hold a <c>snippets</c> folder for everyone: the user's data folder and the shipped share.</summary>
    public static IEnumerable<string> SnippetParents()
    {
        if (UserFolders.Data is { } data)
        {
            yield return data;
        }

        yield return Path.Combine(ProgramFolder.Root, "share");
    }

    /// <summary>Every recipe on the path: name and file, sorted by name; a name in two places is listed twice.</summary>
    public static IReadOnlyList<FoundRecipe> All(string? recipesOption) =>
        [.. Folders(recipesOption).SelectMany(In).OrderBy(recipe => recipe.Name, StringComparer.Ordinal)];

    /// <summary>Every recipe list on the path, likewise.</summary>
    public static IReadOnlyList<FoundRecipe> Lists(string? recipesOption) =>
        [.. Folders(recipesOption).SelectMany(ListsIn).OrderBy(list => list.Name, StringComparer.Ordinal)];

    /// <summary>Finds a recipe by name, or takes a path to a .csx file.</summary>
    /// <exception cref="ProblemException">R1002 unknown; R1003 in two places.</exception>
    public static FoundRecipe Find(string nameOrFile, string? recipesOption)
    {
        ArgumentNullException.ThrowIfNull(nameOrFile);
        if (nameOrFile.EndsWith(".csx", StringComparison.Ordinal)
            || nameOrFile.Contains('/', StringComparison.Ordinal) || nameOrFile.Contains('\\', StringComparison.Ordinal))
        {
            return File.Exists(nameOrFile)
                ? new FoundRecipe(Path.GetFileNameWithoutExtension(nameOrFile), nameOrFile)
                : throw new ProblemException(Codes.UnknownRecipe, $"There is no recipe file {nameOrFile}.",
                    "Check the path; 'recipes list' shows the recipes by name.", new Place(nameOrFile));
        }

        var all = All(recipesOption);
        var found = all.Where(recipe => recipe.Name == nameOrFile).ToList();
        return found switch
        {
            [var one] => one,
            [] => throw new ProblemException(Codes.UnknownRecipe, $"There is no recipe '{CleanText.Line(nameOrFile, 80)}'.",
                Suggestion.Hint(nameOrFile, [.. all.Concat(Lists(recipesOption)).Select(recipe => recipe.Name).Distinct()])),
            _ => throw new ProblemException(Codes.RecipeInTwoPlaces,
                $"The recipe '{nameOrFile}' is found in two places: {string.Join(" and ", found.Select(recipe => recipe.File))}.",
                "Rename one of them, or name the file you mean by its path.", new Place(found[0].File)),
        };
    }

    internal static List<FoundRecipe> In(string folder) => Read(folder, Look);

    private static List<FoundRecipe> Read(string folder, Func<string, IEnumerable<FoundRecipe>> look)
    {
        try
        {
            return [.. look(folder)];
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.BadUsage, $"The recipe folder {folder} can't be read: {e.Message}",
                "Allow reading it, or take it off the recipe path.", new Place(folder), e);
        }
    }

    internal static List<FoundRecipe> ListsIn(string folder) => Read(folder, LookForLists);

    private static IEnumerable<FoundRecipe> LookForLists(string folder) => Look(folder, RecipeList.Ending);

    private static IEnumerable<FoundRecipe> Look(string folder) => Look(folder, ".csx");

    private static IEnumerable<FoundRecipe> Look(string folder, string ending)
    {
        foreach (string file in Directory.EnumerateFiles(folder, "*" + ending))
        {
            if (Path.GetFileNameWithoutExtension(file) is var name && PlainName.IsOfFile(name))
            {
                yield return new FoundRecipe(name, file);
            }
        }

        foreach (string inner in Directory.EnumerateDirectories(folder))
        {
            string name = Path.GetFileName(inner), file = Path.Combine(inner, name + ending);
            if (PlainName.IsOfFile(name) && File.Exists(file))
            {
                yield return new FoundRecipe(name, file);
            }
        }
    }
}
