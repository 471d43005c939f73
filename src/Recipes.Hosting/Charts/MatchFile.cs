using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Imaging;
using Recipes.Imaging.Charts;
using Recipes.Problems;

namespace Recipes.Hosting.Charts;

/// <summary>What <c>match -o</c> keeps: a small JSON file that a color parameter takes. Its fields are described in docs/charts.md.</summary>
public static class MatchFile
{
    private const int Schema = 1;
    private const string Kind = "match";
    private const long Longest = 64 * 1024;
    private static readonly JsonSerializerOptions Indented = new() { WriteIndented = true, NewLine = "\n" };

    /// <summary>Writes the file.</summary>
    /// <param name="path">Where.</param>
    /// <param name="color">The color to print.</param>
    /// <param name="fields">The fields of the command's answer that belong to it.</param>
    /// <param name="replace">False: fails where the file exists.</param>
    /// <exception cref="ProblemException">R8001, R8002.</exception>
    public static void Write(string path, Rgba8 color, IEnumerable<KeyValuePair<string, JsonNode?>> fields, bool replace)
    {
        ArgumentNullException.ThrowIfNull(fields);
        var json = new JsonObject { ["schema"] = Schema, ["kind"] = Kind, ["rgb"] = color.ToString() };
        foreach (var (name, value) in fields)
        {
            json[name] = value?.DeepClone();
        }

        AtomicFile.Write(path, stream => stream.Write(System.Text.Encoding.UTF8.GetBytes(json.ToJsonString(Indented) + "\n")), replace);
    }

    /// <summary>The color to print.</summary>
    /// <exception cref="ProblemException">R7009 missing, malformed or of a newer version.</exception>
    public static Rgba8 Read(string path)
    {
        var json = OutsideJson.ReadFile(path, Longest);
        if (json.Text("kind") == Kind && json!["schema"] is JsonValue value && value.TryGetValue(out int schema) && schema > Schema)
        {
            throw new ProblemException(Codes.BadMatchFile, $"The match file was written by a newer version: schema {schema}, and this program knows {Schema}.",
                "Run 'recipes match' again with this version, or use the newer program.", new Place(path));
        }

        return json.Text("kind") == Kind && Rgba8.TryParse(json.Text("rgb"), out var color) ? color : throw new ProblemException(
            Codes.BadMatchFile, File.Exists(path) ? "The file holds no match result." : $"There is no match file {path}.",
            "Name a file that 'recipes match … -o FILE' wrote.", new Place(path));
    }

    /// <summary>A match as fields: target, nearest, computed, hueTrue.</summary>
    public static JsonObject Fields(string target, ColorMatch match)
    {
        ArgumentNullException.ThrowIfNull(match);
        return new JsonObject
        {
            ["target"] = target,
            ["targetLab"] = Of(match.Target),
            ["nearest"] = new JsonObject
            {
                ["rgb"] = match.Nearest.Color.ToRgba8().ToString(),
                ["label"] = match.Nearest.Label,
                ["difference"] = Round(match.NearestDifference),
                ["lab"] = Of(match.Nearest.Lab),
            },
            ["computed"] = match.Computed is null ? null : With(Of(match.Computed), ("plusMinus", Round(match.Uncertainty!.Value)), ("inGamut", match.InGamut)),
            ["hueTrue"] = match.HueTrue is null ? null : Of(match.HueTrue),
        };

        static JsonObject With(JsonObject json, params ReadOnlySpan<(string Name, JsonNode? Value)> more)
        {
            foreach (var (name, value) in more)
            {
                json[name] = value;
            }

            return json;
        }
    }

    /// <summary>L*, a*, b* with two decimals, as instruments give them.</summary>
    public static JsonArray Of(Lab lab) => [Round(lab.L), Round(lab.A), Round(lab.B)];

    /// <summary>Two decimals: no instrument and no eye tells more.</summary>
    public static double Round(double value) => Math.Round(Math.Round(value, 6), 2, MidpointRounding.AwayFromZero) + 0.0;

    /// <summary>The same in words.</summary>
    public static string Text(double value) => Round(value).ToString("0.00", CultureInfo.InvariantCulture);

    private static JsonObject Of(ComputedColor computed) => new()
    {
        ["rgb"] = computed.Color.ToString(),
        ["difference"] = Round(computed.Difference),
        ["lab"] = Of(computed.Lab),
    };
}
