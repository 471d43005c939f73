using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;

namespace Recipes.Hosting.Steps;

/// <summary>Steps, exports and prints as the JSON of the command-line contract.</summary>
public static class HistoryJson
{
    /// <summary>What was done under one garment setup.</summary>
    public static JsonObject Of(SetupHistory history)
    {
        ArgumentNullException.ThrowIfNull(history);
        return new JsonObject
        {
            ["name"] = history.Line.Setup,
            ["head"] = history.Line.Head,
            ["steps"] = new JsonArray([.. history.Steps.Select(Of)]),
            ["exports"] = new JsonArray([.. history.Line.Exports.Select(export => new JsonObject
            {
                ["path"] = export.Path, ["sha256"] = export.Sha256, ["step"] = export.Step, ["at"] = export.At.ToString("O", CultureInfo.InvariantCulture),
            })]),
            ["prints"] = new JsonArray([.. history.Line.Prints.Select(print => PrintJson.Of(history.Line.Setup, print))]),
        };
    }

    /// <summary>One step.</summary>
    public static JsonObject Of(ToldStep told)
    {
        ArgumentNullException.ThrowIfNull(told);
        var (done, report) = told;
        var step = done.Record;
        var json = new JsonObject
        {
            ["step"] = done.Number,
            ["state"] = EnumWord.Of(done.State),
            ["recipe"] = new JsonObject
            {
                ["name"] = step.Recipe, ["version"] = step.RecipeVersion, ["sha256"] = step.RecipeSha256, ["title"] = step.RecipeTitle,
            },
            ["parameters"] = new JsonObject(step.Parameters.Select(pair => KeyValuePair.Create(pair.Key, (JsonNode?)pair.Value))),
            ["at"] = step.At.ToString("O", CultureInfo.InvariantCulture),
            ["by"] = step.By,
        };
        foreach (string name in (string[])["ground", "questions", "decided", "changed", "white", "resolution", "ink", "declared", "guards", "carriedOver"])
        {
            json[name] = report[name]?.DeepClone();
        }

        return json;
    }
}
