using System.Globalization;
using System.Text;
using Recipes.Checking;

namespace Recipes.Hosting;

/// <summary>Makes text from outside safe to show: without control and direction characters, bounded where wanted.</summary>
public static class CleanText
{
    /// <summary>The text as one line, whatever names and notes stand in it: a name with a line feed would else write a line of its own.</summary>
    public static string OneLine(string? text) => Visible(text ?? "").Replace('\n', ' ');

    /// <summary>The text of a JSON answer with every character that could steer a terminal, or turn the order of what is read, as its escape.</summary>
    public static string Json(string json)
    {
        ArgumentNullException.ThrowIfNull(json);
        var clean = new StringBuilder(json.Length);
        foreach (char c in json)
        {
            // Only a text holds such characters, and there an escape means the same.
            _ = c > '~' && Steers(char.GetUnicodeCategory(c)) ? clean.Append(CultureInfo.InvariantCulture, $"\\u{(int)c:x4}") : clean.Append(c);
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
            shown.Append(!HiddenCharacters.Holds(rune) && rune.Value != '\r' ? rune.ToString()
                : (rune.IsBmp ? "\\u" : "\\U") + rune.Value.ToString(rune.IsBmp ? "X4" : "X8", CultureInfo.InvariantCulture));
        }

        return shown.ToString();
    }

    /// <summary>The text with every character that a terminal could take as a command replaced by a space; line feeds stay.</summary>
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
            clean.Append(rune.Value != '\n' && Steers(Rune.GetUnicodeCategory(rune)) ? " " : rune.ToString());
        }

        return clean.ToString();
    }

    private static bool Steers(UnicodeCategory category) => category is UnicodeCategory.Control or UnicodeCategory.Format
        or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator or UnicodeCategory.PrivateUse;
}
