using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Runs;

/// <summary>What can be run: one compiled recipe, or a list of them, with its parameters.</summary>
/// <param name="List">The list, or null where it is one recipe.</param>
/// <param name="All">The recipe, or those of the list.</param>
/// <param name="Sets">The parameters of one recipe, as <c>name=value</c>; a list holds those of its own.</param>
public sealed record ReadyRecipes(ReadyList? List, ImmutableArray<ReadyRecipe> All, ImmutableArray<string> Sets)
{
    /// <summary>One recipe.</summary>
    public ReadyRecipes(ReadyRecipe recipe, IEnumerable<string> sets)
        : this(null, [recipe], [.. sets])
    {
    }

    /// <summary>A list.</summary>
    public ReadyRecipes(ReadyList list)
        : this(list, list.Recipes, [])
    {
    }

    /// <summary>No recipe: the art is taken as it stands.</summary>
    public static ReadyRecipes None { get; } = new(null, [], []);

    /// <summary>As reports name it.</summary>
    public RecipeIdentity Identity => List?.Identity ?? (All.IsEmpty ? RecipeIdentity.None : All[0].Identity);

    /// <summary>The file that it came from.</summary>
    public string Path => List?.List.Path ?? All[0].Source.Path;

    /// <summary>The names of a list's recipes; none of one recipe.</summary>
    public string[] Parts => [.. List?.List.Recipes.Select(recipe => recipe.Name) ?? []];

    /// <summary>The same with other parameters; a list's are <c>recipe.name=value</c>, in the place of its own.</summary>
    /// <exception cref="ProblemException">R1004 a parameter names no recipe of the list.</exception>
    public ReadyRecipes With(IReadOnlyList<string> sets) =>
        List is { } list ? new ReadyRecipes(ReadyList.Of(list.List, All, sets)) : this with { Sets = [.. sets] };

    /// <summary>Its parameters on an art; a list's as <c>recipe.name</c>.</summary>
    /// <exception cref="ProblemException">R1004, R1005, R1011.</exception>
    public ParameterValues Values(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        return All.IsEmpty ? ParameterValues.None
            : List?.Given(state) ?? ParameterValues.Resolve(All[0].Spec, Sets, state.Setup.ResolutionFor(state.Art), state.Setup);
    }

    /// <summary>Refuses parameters that no art could be run with, of all recipes at once.</summary>
    /// <exception cref="ProblemException">R1004, R1005, R1011.</exception>
    public void CheckValues(GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        var problems = new List<Problem>();
        foreach (var (i, recipe) in All.Index())
        {
            try
            {
                ParameterValues.Resolve(recipe.Spec, List?.Sets[i] ?? Sets, setup.PixelsPerInch, setup);
            }
            catch (ProblemException e)
            {
                problems.AddRange(e.Problems);
            }
        }

        if (problems.Count > 0)
        {
            throw new ProblemException(problems);
        }
    }

    /// <summary>What <c>--set</c> calls a parameter of each recipe that has one of this name.</summary>
    public IEnumerable<string> Called(string parameter) => All
        .Where(recipe => recipe.Spec.Parameters.Any(known => known.Name == parameter))
        .Select(recipe => List is null ? parameter : $"{recipe.Source.Name}.{parameter}");
}
