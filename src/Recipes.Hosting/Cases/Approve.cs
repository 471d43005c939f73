using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Workers;
using Recipes.Problems;

namespace Recipes.Hosting.Cases;

/// <summary>A recipe or list that is to be approved.</summary>
/// <param name="Recipe">Its name, or a file.</param>
/// <param name="By">Who approves.</param>
public sealed record ApproveRequest(string Recipe, string By)
{
    /// <summary>A folder of recipes to look in first, or null.</summary>
    public string? RecipesFolder { get; init; }

    /// <summary>Which of the user's keys signs; null for the only one.</summary>
    public string? Key { get; init; }
}

/// <summary>A recipe or list that was approved.</summary>
/// <param name="Recipes">What was signed.</param>
/// <param name="Lock">Its lock file.</param>
/// <param name="Key">The key that signed.</param>
/// <param name="House">The house.</param>
/// <param name="Worth">What the lock file is worth there now.</param>
public sealed record ApprovedRecipes(ReadyRecipes Recipes, RecipeLock Lock, PublicKey Key, House House, Approval Worth)
{
    /// <summary>Where the lock file lies.</summary>
    public string Path => RecipeLock.PathFor(Recipes.Path);

    /// <summary>How many cases passed, in words; <c>none</c> where there are none.</summary>
    public string Cases => Lock.Approvals[^1].Cases;

    /// <summary>Those that leave bare on purpose.</summary>
    public IEnumerable<ReadyRecipe> LeaveBare => Recipes.All.Where(recipe => recipe.Spec.LeavesBare.Length > 0);
}

/// <summary>Compiles and tests a recipe, or a list's recipes, and signs it as it stands.</summary>
public static class Approve
{
    /// <summary>Approves it. Every case runs twice.</summary>
    /// <exception cref="ProblemException">
    /// R6105 the house's configuration can't be read; R6106, R6104 there is no such key; R1002, R1003 and R2 codes the recipe can't be found or doesn't
    /// compile; and as <see cref="Approval.Give(RecipeSource, int, SigningKey, string, DateOnly, Func{IReadOnlyCollection{CaseVerdict}})"/>.
    /// </exception>
    public static ApprovedRecipes Run(Shop shop, ApproveRequest request, WorkerPool workers)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        var house = House.Read();
        var key = SigningKey.Find(request.Key);
        var found = shop.Find(new RecipeRequest(request.Recipe) { Folder = request.RecipesFolder }, workers);
        RecipeSource[] sources = [.. found.All.Select(recipe => recipe.Source)];
        var on = DateOnly.FromDateTime(shop.Now.UtcDateTime);
        var (given, now) = found.List is { List: var list }
            ? (Approval.Give(list, sources, key, request.By, on, Test), Approval.Of(list, sources, house))
            : (Approval.Give(sources[0], found.Identity.Version, key, request.By, on, Test), Approval.Of(sources[0], house));
        return new ApprovedRecipes(found, given, key.Public, house, now);

        List<CaseVerdict> Test() =>
        [
            .. found.All.SelectMany(recipe => shop.Progress.During($"Testing {recipe.Source.Name}", () =>
                CaseRunner.Run(recipe, workers, twice: int.MaxValue, shop.Cancel)).Select(outcome => outcome.Verdict(recipe.Source.Path))),
        ];
    }
}
