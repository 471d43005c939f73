namespace Recipes.Imaging;

/// <summary>A box of an art to print as a test, and what of the art it shows.</summary>
/// <param name="Area">The box, px, inside the art.</param>
/// <param name="Holds">What it shows, in words: main colors, the darkest area, the thinnest lines, the finest detail.</param>
/// <param name="LeavesOut">What of these it doesn't show.</param>
public sealed record TestBox(Box Area, IReadOnlyList<string> Holds, IReadOnlyList<string> LeavesOut);
