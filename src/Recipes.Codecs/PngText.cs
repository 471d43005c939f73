namespace Recipes.Codecs;

/// <summary>One text entry of a PNG file, written as an uncompressed iTXt chunk (PNG 3rd edition, 11.3.3.4).</summary>
/// <param name="Keyword">1 to 79 printable ASCII characters, no space first, last or doubled.</param>
/// <param name="Text">Any text but the null character; stored as UTF-8.</param>
public readonly record struct PngText(string Keyword, string Text)
{
    /// <summary>The keyword under which the program's own files carry their provenance.</summary>
    public const string Provenance = "Recipes";
}
