using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace Recipes.Files;

/// <summary>JSON that anybody could have written: bounded in depth and in values, and without duplicate names. All of it comes in here.</summary>
public static class OutsideJson
{
    /// <summary>
    /// The most values in one text, objects and lists among them. A report of a thousand regions has some ten thousand; a document takes many times
    /// the memory of its text where that is all brackets, so they are counted before one is built.
    /// </summary>
    public const int MostValues = 1_000_000;

    /// <summary>The most values, for people.</summary>
    public static string Bound => MostValues.ToString("#,0", CultureInfo.InvariantCulture) + " values";

    private static readonly JsonDocumentOptions Strict = new() { MaxDepth = 16, AllowDuplicateProperties = false };

    /// <summary>The object, or null where the bytes are no such thing. Never an exception.</summary>
    public static JsonObject? Parse(ReadOnlySpan<byte> utf8)
    {
        try
        {
            Judge(utf8, Strict);
            return JsonNode.Parse(utf8, documentOptions: Strict) as JsonObject;
        }
        catch (Exception e) when (e is JsonException or ArgumentException or InvalidOperationException)
        {
            return null;
        }
    }

    /// <summary>The whole text, for a reader that says what is wrong with it.</summary>
    /// <param name="utf8">The text.</param>
    /// <param name="options">What else than the strictest is taken.</param>
    /// <exception cref="JsonException">It is no JSON, or has too many values.</exception>
    /// <exception cref="InvalidOperationException">A text in it has bytes or escapes that no Unicode text has.</exception>
    public static JsonDocument Document(byte[] utf8, JsonDocumentOptions? options = null)
    {
        Judge(utf8, options ?? Strict);
        return JsonDocument.Parse(utf8, options ?? Strict);
    }

    /// <summary>Whether <see cref="Parse"/> would take a text that we are about to write.</summary>
    public static bool Takes(ReadOnlySpan<byte> utf8)
    {
        try
        {
            Judge(utf8, Strict);
            return true;
        }
        catch (JsonException)
        {
            return false;
        }
    }

    private static void Judge(ReadOnlySpan<byte> utf8, JsonDocumentOptions options)
    {
        var reader = new Utf8JsonReader(utf8, new JsonReaderOptions
        {
            MaxDepth = options.MaxDepth, CommentHandling = options.CommentHandling, AllowTrailingCommas = options.AllowTrailingCommas,
        });
        int values = 0;
        while (reader.Read())
        {
            // A text with bytes or escapes that no Unicode text has would only fail when somebody asks for it.
            _ = reader.TokenType is JsonTokenType.String or JsonTokenType.PropertyName ? reader.GetString() : null;
            values += reader.TokenType is JsonTokenType.PropertyName or JsonTokenType.EndObject or JsonTokenType.EndArray ? 0 : 1;
            if (values > MostValues)
            {
                throw new JsonException($"It has more than {Bound}.");
            }
        }
    }

    /// <summary>The object in a file, or null where there is none of at most so many bytes, or a link below a folder where one is given.</summary>
    public static JsonObject? ReadFile(string path, long longest, string? below = null)
    {
        try
        {
            return File.Exists(path) && OutsideFile.Read(path, longest, below) is { } bytes ? Parse(bytes) : null;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    /// <summary>The object that a field holds, or null.</summary>
    public static JsonObject? Object(this JsonObject? json, string name) => json?[name] as JsonObject;

    /// <summary>The text that a field holds, or null.</summary>
    public static string? Text(this JsonObject? json, string name) => json?[name] is JsonValue value && value.TryGetValue(out string? text) ? text : null;

    /// <summary>True where a field holds true.</summary>
    public static bool Says(this JsonObject? json, string name) => json?[name] is JsonValue value && value.TryGetValue(out bool yes) && yes;

    /// <summary>A path that such a text names, seen from a folder, or null where it names none.</summary>
    public static string? PathFrom(string folder, string? text) =>
        string.IsNullOrEmpty(text) || text.Contains('\0', StringComparison.Ordinal) ? null : Path.GetFullPath(text, Path.GetFullPath(folder));
}
