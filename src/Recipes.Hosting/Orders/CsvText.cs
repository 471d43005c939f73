using System.Collections.Immutable;
using System.Text;
using Recipes.Problems;

namespace Recipes.Hosting.Orders;

/// <summary>A field of a CSV file.</summary>
/// <param name="Text">What it holds, without the quotes around it.</param>
/// <param name="Line">The line that it begins in, from 1.</param>
/// <param name="Column">The character that it begins at, from 1.</param>
public sealed record CsvField(string Text, int Line, int Column);

/// <summary>
/// Reads comma-separated values as RFC 4180, section 2, writes them: fields with commas, quotes or line breaks stand in double quotes, a
/// quote inside is doubled, spaces belong to the field. A line feed alone ends a line too, and empty lines are passed over.
/// </summary>
internal sealed class CsvText
{
    private const int LongestField = 4096;
    private readonly string text;
    private readonly string path;
    private int at, line = 1, lineStart;

    private CsvText(string text, string path) => (this.text, this.path) = (text, path);

    private bool AtEnd => at == text.Length;

    private int Column => at - lineStart + 1;

    /// <summary>The records, each with at least one field.</summary>
    /// <exception cref="ProblemException">R6303 with line and column.</exception>
    public static ImmutableArray<ImmutableArray<CsvField>> Parse(string text, string path, int mostRecords)
    {
        var csv = new CsvText(text, path);
        var records = ImmutableArray.CreateBuilder<ImmutableArray<CsvField>>();
        while (!csv.AtEnd)
        {
            if (csv.TakeLineEnd())
            {
                continue;
            }

            if (records.Count == mostRecords)
            {
                throw csv.Bad(csv.line, csv.Column, $"The list has more than {mostRecords} lines.");
            }

            records.Add(csv.Record());
        }

        return records.ToImmutable();
    }

    private ImmutableArray<CsvField> Record()
    {
        var fields = ImmutableArray.CreateBuilder<CsvField>();
        do
        {
            fields.Add(Field());
        }
        while (Take(','));
        return AtEnd || TakeLineEnd() ? fields.ToImmutable()
            : throw Bad(line, Column, text[at] == '"'
                ? "A quote stands inside a field that doesn't begin with one."
                : "After the quote that ends a field comes something else than a comma.");
    }

    private CsvField Field()
    {
        var (startLine, startColumn) = (line, Column);
        var field = new StringBuilder();
        bool quoted = Take('"');
        while (!AtEnd && (quoted || text[at] is not (',' or '"' or '\r' or '\n')))
        {
            if (quoted && Take('"'))
            {
                if (!Take('"'))
                {
                    return new CsvField(field.ToString(), startLine, startColumn);
                }

                field.Append('"');
            }
            else if (TakeLineEnd())
            {
                field.Append('\n');
            }
            else if (char.IsControl(text[at]) && text[at] != '\t')
            {
                throw Bad(line, Column, "A control character stands here.");
            }
            else
            {
                field.Append(text[at++]);
            }

            if (field.Length > LongestField)
            {
                throw Bad(startLine, startColumn, $"The field that begins here is longer than {LongestField} characters.");
            }
        }

        return quoted ? throw Bad(startLine, startColumn, "The quote that begins here never ends.") : new CsvField(field.ToString(), startLine, startColumn);
    }

    private bool Take(char wanted)
    {
        bool found = !AtEnd && text[at] == wanted;
        at += found ? 1 : 0;
        return found;
    }

    private bool TakeLineEnd()
    {
        int length = text.AsSpan(at) switch { ['\r', '\n', ..] => 2, ['\n', ..] => 1, _ => 0 };
        if (length > 0)
        {
            at += length;
            (line, lineStart) = (line + 1, at);
        }

        return length > 0;
    }

    private ProblemException Bad(int line, int column, string message) => new(
        Codes.BadOrderList, message,
        "Save it as comma-separated values in UTF-8: a field with a comma or a quote in double quotes, a quote inside doubled.", new Place(path, line, column));
}
