using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;

namespace Recipes.Work;

/// <summary>What a step says of the recipes that it ran.</summary>
public static class StepRecipes
{
    /// <summary>The names of the recipes that a list ran, where the step is a list that was kept as one; else none.</summary>
    public static IEnumerable<string> PartsOf(StepRecord record)
    {
        ArgumentNullException.ThrowIfNull(record);
        return PartsOf(OutsideJson.Parse(Encoding.UTF8.GetBytes(record.ReportJson)));
    }

    /// <summary>The same of a report that was read already.</summary>
    public static IEnumerable<string> PartsOf(JsonObject? report) =>
        (report?["recipes"] as JsonArray ?? []).Select(name => name is JsonValue value && value.TryGetValue(out string? text) ? text : "");
}
