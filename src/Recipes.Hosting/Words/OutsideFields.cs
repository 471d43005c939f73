using System.Globalization;
using System.Text.Json;
using Recipes.Files;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Words;

/// <summary>A JSON file of a shop's own, and how its faults are told.</summary>
/// <param name="File">The file.</param>
/// <param name="Code">The problem's code.</param>
/// <param name="What">What it is, at the beginning of a sentence.</param>
/// <param name="Hint">What to do.</param>
internal sealed record OutsideSource(string File, Code Code, string What, string Hint)
{
    public ProblemException Bad(string what) => new(Code, $"{What} can't be used: {what}.", Hint, new Place(File));
}

/// <summary>The fields of one JSON object; a field that nobody asked for is an error, so that a typing mistake can't pass.</summary>
internal sealed class OutsideFields
{
    private readonly Dictionary<string, JsonElement> left = new(StringComparer.Ordinal);
    private readonly List<string> known = [];
    private readonly OutsideSource source;
    private readonly string path;

    private OutsideFields(JsonElement element, OutsideSource source, string path)
    {
        this.source = source;
        this.path = path;
        if (element.ValueKind != JsonValueKind.Object)
        {
            throw source.Bad(path.Length == 0 ? "it is not a JSON object" : $"'{path.TrimEnd('.')}' takes an object");
        }

        foreach (var property in element.EnumerateObject())
        {
            left.Add(property.Name, property.Value);
        }
    }

    /// <summary>Reads a whole file; comments and trailing commas are people's, and are passed over.</summary>
    public static T Read<T>(ReadOnlySpan<byte> json, OutsideSource source, Func<OutsideFields, T> read)
    {
        JsonDocument document;
        try
        {
            document = OutsideJson.Document(json.ToArray(), new JsonDocumentOptions
            {
                MaxDepth = 8, CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true, AllowDuplicateProperties = false,
            });
        }
        catch (JsonException e)
        {
            throw new ProblemException(
                source.Code, $"{source.What} is not valid JSON: {CleanText.Line(e.Message, 200)}", $"Mend the place shown; {source.Hint}",
                new Place(source.File, (int?)(e.LineNumber + 1), (int?)(e.BytePositionInLine + 1)), e);
        }
        catch (InvalidOperationException)
        {
            // The reader says so by an exception of the other kind.
            throw source.Bad("a text in it is not valid Unicode");
        }

        using (document)
        {
            return read(new OutsideFields(document.RootElement, source, ""));
        }
    }

    public ProblemException Bad(string name, string takes) => source.Bad($"'{path}{name}' takes {takes}");

    public OutsideFields? Object(string name) => Take(name) is { } element ? new OutsideFields(element, source, $"{path}{name}.") : null;

    public IReadOnlyList<OutsideFields> Objects(string name, int most) => Take(name) is not { } element ? []
        : element.ValueKind == JsonValueKind.Array && element.GetArrayLength() <= most
            ? [.. element.EnumerateArray().Select((item, i) =>
                new OutsideFields(item, source, string.Create(CultureInfo.InvariantCulture, $"{path}{name}[{i}].")))]
            : throw Bad(name, string.Create(CultureInfo.InvariantCulture, $"a list of at most {most} objects"));

    public string? Text(string name, int longest) => Take(name) is not { } element ? null
        : element.ValueKind == JsonValueKind.String && element.GetString() is { } text && text.Length <= longest ? text
        : throw Bad(name, $"text of at most {longest} characters");

    /// <summary>Text that stands on pages, in terminals and in answers: one line of clean text, never empty.</summary>
    public string? Line(string name, int longest) =>
        Text(name, longest) is { } text ? CleanText.Line(text, longest) is { Length: > 0 } clean ? clean : throw Bad(name, "text") : null;

    public bool? Flag(string name) => Take(name) is not { } element ? null
        : element.ValueKind is JsonValueKind.True or JsonValueKind.False ? element.GetBoolean()
        : throw Bad(name, "true or false");

    public double? Number(string name, double least, double most) => Take(name) is not { } element ? null
        : element.ValueKind == JsonValueKind.Number && element.TryGetDouble(out double value) && value >= least && value <= most ? value
        : throw Bad(name, string.Create(CultureInfo.InvariantCulture, $"a number from {least} to {most}"));

    public Rgba8? Color(string name) => Take(name) is not { } element ? null
        : element.ValueKind == JsonValueKind.String && Rgba8.TryParse(element.GetString(), out var color) ? color
        : throw Bad(name, "a color as \"#rrggbb\"");

    public T? Word<T>(string name)
        where T : struct, Enum
    {
        if (Take(name) is not { } element)
        {
            return null;
        }

        string? word = element.ValueKind == JsonValueKind.String ? element.GetString() : null;
        foreach (var value in Enum.GetValues<T>())
        {
            if (EnumWord.Of(value) == word)
            {
                return value;
            }
        }

        throw Bad(name, string.Join(" or ", Enum.GetNames<T>().Select(each => $"\"{each.ToLowerInvariant()}\"")));
    }

    public void End()
    {
        if (left.Count == 0)
        {
            return;
        }

        string name = left.Keys.Order(StringComparer.Ordinal).First();
        throw new ProblemException(
            source.Code, $"{source.What} has an unknown field '{CleanText.Line(path + name, 80)}'.", Suggestion.Hint(name, known), new Place(source.File));
    }

    private JsonElement? Take(string name)
    {
        known.Add(name);
        return left.Remove(name, out var element) && element.ValueKind != JsonValueKind.Null ? element : null;
    }
}
