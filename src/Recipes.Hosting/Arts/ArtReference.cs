using Recipes.Imaging;

namespace Recipes.Hosting.Arts;

/// <summary>An art as somebody asks for it.</summary>
/// <param name="Path">The customer's file.</param>
public sealed record ArtReference(string Path)
{
    /// <summary>The garment setup, by name or file; null takes the art's own or the chosen one.</summary>
    public string? Setup { get; init; }

    /// <summary>True: the art as it came, whatever its work file holds.</summary>
    public bool Original { get; init; }

    /// <summary>The kind of art, where somebody says it.</summary>
    public ArtKind? Kind { get; init; }
}
