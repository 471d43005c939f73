using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Imaging;

namespace Recipes.Hosting.Arts;

/// <summary>
/// What kind of art a picture was that the program wrote to a file, and how far it was resampled, as the file says of itself. Cleaned art on paper looks cut
/// out; the hint lets a check ask what it would have asked before. The kind may add a question, and never takes a finding away; the scale says what is worth
/// as much as the resolution that a file states: anybody could have written either.
/// </summary>
public static class KindHint
{
    /// <summary>The field that says it, in whatever else the file says of itself.</summary>
    internal const string Field = "kind";

    /// <summary>The text that goes into a file that says nothing else.</summary>
    public static string ToJson(Ground ground)
    {
        ArgumentNullException.ThrowIfNull(ground);
        var json = new JsonObject { ["schema"] = 1, [Field] = GroundJson.KindWord(ground.Kind) };
        AddScale(json, ground.Scale);
        return json.ToJsonString();
    }

    /// <summary>Adds how far a picture was resampled; nothing where it wasn't.</summary>
    internal static void AddScale(JsonObject json, double scale)
    {
        if (scale != 1)
        {
            json["scale"] = scale;
        }
    }

    /// <summary>How many px of a picture as it came lie in one px of it, as a file says of itself; 1 where it says nothing that can be.</summary>
    /// <param name="text">The text; null where the file has none.</param>
    public static double ReadScale(string? text) =>
        GroundJson.ReadScale(text is { Length: <= 65536 } ? OutsideJson.Parse(Encoding.UTF8.GetBytes(text)) : null);

    /// <summary>Reads what a file says of itself, which may be a stranger's: one of four words, or null.</summary>
    /// <param name="text">The text; null where the file has none.</param>
    public static ArtKind? Read(string? text) =>
        (text is { Length: <= 65536 } ? OutsideJson.Parse(Encoding.UTF8.GetBytes(text)) : null).Text(Field) is { } word
            ? Enum.GetValues<ArtKind>().Where(kind => GroundJson.KindWord(kind) == word).Select(kind => (ArtKind?)kind).FirstOrDefault()
            : null;
}
