namespace Recipes.Hosting.Words;

/// <summary>A word of a command that people paste into a shell.</summary>
public static class ShellWord
{
    /// <summary>
    /// The text as one word of a POSIX shell: as it is where no character of it means anything there, else in single quotes, in which
    /// nothing is special but the quote itself (POSIX.1-2017, Shell Command Language, 2.2.2).
    /// </summary>
    public static string Of(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return text.Length > 0 && text.All(c => char.IsAsciiLetterOrDigit(c) || c is '-' or '_' or '.' or '/' or ',' or ':' or '+' or '@')
            ? text
            : $"'{text.Replace("'", "'\\''", StringComparison.Ordinal)}'";
    }
}
