using System.Globalization;
using System.Text;
using Recipes.Problems;

namespace Recipes.Hosting.Words;

/// <summary>Makes text from outside safe to show: without control and direction characters, bounded where wanted.</summary>
public static class CleanText
{
    /// <summary>The text as one line, whatever names and notes stand in it: a name with a line feed would else write a line of its own.</summary>
    public static string OneLine(string? text) => Visible(text ?? "").Replace('\n', ' ');

    /// <summary>The text of a JSON answer with every one of <see cref="HiddenCharacters"/> as its escape.</summary>
    public static string Json(string json)
    {
        ArgumentNullException.ThrowIfNull(json);
        var clean = new StringBuilder(json.Length);
        Span<char> units = stackalloc char[2];
        foreach (var rune in json.EnumerateRunes())
        {
            int length = rune.EncodeToUtf16(units);
            foreach (char unit in units[..length])
            {
                // Only a text holds such characters, and there an escape means the same.
                _ = HiddenCharacters.Holds(rune) ? clean.Append(CultureInfo.InvariantCulture, $"\\u{(int)unit:x4}") : clean.Append(unit);
            }
        }

        return clean.ToString();
    }

    /// <summary>One line of at most so many characters, trimmed.</summary>
    public static string Line(string? text, int longest)
    {
        string clean = OneLine(text).Trim();
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
        // Alone it ends a line for the compiler, and most editors go on in the same one.
        foreach (var rune in text.Replace("\r\n", "\n", StringComparison.Ordinal).EnumerateRunes())
        {
            shown.Append(HiddenCharacters.Holds(rune) || rune.Value == '\r' ? HiddenCharacters.Escape(rune) : rune.ToString());
        }

        return shown.ToString();
    }

    /// <summary>
    /// The text as a terminal may show it: controls and separators of lines become a space, which is what they stood for; of the other
    /// <see cref="HiddenCharacters"/> the escape is shown, since a name that has one is another name. Line feeds stay.
    /// </summary>
    public static string Visible(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        // Nearly all that is shown.
        if (!text.AsSpan().ContainsAnyExceptInRange(' ', '~'))
        {
            return text;
        }

        var clean = new StringBuilder(text.Length);
        foreach (var rune in text.EnumerateRunes())
        {
            bool parts = rune.Value != '\n' && Rune.GetUnicodeCategory(rune) is UnicodeCategory.Control or UnicodeCategory.LineSeparator
                or UnicodeCategory.ParagraphSeparator;
            clean.Append(parts ? " " : HiddenCharacters.Holds(rune) ? HiddenCharacters.Escape(rune) : rune.ToString());
        }

        return clean.ToString();
    }
}
