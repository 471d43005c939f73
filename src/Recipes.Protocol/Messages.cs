using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using Recipes.Imaging;

namespace Recipes.Protocol;

/// <summary>A problem as it crosses the process boundary; the host looks the code up and cleans the texts.</summary>
public sealed record ProblemMessage(string Code, string Message, string Hint, string? File, int? Line, int? Column);

/// <summary>A file that a recipe loads: its name as the recipe gives it and its text.</summary>
public sealed record LoadedText(string Name, string Text);

/// <summary>Asks a worker to compile a recipe.</summary>
/// <param name="FileName">The name that diagnostics show.</param>
/// <param name="Source">The text.</param>
/// <param name="Loads">Snippets, resolved by the host.</param>
public sealed record CompileRequest(string FileName, string Source, ImmutableArray<LoadedText> Loads);

/// <summary>The answer; where there are no problems, a <see cref="Frame.Bytes"/> frame with the assembly follows.</summary>
public sealed record CompileReply(ImmutableArray<ProblemMessage> Problems, RecipeSpec? Spec);

/// <summary>Asks a worker to decode a picture; a <see cref="Frame.Bytes"/> frame with the file follows.</summary>
public sealed record DecodeRequest(string FileName);

/// <summary>The answer; where there are no problems and nothing to convert, a <see cref="Frame.Patch"/> frame with the picture follows.</summary>
/// <param name="Problems">Why there is no picture.</param>
/// <param name="NeedsConversion">The file needs a worker of the mode <c>convert</c>; nothing else of the answer counts.</param>
/// <param name="Format">The format's name.</param>
/// <param name="Mode">How pixels are stored.</param>
/// <param name="Notes">What reading did.</param>
/// <param name="Provenance">What an export of ours wrote into the file.</param>
public sealed record DecodeReply(
    ImmutableArray<ProblemMessage> Problems, bool NeedsConversion, string Format, string Mode, ImmutableArray<string> Notes, string? Provenance);

/// <summary>Asks a worker to run a recipe; a frame with the assembly and one with the art follow.</summary>
/// <param name="FileName">The recipe's name, for messages.</param>
/// <param name="Setup">The garment setup.</param>
/// <param name="Values">Every parameter's value, resolved.</param>
public sealed record RunRequest(string FileName, GarmentSetup Setup, ImmutableSortedDictionary<string, string> Values);

/// <summary>One numbered region of a report list.</summary>
public sealed record RegionMessage(int Number, Box Box, long Pixels, bool Chosen);

/// <summary>A list of numbered regions.</summary>
public sealed record RegionListMessage(string Title, ImmutableArray<RegionMessage> Regions);

/// <summary>One color of a report list.</summary>
public sealed record ColorMessage(string Color, long Pixels);

/// <summary>A list of colors.</summary>
public sealed record ColorListMessage(string Title, ImmutableArray<ColorMessage> Colors, int Others);

/// <summary>
/// The answer; where there are no problems, a <see cref="Frame.Patch"/> frame follows, then one
/// <see cref="Frame.Coverage"/> frame for each declaration that is said to be there, in the order of the flags.
/// </summary>
public sealed record RunReply(
    ImmutableArray<ProblemMessage> Problems,
    ImmutableArray<string> Notes,
    ImmutableArray<RegionListMessage> Regions,
    ImmutableArray<ColorListMessage> Colors,
    bool Printable,
    bool Bare,
    bool DroppedBlack,
    bool PrintedBlack,
    bool SizeChange = false);

/// <summary>Asks a worker for a JPEG of an art; a <see cref="Frame.Patch"/> frame follows, and a <see cref="Frame.Bytes"/> frame answers.</summary>
public sealed record JpegRequest(int Quality);

/// <summary>Reads and writes messages as JSON frames.</summary>
public static class Message
{
    /// <summary>The longest JSON message taken, in bytes.</summary>
    public const int Longest = 8 * 1024 * 1024;

    private static readonly JsonDocumentOptions Strict = new() { MaxDepth = 16, AllowDuplicateProperties = false };

    /// <summary>Writes a message.</summary>
    public static void Write<T>(Stream stream, T message) =>
        Frame.Write(stream, Frame.Json, JsonSerializer.SerializeToUtf8Bytes(message, typeof(T), MessageJson.Default));

    /// <summary>Reads a message.</summary>
    /// <exception cref="FrameException">The frame or its JSON is malformed.</exception>
    public static T Read<T>(Stream stream)
    {
        try
        {
            using var document = JsonDocument.Parse(Frame.Read(stream, Frame.Json, Longest), Strict);
            RefuseNullElements(document.RootElement);
            return (T?)document.RootElement.Deserialize(typeof(T), MessageJson.Default)
                ?? throw new FrameException("An empty message came.");
        }
        // The second: a text with bytes or escapes that no Unicode text has.
        catch (Exception e) when (e is JsonException or InvalidOperationException)
        {
            throw new FrameException($"A malformed message came: {e.Message}");
        }
    }

    // The serializer's null checks don't reach the elements of lists.
    private static void RefuseNullElements(JsonElement element)
    {
        if (element.ValueKind == JsonValueKind.Array)
        {
            foreach (var item in element.EnumerateArray())
            {
                if (item.ValueKind == JsonValueKind.Null)
                {
                    throw new FrameException("A list in a message holds nothing where something was due.");
                }

                RefuseNullElements(item);
            }
        }
        else if (element.ValueKind == JsonValueKind.Object)
        {
            foreach (var property in element.EnumerateObject())
            {
                RefuseNullElements(property.Value);
            }
        }
    }
}

[JsonSourceGenerationOptions(MaxDepth = 16, UseStringEnumConverter = true, RespectNullableAnnotations = true, RespectRequiredConstructorParameters = true)]
[JsonSerializable(typeof(CompileRequest))]
[JsonSerializable(typeof(CompileReply))]
[JsonSerializable(typeof(DecodeRequest))]
[JsonSerializable(typeof(DecodeReply))]
[JsonSerializable(typeof(JpegRequest))]
[JsonSerializable(typeof(RunRequest))]
[JsonSerializable(typeof(RunReply))]
[JsonSerializable(typeof(RecipeSpec))]
internal sealed partial class MessageJson : JsonSerializerContext;
