namespace Recipes.Imaging;

/// <summary>Where an art holds a color.</summary>
/// <param name="Share">How much of every pixel is the color.</param>
/// <param name="LinesLeft">
/// Thin lines, a px around their middles, that may be of the color but cover less than a pixel of it, and so are in no share: thinner than a
/// pixel, or of a paler color of its hue. An 8-connected island is a line, 8 px long or longer.
/// </param>
public sealed record SharedColor(Region Share, Region LinesLeft);
