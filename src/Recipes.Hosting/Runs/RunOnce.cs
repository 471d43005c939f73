using Recipes.Hosting.Arts;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Runs;

/// <summary>Recipes that say that a second run does harm.</summary>
public static class RunOnce
{
    /// <summary>That one of them is among the art's steps, or null. Undone steps don't count: what they did is gone.</summary>
    public static Problem? Repeated(ArtState state, IEnumerable<ReadyRecipe> recipes)
    {
        ArgumentNullException.ThrowIfNull(state);
        return state.Line is not { } line ? null
            : recipes.Where(recipe => recipe.Spec.RunOnce.Length > 0)
            .Select(recipe => (recipe, Earlier: line.Steps.FirstOrDefault(step => step.State == StepState.Done && Ran(step.Record, recipe.Source.Name))))
            .Where(repeat => repeat.Earlier is not null)
            .Select(repeat => new Problem(
                Codes.RunAlready, $"'{repeat.recipe.Source.Name}' has run on this art, as step {repeat.Earlier!.Number}. {repeat.recipe.Spec.RunOnce}",
                "Undo that step first, or repeat it on purpose with --again.", new Place(state.File.Path)))
            .FirstOrDefault();
    }

    // A list that was kept as one step ran all its recipes; its parameters and notes don't say so, its counts do.
    private static bool Ran(StepRecord record, string recipe) => record.Recipe == recipe || StepRecipes.PartsOf(record).Contains(recipe);
}
