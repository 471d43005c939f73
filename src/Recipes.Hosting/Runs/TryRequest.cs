using Recipes.Hosting.Arts;
using Recipes.Imaging;

namespace Recipes.Hosting.Runs;

/// <summary>A recipe or a list that is to run on an art.</summary>
/// <param name="Recipe">The recipe or the list, and its parameters.</param>
/// <param name="Art">The art.</param>
public sealed record TryRequest(RecipeRequest Recipe, ArtReference Art)
{
    /// <summary>What may happen to printing.</summary>
    public Guardrails Guardrails { get; init; } = Guardrails.Default;
}
