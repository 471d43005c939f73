using Recipes.Hosting.Library;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Workers;
using Recipes.Problems;

namespace Recipes.Hosting.Runs;

/// <summary>A shop's recipes, found, allowed and compiled.</summary>
public static class ShopRecipes
{
    /// <summary>Finds a recipe and reads it, without compiling it.</summary>
    /// <param name="nameOrFile">Its name on the recipe path, or a file.</param>
    /// <param name="recipesFolder">The folder to look in first, or null.</param>
    /// <exception cref="ProblemException">R1001 it is a list; R1002, R1003 it can't be found; R2008 it can't be read; R6205 the list can't be used.</exception>
    public static RecipeSource Read(string nameOrFile, string? recipesFolder)
    {
        if (RecipeList.Find(nameOrFile, recipesFolder) is { } list)
        {
            throw new ProblemException(Codes.BadUsage, $"'{list.Name}' is a list of recipes, and this takes one recipe.",
                $"Name one of its recipes: {string.Join(", ", list.Recipes.Select(recipe => recipe.Name))}. "
                    + "Lists go with 'show', 'dry-run', 'commit', 'run', 'test', 'approve' and 'pack'.",
                new Place(list.Path));
        }

        var (name, file) = RecipePath.Find(nameOrFile, recipesFolder);
        return RecipeSource.Read(name, file);
    }

    /// <summary>Finds and reads a list's recipes, in the list's own folder too.</summary>
    /// <param name="list">The list.</param>
    /// <param name="recipesFolder">The folder to look in first, or null for the list's own.</param>
    /// <exception cref="ProblemException">R1002, R1003 one can't be found; R2008 one can't be read.</exception>
    public static RecipeSource[] Read(RecipeList list, string? recipesFolder)
    {
        ArgumentNullException.ThrowIfNull(list);
        return [.. list.Recipes.Select(recipe => Read(list, recipe.Name, recipesFolder))];
    }

    /// <summary>Finds and reads one of a list's recipes.</summary>
    /// <param name="list">The list.</param>
    /// <param name="recipe">The recipe's name.</param>
    /// <param name="recipesFolder">The folder to look in first, or null for the list's own.</param>
    /// <exception cref="ProblemException">R1002, R1003 it can't be found; R2008 it can't be read.</exception>
    public static RecipeSource Read(RecipeList list, string recipe, string? recipesFolder)
    {
        ArgumentNullException.ThrowIfNull(list);
        return recipesFolder is null && list.Own(recipe) is { } own ? RecipeSource.Read(own.Name, own.File) : Read(recipe, recipesFolder ?? list.Folder);
    }

    /// <summary>Compiles a recipe that was read.</summary>
    /// <exception cref="ProblemException">R2 and R4 codes; R6101.</exception>
    public static ReadyRecipe Compile(this Shop shop, RecipeSource source, WorkerPool workers)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(source);
        return shop.Progress.During($"Compiling {source.Name}", () => shop.Timings.Measure("compile", () => ReadyRecipe.Compile(source, workers, shop.Cancel)));
    }

    /// <summary>Finds and compiles a recipe or a list.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="request">Which, where to look, and whether the result is kept: then the house may demand that it is approved.</param>
    /// <param name="workers">What compiles.</param>
    /// <exception cref="ProblemException">It can't be found, isn't allowed or doesn't compile; R1004 a parameter names no recipe of the list.</exception>
    public static ReadyRecipes Find(this Shop shop, RecipeRequest request, WorkerPool workers)
    {
        ArgumentNullException.ThrowIfNull(request);
        var list = RecipeList.Find(request.NameOrFile, request.Folder);
        RecipeSource[] sources = list is null ? [Read(request.NameOrFile, request.Folder)] : Read(list, request.Folder);
        if (request.ToKeep)
        {
            Approve(list, sources);
        }

        ReadyRecipe[] recipes = [.. sources.Select(source => shop.Compile(source, workers))];
        return list is null ? new ReadyRecipes(recipes[0], request.Sets) : new ReadyRecipes(ReadyList.Of(list, [.. recipes], request.Sets));
    }

    /// <summary>Finds and compiles one recipe.</summary>
    /// <exception cref="ProblemException">As <see cref="Find"/>; R1001 it is a list.</exception>
    public static ReadyRecipe FindOne(this Shop shop, RecipeRequest request, WorkerPool workers)
    {
        ArgumentNullException.ThrowIfNull(request);
        var source = Read(request.NameOrFile, request.Folder);
        if (request.ToKeep)
        {
            Approval.Require(source);
        }

        return shop.Compile(source, workers);
    }

    private static void Approve(RecipeList? list, RecipeSource[] sources)
    {
        if (list is null)
        {
            Approval.Require(sources[0]);
        }
        else
        {
            Approval.Require(list, sources);
        }
    }
}

/// <summary>A recipe or a list, as somebody names it.</summary>
/// <param name="NameOrFile">Its name on the recipe path, or a file.</param>
public sealed record RecipeRequest(string NameOrFile)
{
    /// <summary>The folder to look in first, or null.</summary>
    public string? Folder { get; init; }

    /// <summary>Parameters as <c>name=value</c>; a list's as <c>recipe.name=value</c>.</summary>
    public IReadOnlyList<string> Sets { get; init; } = [];

    /// <summary>True: the result will be kept or printed, so the house may demand an approval.</summary>
    public bool ToKeep { get; init; }
}
