using System.Collections.Immutable;
using Recipes.Hosting.Library;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Runs;

/// <summary>What a lock file is worth to somebody who only looks: looking keeps nothing, so a house that is closed doesn't forbid it.</summary>
/// <param name="Approval">Its worth.</param>
/// <param name="House">That the house's configuration can't be read, as a warning; or null.</param>
public sealed record SeenApproval(Approval Approval, Problem? House)
{
    /// <summary>The state in a word; <c>unknown</c> where the house can't be asked.</summary>
    public string State => House is null ? EnumWord.Of(Approval.State) : "unknown";

    internal static SeenApproval Of(Func<House, Approval> judge)
    {
        try
        {
            return new SeenApproval(judge(Trust.House.Read()), null);
        }
        catch (ProblemException e)
        {
            return new SeenApproval(new Approval(ApprovalState.Void, "it can't be judged while the house configuration can't be read"),
                e.Problems[0] with { Severity = Severity.Warning });
        }
    }
}

/// <summary>A recipe that is shown.</summary>
/// <param name="Recipe">The recipe, compiled.</param>
/// <param name="Approval">Its approval.</param>
public sealed record ShownRecipe(ReadyRecipe Recipe, SeenApproval Approval)
{
    /// <summary>A command that shows what it does; where it states none, a dry run.</summary>
    public string Example => Recipe.Spec.Example is { Length: > 0 } own ? own : $"recipes dry-run {Recipe.Source.Name} art.png";
}

/// <summary>A list that is shown.</summary>
/// <param name="List">The list.</param>
/// <param name="Recipes">Its recipes in order.</param>
/// <param name="Approval">Its approval.</param>
public sealed record ShownList(RecipeList List, ImmutableArray<RecipeSource> Recipes, SeenApproval Approval);

/// <summary>Shows what a recipe does and takes, or what a list runs.</summary>
public static class ShowRecipe
{
    /// <summary>The list of that name, its recipes read and not compiled; null where there is none.</summary>
    /// <exception cref="ProblemException">R1002, R1003 it or a recipe of it can't be found; R2008, R6205 it can't be read.</exception>
    public static ShownList? FindList(string nameOrFile, string? recipesFolder)
    {
        if (RecipeList.Find(nameOrFile, recipesFolder) is not { } list)
        {
            return null;
        }

        var recipes = ShopRecipes.Read(list, recipesFolder);
        return new ShownList(list, [.. recipes], SeenApproval.Of(house => Approval.Of(list, recipes, house)));
    }

    /// <summary>The recipe of that name, compiled.</summary>
    /// <exception cref="ProblemException">R1002, R1003 it can't be found; R2 codes, R4 codes and R6101 it isn't allowed or doesn't compile.</exception>
    public static ShownRecipe Find(Shop shop, string nameOrFile, string? recipesFolder)
    {
        var recipe = shop.FindOne(new RecipeRequest(nameOrFile) { Folder = recipesFolder }, shop.Workers);
        return new ShownRecipe(recipe, SeenApproval.Of(house => Approval.Of(recipe.Source, house)));
    }
}
