using Recipes.Imaging;

namespace Recipes.Decoders;

/// <summary>A customer's file as pixels, with a record of what was done to get them.</summary>
/// <param name="Format"><c>PNG</c>, <c>JPEG</c>, <c>WebP</c>, <c>TIFF</c> or <c>OpenRaster</c>.</param>
/// <param name="Mode">How the file stores its pixels, in words: <c>8-bit RGBA</c>, <c>4-bit palette</c>, <c>gray + alpha</c>.</param>
/// <param name="Notes">What was done or assumed, one sentence each, in order; empty where the pixels are the file's own.</param>
/// <param name="Art">sRGB, straight alpha, upright; color under alpha 0 is kept. One layer, except from OpenRaster.</param>
/// <param name="Provenance">The text that the program itself left in a file, at most 64 KB; null where there is none.</param>
public sealed record DecodedArt(
    string Format,
    string Mode,
    IReadOnlyList<string> Notes,
    Artwork Art,
    string? Provenance)
{
    /// <summary>Horizontal resolution rounded to 0.01, above 0; null where the file states none.</summary>
    public double? PixelsPerInch => Art.PixelsPerInch;

    /// <summary>The pixels, flat.</summary>
    public Plane<Rgba8> Pixels => Art.Flat;

    /// <summary>Width in px, after turning upright.</summary>
    public int Width => Art.Width;

    /// <summary>Height in px, after turning upright.</summary>
    public int Height => Art.Height;
}
