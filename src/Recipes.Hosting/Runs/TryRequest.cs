using Recipes.Imaging;

namespace Recipes.Hosting.Runs;

/// <summary>A recipe or a list that is to run on an art.</summary>
/// <param name="Recipe">The recipe or the list, and its parameters.</param>
/// <param name="ArtPath">The art.</param>
public sealed record TryRequest(RecipeRequest Recipe, string ArtPath)
{
    /// <summary>The garment setup, by name or file; null takes the art's own or the chosen one.</summary>
    public string? Setup { get; init; }

    /// <summary>What may happen to printing.</summary>
    public Guardrails Guardrails { get; init; } = Guardrails.Default;

    /// <summary>The kind of art, where somebody says it.</summary>
    public ArtKind? Kind { get; init; }

    /// <summary>True: the art as it came, whatever its work file holds.</summary>
    public bool Original { get; init; }
}
