using System.Collections.Immutable;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Trust;
using Recipes.Problems;

namespace Recipes.Hosting.Packs;

/// <summary>A recipe or list that was added or signed.</summary>
/// <param name="At">When; of a signature the day.</param>
/// <param name="What"><c>added</c>, <c>approved</c>, or <c>signed</c> where the signature doesn't count in this house.</param>
/// <param name="Name">Its name.</param>
/// <param name="Version">Its version then.</param>
/// <param name="By">Who did it, or null.</param>
public sealed record ArrivedRecipe(DateTimeOffset At, string What, string Name, int Version, string? By)
{
    /// <summary>The name of the pack or folder that it came from, or null.</summary>
    public string? From { get; init; }

    /// <summary>The version that it took the place of, or null.</summary>
    public int? Replaced { get; init; }

    /// <summary>Why it came, or null.</summary>
    public string? Note { get; init; }

    /// <summary>Why its signature doesn't count in this house, or null.</summary>
    public string? Doubt { get; init; }

    /// <summary>True where it is on the recipe path now.</summary>
    public bool IsHere { get; init; }

    /// <summary>What it says that it is for; empty where it says nothing or isn't here.</summary>
    public string Purpose { get; init; } = "";
}

/// <summary>What came lately. Installing is in the journal; an approval is in the lock file beside its recipe, however that came here.</summary>
/// <param name="Since">From when on.</param>
/// <param name="Recipes">The recipes, oldest first.</param>
/// <param name="Damaged">Lines of the journal that can't be read, as warnings.</param>
public sealed record ArrivedRecipes(DateTimeOffset Since, ImmutableArray<ArrivedRecipe> Recipes, ImmutableArray<Problem> Damaged)
{
    private const int UsualDays = 30;

    /// <summary>Looks for them.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="recipesFolder">A folder of recipes to look in first, or null.</param>
    /// <param name="from">From when on; null for 30 days back.</param>
    /// <exception cref="ProblemException">R1001 there is no such folder; R6105, R6302 the house's configuration or the journal can't be read.</exception>
    public static ArrivedRecipes Find(Shop shop, string? recipesFolder, DateTimeOffset? from)
    {
        ArgumentNullException.ThrowIfNull(shop);
        var since = from ?? new DateTimeOffset(shop.Now.UtcDateTime.Date.AddDays(-UsualDays), TimeSpan.Zero);
        var read = Journal.Read(entry => entry.Act == JournalAct.Add && entry.At >= since);
        var here = RecipePath.All(recipesFolder).Concat(RecipePath.Lists(recipesFolder)).ToLookup(recipe => recipe.Name);
        var house = House.Read();
        var added = read.Entries.Where(entry => entry.Recipe is not null).Select(entry =>
            new ArrivedRecipe(entry.At, "added", entry.Recipe!.Name, entry.Recipe.Version, entry.By)
            {
                From = entry.From, Replaced = entry.Replaced, Note = entry.Note,
            });
        var signed = here.SelectMany(recipes => recipes).SelectMany(recipe => Signed(recipe, recipesFolder, since, house));
        return new ArrivedRecipes(since,
        [
            .. added.Concat(signed).OrderBy(one => one.At).ThenBy(one => one.Name, StringComparer.Ordinal)
                .Select(one => here[one.Name].FirstOrDefault() is { File: var file } ? one with { IsHere = true, Purpose = KnownRecipe.PurposeIn(file) } : one),
        ], read.Damaged);
    }

    private static IEnumerable<ArrivedRecipe> Signed(FoundRecipe recipe, string? folder, DateTimeOffset since, House house)
    {
        try
        {
            if (RecipeLock.Read(RecipeLock.PathFor(recipe.File)) is not { } held || held.Approvals.All(approval => At(approval) < since))
            {
                return [];
            }

            // Each by itself: beside one that counts, a stranger's still doesn't.
            var each = recipe.File.EndsWith(RecipeList.Ending, StringComparison.Ordinal) && RecipeList.Read(recipe.File) is var list
                ? Approval.OfEach(list, ShopRecipes.Read(list, folder), house)
                : Approval.OfEach(RecipeSource.Read(recipe.Name, recipe.File), house);
            return [.. each.Where(one => At(one.Signature) >= since).Select(one => new ArrivedRecipe(
                At(one.Signature), one.Worth.State == ApprovalState.Approved ? "approved" : "signed", recipe.Name, held.Version, one.Signature.By)
            {
                Doubt = one.Worth.State == ApprovalState.Approved ? null : $"that doesn't count in this house: {one.Worth.Words}",
            })];
        }
        catch (ProblemException)
        {
            // A recipe or lock file that can't be read is no news here; 'show' and 'run' say what is wrong.
            return [];
        }

        static DateTimeOffset At(SignedApproval approval) => new(approval.On, TimeOnly.MinValue, TimeSpan.Zero);
    }
}
