using System.Collections.Immutable;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Trust;
using Recipes.Problems;

namespace Recipes.Hosting.Packs;

/// <summary>A pack that is to be written.</summary>
/// <param name="Path">The file.</param>
public sealed record PackRequest(string Path)
{
    /// <summary>The recipes and lists; a list brings its recipes. Empty for all of the recipes folder, or of the user's own.</summary>
    public IReadOnlyCollection<string> Names { get; init; } = [];

    /// <summary>A folder of recipes to look in first, or null.</summary>
    public string? RecipesFolder { get; init; }

    /// <summary>True: takes the place of a file that is there.</summary>
    public bool Force { get; init; }
}

/// <summary>A pack that was written.</summary>
/// <param name="Recipes">What it holds.</param>
/// <param name="Void">A warning for each whose approval doesn't hold: whoever adds it would be refused, and whoever packs it learns that first.</param>
public sealed record WrittenPack(ImmutableArray<PackedRecipe> Recipes, ImmutableArray<Problem> Void);

/// <summary>Puts recipes with their snippets, cases, documentation and approvals into one file.</summary>
public static class PackRecipes
{
    /// <summary>Writes it.</summary>
    /// <exception cref="ProblemException">R1001 there are none; R1002, R1003 one can't be found; R2008, R6204, R6205 one can't be read or travel;
    /// R8001, R8002 the pack can't be written; R6105 the house's configuration can't be read.</exception>
    public static WrittenPack Write(Shop shop, PackRequest request)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        string? folder = request.RecipesFolder;
        PackedRecipe[] packed = request.Names.Count > 0 ? RecipePack.Once(request.Names.SelectMany(name => Collect(name, folder))) : Own(folder);
        if (packed.Length == 0)
        {
            throw new ProblemException(Codes.BadUsage, "There are no recipes of your own to pack.", "Name the recipes, or the folder with --recipes.");
        }

        byte[] bytes = RecipePack.Write(packed);
        foreach (string source in RecipePath.All(folder).Concat(RecipePath.Lists(folder)).Select(found => found.File).Concat(request.Names.Where(File.Exists)))
        {
            Originals.Add(source);
        }

        shop.Cancel.ThrowIfCancellationRequested();
        AtomicFile.Write(request.Path, stream => stream.Write(bytes), replace: request.Force);
        var house = House.Read();
        return new WrittenPack([.. packed],
        [
            .. packed.Select(recipe => (recipe.Name, Approval: RecipeShelf.ApprovalOf(recipe, packed, house)))
                .Where(signed => signed.Approval.State == ApprovalState.Void).Select(signed => new Problem(
                    Codes.ApprovalVoid, $"The approval of '{signed.Name}' doesn't hold any more: {signed.Approval.Words}.",
                    "Whoever adds the pack will be refused. Have the recipe approved again, or pack it without its lock file.",
                    new Place(request.Path), Severity.Warning)),
        ]);
    }

    private static PackedRecipe[] Own(string? folder)
    {
        string? own = folder ?? (UserFolders.Data is { } data ? Path.Combine(data, "recipes") : null);
        return own is not null && Directory.Exists(own) ? [.. RecipePack.ReadFolder(own)] : [];
    }

    private static IEnumerable<PackedRecipe> Collect(string name, string? folder) => RecipeList.Find(name, folder) is { } list
        ? RecipePack.Collect(list, ShopRecipes.Read(list, folder)) : [PackedRecipe.Collect(ShopRecipes.Read(name, folder))];
}
