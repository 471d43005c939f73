using Recipes.Hosting;
using Recipes.Problems;

namespace Recipes.Cli;

/// <summary>Names for completion; a completion never fails, it only offers less.</summary>
internal static class Names
{
    public static IEnumerable<string> Recipes() => Safely(() => RecipePath.All(null).Select(recipe => recipe.Name).Distinct());

    public static IEnumerable<string> Setups() => Safely(() => SetupStore.All().Keys);

    private static IEnumerable<string> Safely(Func<IEnumerable<string>> names)
    {
        try
        {
            return [.. names()];
        }
        catch (Exception e) when (e is ProblemException or IOException or UnauthorizedAccessException)
        {
            return [];
        }
    }
}
