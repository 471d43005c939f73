using System.Text.Json;
using System.Text.Json.Nodes;

namespace Recipes.Hosting;

/// <summary>JSON that anybody could have written: bounded in depth, without duplicate names, and never an exception.</summary>
public static class OutsideJson
{
    private static readonly JsonDocumentOptions Strict = new() { MaxDepth = 16, AllowDuplicateProperties = false };

    /// <summary>The object, or null where the bytes are no such thing.</summary>
    public static JsonObject? Parse(ReadOnlySpan<byte> utf8)
    {
        try
        {
            // A text with bytes or escapes that no Unicode text has would only fail when somebody asks for it.
            var reader = new Utf8JsonReader(utf8, new JsonReaderOptions { MaxDepth = Strict.MaxDepth });
            while (reader.Read())
            {
                _ = reader.TokenType is JsonTokenType.String or JsonTokenType.PropertyName ? reader.GetString() : null;
            }

            return JsonNode.Parse(utf8, documentOptions: Strict) as JsonObject;
        }
        catch (Exception e) when (e is JsonException or ArgumentException or InvalidOperationException)
        {
            return null;
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
