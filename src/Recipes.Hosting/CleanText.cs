using System.Globalization;
using System.Text;
using Recipes.Checking;

namespace Recipes.Hosting;

/// <summary>Makes text from outside safe to show: without control and direction characters, bounded where wanted.</summary>
public static class CleanText
{
    /// <summary>One line of at most so many characters, trimmed.</summary>
    public static string Line(string? text, int longest)
    {
        string clean = Visible(text ?? "").Replace('\n', ' ').Trim();
        if (clean.Length <= longest)
        {
            return clean;
        }

        // Never cut a surrogate pair in two.
        return clean[..(char.IsHighSurrogate(clean[longest - 1]) ? longest - 1 : longest)] + "…";
    }

    /// <summary>The text with <see cref="HiddenCharacters"/> as C# escapes them, so that whoever reads it sees what a compiler reads.</summary>
    public static string Escaped(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        var shown = new StringBuilder(text.Length);
        foreach (var rune in text.EnumerateRunes())
        {
            shown.Append(!HiddenCharacters.Holds(rune) ? rune.ToString()
                : (rune.IsBmp ? "\\u" : "\\U") + rune.Value.ToString(rune.IsBmp ? "X4" : "X8", CultureInfo.InvariantCulture));
        }

        return shown.ToString();
    }

    /// <summary>The text with every character that a terminal could take as a command replaced by a space; line feeds stay.</summary>
    public static string Visible(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        var clean = new StringBuilder(text.Length);
        foreach (var rune in text.EnumerateRunes())
        {
            bool steers = rune.Value != '\n' && Rune.GetUnicodeCategory(rune) is UnicodeCategory.Control or UnicodeCategory.Format
                or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator or UnicodeCategory.PrivateUse;
            clean.Append(steers ? " " : rune.ToString());
        }

        return clean.ToString();
    }
}
