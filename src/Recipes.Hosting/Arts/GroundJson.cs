using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Arts;

/// <summary>What an art's figure lies on, as answers, steps and our own files say it.</summary>
public static class GroundJson
{
    /// <summary>What the figure lies on.</summary>
    public static JsonObject Of(Ground ground)
    {
        ArgumentNullException.ThrowIfNull(ground);
        var edge = ground.Edge;
        return new JsonObject
        {
            ["kind"] = KindWord(ground.Kind), ["paper"] = ground.HasPaper ? ground.Paper.ToString() : null,
            ["edge"] = new JsonArray(edge.X, edge.Y, edge.Width, edge.Height), ["scale"] = ground.Scale,
        };
    }

    /// <summary>What such a field says; null where it says nothing that can be, since anybody could have written it.</summary>
    /// <param name="json">The field.</param>
    /// <param name="canvas">The canvas that the picture lies on.</param>
    public static Ground? Read(JsonObject? json, Box canvas)
    {
        var kinds = Enum.GetValues<ArtKind>().Where(kind => KindWord(kind) == json.Text("kind")).ToList();
        int[]? sides = json?["edge"] is JsonArray { Count: 4 } list && list.All(side => side is JsonValue value && value.TryGetValue(out int _))
            ? [.. list.Select(side => side!.GetValue<int>())] : null;
        return kinds is [var known] && sides is [var x, var y, var width, var height] && width > 0 && height > 0 && new Box(x, y, width, height) is var edge
            && edge.Within(canvas) == edge
            ? new Ground(known, Rgba8.TryParse(json.Text("paper"), out var paper) ? paper : Rgba8.White, edge) { Scale = ReadScale(json) } : null;
    }

    /// <summary>What a field <c>scale</c> says, of a step or of a file; 1 where it says nothing that can be.</summary>
    public static double ReadScale(JsonObject? json) =>
        json?["scale"] is JsonValue value && value.TryGetValue(out double scale) && scale is >= Ground.LeastScale and <= Ground.MostScale ? scale : 1;

    /// <summary>A kind of art as <c>--kind</c> takes it.</summary>
    public static string KindWord(ArtKind kind) => kind switch
    {
        ArtKind.CutOut => "cut-out",
        ArtKind.OnPaper => "on-paper",
        ArtKind.FullFrame => "full-frame",
        _ => "mixed",
    };

    /// <summary>Reads a kind as <c>--kind</c> takes it; null where none is given.</summary>
    /// <exception cref="ProblemException">R1001 there is no such kind.</exception>
    public static ArtKind? ReadKind(string? text) => text is null ? null
        : Enum.GetValues<ArtKind>().Cast<ArtKind?>().FirstOrDefault(kind => KindWord(kind!.Value) == text)
            ?? throw new ProblemException(
                Codes.BadUsage, $"'--kind' takes {string.Join(", ", Enum.GetValues<ArtKind>().Select(KindWord))}, not '{CleanText.Line(text, 40)}'.",
                "'recipes check' tells the kind that the pixels show.");
}
