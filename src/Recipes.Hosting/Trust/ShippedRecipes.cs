using System.Collections.Frozen;
using System.Security.Cryptography;
using System.Text;
using Recipes.Hosting.Library;
using Recipes.Jail;
using Recipes.Problems;

namespace Recipes.Hosting.Trust;

/// <summary>
/// The recipes and snippets that were built into this program, by the SHA-256 of their text. Where the machine can't confine a
/// worker, only these and approved ones run.
/// </summary>
internal static class ShippedRecipes
{
    private static readonly Lazy<FrozenSet<string>> Hashes = new(() =>
    {
        using var stream = typeof(ShippedRecipes).Assembly.GetManifestResourceStream("shipped.txt")!;
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd().Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries).ToFrozenSet(StringComparer.OrdinalIgnoreCase);
    });

    /// <summary>Whether a recipe and all that it loads came with this program.</summary>
    public static bool Holds(RecipeSource source) => source.Loads.Select(load => load.Text).Append(source.Text).All(text =>
        Hashes.Value.Contains(Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(text)))));

    /// <summary>Whether a recipe may run where nothing confines it: it came with this program, or somebody whom the house trusts has signed it.</summary>
    public static bool RunsUnconfined(RecipeSource source, Func<House> house) => Holds(source) || Approval.Of(source, house()).State == ApprovalState.Approved;

    /// <summary>Refuses a recipe that this machine can't confine.</summary>
    /// <exception cref="ProblemException">R6101; R6105 the house's configuration can't be read.</exception>
    public static void RefuseUnconfined(RecipeSource source)
    {
        if (!JailSupport.CanConfine && !RunsUnconfined(source, House.Read))
        {
            var missing = JailSupport.Layers.First(layer => layer.Required && !layer.Enforced);
            throw new ProblemException(Codes.CannotConfine, $"This machine can't confine the recipe: {missing.Detail}. "
                + "Only the recipes that came with the program, and those that the house has approved, run here.",
                "Run 'recipes doctor' to see what is missing.", new Place(source.Path));
        }
    }
}
