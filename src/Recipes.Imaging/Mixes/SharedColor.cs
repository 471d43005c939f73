namespace Recipes.Imaging;

/// <summary>Where an art holds a color.</summary>
/// <param name="Share">How much of every pixel is the color.</param>
/// <param name="LinesLeft">
/// Thin lines, a px around their middles, that may be of the color but cover less than a pixel of it, and so are in no share: thinner than a
/// pixel, or of a paler color of its hue. An 8-connected island is a line, 8 px long or longer.
/// </param>
public sealed record SharedColor(Region Share, Region LinesLeft)
{
    /// <summary>
    /// How much of every pixel is one color. Coverage is 255 where a pixel at alpha above 0 is within a CIEDE2000
    /// difference, in Lab D50, of the color, wherever that occurs; on anti-aliased edges of such pixels, and on thin lines of
    /// the color, it is the share that the color has in the mix with a neighbor. Pixels that two other colors explain stay out.
    /// </summary>
    /// <remarks>
    /// Mixes are straight lines between gamma-encoded premultiplied colors, as renderers make them, so at an edge to
    /// transparency the share is full and alpha falls. An edge may be up to 3 px wide, a line must be at least 1 px.
    /// </remarks>
    /// <param name="art">Flattened art.</param>
    /// <param name="color">The color; its alpha is ignored.</param>
    /// <param name="within">Largest difference, 0 or more; compared after rounding both to 1e-6.</param>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="within"/> is negative or not a number.</exception>
    public static Region ShareOf(Plane<Rgba8> art, Rgba8 color, double within)
    {
        ArgumentNullException.ThrowIfNull(art);
        return new Region(ColorShare.Of(art, color, Find.Limit(within, nameof(within))), art);
    }

    /// <summary>The same, and the thin lines that are left whole.</summary>
    /// <inheritdoc cref="ShareOf"/>
    public static SharedColor Of(Plane<Rgba8> art, Rgba8 color, double within)
    {
        ArgumentNullException.ThrowIfNull(art);
        var (shares, left) = ColorShare.WithLines(art, color, Find.Limit(within, nameof(within)));
        return new SharedColor(new Region(shares, art), new Region(left, art));
    }
}
