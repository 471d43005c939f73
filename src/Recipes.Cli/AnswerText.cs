using Recipes.Hosting.Words;

namespace Recipes.Cli;

/// <summary>
/// An answer's text: one call of <see cref="WriteLine(string)"/> writes one line, whatever names and notes stand in it. Lines end with a line feed.
/// </summary>
internal sealed class AnswerText : StringWriter
{
    public AnswerText() => NewLine = "\n";

    /// <inheritdoc/>
    public override void WriteLine(string? value)
    {
        Write(CleanText.OneLine(value));
        WriteLine();
    }
}
