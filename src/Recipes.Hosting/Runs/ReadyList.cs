using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Runs;

/// <summary>A list whose recipes are compiled, with the parameters of each.</summary>
/// <param name="List">The list.</param>
/// <param name="Recipes">Its recipes in order.</param>
/// <param name="Sets">The parameters of each, as <c>--set</c> takes them.</param>
public sealed record ReadyList(RecipeList List, ImmutableArray<ReadyRecipe> Recipes, ImmutableArray<ImmutableArray<string>> Sets)
{
    /// <summary>The list as reports name it; its hash covers the list and every recipe.</summary>
    public RecipeIdentity Identity => new(List.Name, 1, Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(
        List.Sha256 + string.Concat(Recipes.Select(recipe => $"\n{recipe.Source.Name} {recipe.Source.Sha256}"))))), List.Title);

    /// <summary>Puts a list together.</summary>
    /// <param name="list">The list.</param>
    /// <param name="recipes">Its recipes, compiled.</param>
    /// <param name="sets">Further parameters as <c>recipe.name=value</c>; each takes the place of the list's own.</param>
    /// <exception cref="ProblemException">R1004: one names no recipe of the list.</exception>
    public static ReadyList Of(RecipeList list, ImmutableArray<ReadyRecipe> recipes, IEnumerable<string> sets)
    {
        ArgumentNullException.ThrowIfNull(list);
        var given = list.Recipes.Select(recipe => recipe.Sets.ToList()).ToList();
        var problems = new List<Problem>();
        foreach (string set in sets)
        {
            int at = list.Recipes.Select(recipe => recipe.Name).ToList().FindIndex(name => set.StartsWith(name + ".", StringComparison.Ordinal));
            if (at < 0)
            {
                problems.Add(new Problem(Codes.UnknownParameter, $"'--set {CleanText.Line(set, 80)}' names no recipe of the list '{list.Name}'.",
                    $"Write --set RECIPE.name=value with one of {string.Join(", ", list.Recipes.Select(recipe => recipe.Name))}."));
                continue;
            }

            string own = set[(list.Recipes[at].Name.Length + 1)..], name = own.Split('=')[0];
            // What the list says gives way; what was given twice is an error of whoever gave it.
            given[at].RemoveAll(listed => list.Recipes[at].Sets.Contains(listed) && listed.Split('=')[0] == name);
            given[at].Add(own);
        }

        return problems.Count > 0 ? throw new ProblemException(problems)
            : new ReadyList(list, recipes, [.. given.Select(own => own.ToImmutableArray())]);
    }

    /// <summary>Every parameter as <c>recipe.name</c>, defaults included.</summary>
    /// <exception cref="ProblemException">R1004, R1005, R1011.</exception>
    public ParameterValues Given(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        var given = Recipes.SelectMany((recipe, i) => ParameterValues.Resolve(recipe.Spec, Sets[i], state.Setup.ResolutionFor(state.Art), state.Setup).Given
            .Select(pair => KeyValuePair.Create($"{recipe.Source.Name}.{pair.Key}", pair.Value)));
        var all = given.ToImmutableSortedDictionary(StringComparer.Ordinal);
        return new ParameterValues(all, all);
    }
}
