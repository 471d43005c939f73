using System.Collections.Immutable;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Packs;

/// <summary>How recipes are installed.</summary>
/// <param name="By">Who does it, or null.</param>
public sealed record AddOptions(string? By)
{
    /// <summary>True: nothing is installed, only told.</summary>
    public bool OnlyShow { get; init; }

    /// <summary>True: also what is older than what is here, or was changed here.</summary>
    public bool Force { get; init; }

    /// <summary>Why, for the journal.</summary>
    public string? Note { get; init; }
}

/// <summary>Recipes that came, and what became of them.</summary>
/// <param name="Plan">Each recipe, and how it stands to what is here.</param>
/// <param name="Installed">True where what is new or differs was installed.</param>
public sealed record AddedRecipes(ImmutableArray<PlannedRecipe> Plan, bool Installed)
{
    /// <summary>Why nothing was installed, as errors; what is gone where they came from and that the journal doesn't know of it, as warnings.</summary>
    public ImmutableArray<Problem> Problems { get; init; } = [];
}

/// <summary>Installs recipes that others share, all of them or none where one would undo something.</summary>
public static class AddRecipes
{
    /// <summary>Installs what a pack or a folder brings.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="source">The pack, or the folder.</param>
    /// <param name="names">The recipes and lists to take; empty for all.</param>
    /// <param name="how">How.</param>
    /// <exception cref="ProblemException">R1002 it holds no such recipe; R6201, R6202 it is no pack; R2 codes and R6204 of a recipe in a folder;
    /// R6103 an approval that comes with one doesn't hold; R6105 the house's configuration can't be read; R8002 there is no home folder.</exception>
    public static AddedRecipes From(Shop shop, string source, IReadOnlyCollection<string> names, AddOptions how)
    {
        ArgumentNullException.ThrowIfNull(names);
        var shelf = RecipeShelf.Own();
        var all = Arriving(source);
        string[] known = [.. all.Select(recipe => recipe.Name)];
        return names.FirstOrDefault(name => !known.Contains(name)) is { } missing
            ? throw new ProblemException(Codes.UnknownRecipe, $"There is no recipe '{CleanText.Line(missing, 80)}' in it.", Suggestion.Hint(missing, known))
            : Install(shop, shelf, [new Delivery(source, all.Where(recipe => names.Count == 0 || names.Contains(recipe.Name)))], how, []);
    }

    /// <summary>Looks again where added recipes came from, and installs what changed.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="names">The added recipes to update; empty for all.</param>
    /// <param name="how">How.</param>
    /// <exception cref="ProblemException">R1002 no such recipe was added; else as <see cref="From"/>.</exception>
    public static AddedRecipes Update(Shop shop, IReadOnlyCollection<string> names, AddOptions how)
    {
        ArgumentNullException.ThrowIfNull(names);
        var shelf = RecipeShelf.Own();
        var added = shelf.Added();
        if (names.FirstOrDefault(name => !added.ContainsKey(name)) is { } missing)
        {
            throw new ProblemException(Codes.UnknownRecipe, $"No recipe '{CleanText.Line(missing, 80)}' was added.", Suggestion.Hint(missing, [.. added.Keys]));
        }

        var gone = new List<Problem>();
        var deliveries = new List<Delivery>();
        foreach (var source in added.Where(recipe => names.Count == 0 || names.Contains(recipe.Key)).GroupBy(recipe => recipe.Value, recipe => recipe.Key))
        {
            if (Path.Exists(source.Key))
            {
                var arriving = shelf.Newest(Arriving(source.Key), source.Key, [.. source]);
                deliveries.Add(new Delivery(source.Key, arriving));
                gone.AddRange(source.Except(arriving.Select(recipe => recipe.Name)).Select(name => Gone(
                    Codes.UnknownRecipe, $"{source.Key} no longer has '{name}'.", "Yours stays as it is; ask whether it was withdrawn.", source.Key)));
            }
            else
            {
                gone.Add(Gone(Codes.DamagedPack, $"{source.Key} is gone, where {string.Join(", ", source)} came from.",
                    "Connect the drive, or add the recipes from where they are now.", source.Key));
            }
        }

        return Install(shop, shelf, deliveries, how, gone);
    }

    // Recipes, and where they come from.
    private sealed record Delivery(string From, IEnumerable<PackedRecipe> Recipes);

    private static Problem Gone(Code code, string message, string hint, string source) => new(code, message, hint, new Place(source), Severity.Warning);

    private static ImmutableArray<PackedRecipe> Arriving(string source) => Directory.Exists(source) ? RecipePack.ReadFolder(source) : RecipePack.Read(source);

    private static AddedRecipes Install(Shop shop, RecipeShelf shelf, IEnumerable<Delivery> deliveries, AddOptions how, IEnumerable<Problem> warnings)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(how);
        var house = House.Read();
        var plans = deliveries.Select(delivery => (delivery.From, Plan: shelf.Plan(delivery.Recipes, house))).ToList();
        var told = new AddedRecipes([.. plans.SelectMany(plan => plan.Plan)], false) { Problems = [.. warnings] };
        if (how.OnlyShow)
        {
            return told;
        }

        shop.Cancel.ThrowIfCancellationRequested();
        try
        {
            RecipeShelf.RefuseConflicts(told.Plan, how.Force);
            foreach (var (from, plan) in plans)
            {
                shelf.Install(plan, Path.GetFullPath(from), how.Force);
            }
        }
        catch (ProblemException e)
        {
            return told with { Problems = [.. e.Problems, .. told.Problems] };
        }

        var installed = plans.SelectMany(plan => plan.Plan.Where(planned => planned.Arrival != Arrival.Same).Select(planned => Entry(plan.From, planned)));
        var unnoted = Journal.Note([.. installed]);
        return told with { Installed = true, Problems = unnoted is null ? told.Problems : told.Problems.Add(unnoted) };

        JournalEntry Entry(string from, PlannedRecipe planned) => new()
        {
            At = shop.Now,
            Act = JournalAct.Add,
            By = how.By,
            Recipe = new JournalRecipe(planned.Recipe.Name, planned.Recipe.Version, shelf.Sha256Of(planned.Recipe)),
            From = JournalFile.NameOf(Path.TrimEndingDirectorySeparator(Path.GetFullPath(from))),
            Replaced = planned.HereVersion,
            Note = how.Note,
        };
    }
}
