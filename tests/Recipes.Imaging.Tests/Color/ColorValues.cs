using System.Globalization;
using System.Text.Json;

namespace Recipes.Imaging.Tests;

/// <summary>The published color tables of Values/; each file names its source.</summary>
static class ColorValues
{
    public static IEnumerable<string[]> Rows(string file) =>
        File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Values", file))
            .Where(line => !line.StartsWith('#')).Skip(1).Select(line => line.Split(','));

    public static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    public static double[][] Matrix(string name) => Read(name).Deserialize<double[][]>()!;

    public static double[] Triple(params string[] path) => Read(path).Deserialize<double[]>()!;

    private static JsonElement Read(params string[] path)
    {
        string text = File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Values", "srgb_matrices_whites.json"));
        return path.Aggregate(JsonDocument.Parse(text).RootElement, (element, name) => element.GetProperty(name));
    }
}
