namespace Recipes.Decoders;

/// <summary>What a file's color channels mean.</summary>
internal enum ColorModel
{
    Rgb,
    Gray,
    Cmyk,
}

/// <summary>Whether there is an alpha channel, and how colors relate to it.</summary>
internal enum AlphaKind
{
    None,
    Straight,
    Premultiplied,
}
