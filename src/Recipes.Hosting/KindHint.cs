using System.Text;
using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Hosting;

/// <summary>
/// What kind of art a picture was that the program wrote to a file, as the file says of itself. Cleaned art on paper looks cut out; the
/// hint lets a check ask what it would have asked before. It may add a question, and never takes a finding away.
/// </summary>
public static class KindHint
{
    /// <summary>The field that says it, in whatever else the file says of itself.</summary>
    internal const string Field = "kind";

    /// <summary>The text that goes into a file that says nothing else.</summary>
    public static string ToJson(ArtKind kind) => new JsonObject { ["schema"] = 1, [Field] = ReportJson.KindWord(kind) }.ToJsonString();

    /// <summary>Reads what a file says of itself, which may be a stranger's: one of four words, or null.</summary>
    /// <param name="text">The text; null where the file has none.</param>
    public static ArtKind? Read(string? text) =>
        (text is { Length: <= 65536 } ? OutsideJson.Parse(Encoding.UTF8.GetBytes(text)) : null).Text(Field) is { } word
            ? Enum.GetValues<ArtKind>().Where(kind => ReportJson.KindWord(kind) == word).Select(kind => (ArtKind?)kind).FirstOrDefault()
            : null;
}
