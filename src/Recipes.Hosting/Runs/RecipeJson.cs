using System.Text.Json.Nodes;
using Recipes.Hosting.Words;

namespace Recipes.Hosting.Runs;

/// <summary>What a recipe does and takes, as the JSON of the command-line contract.</summary>
public static class RecipeJson
{
    /// <summary>A list, and what it runs in order.</summary>
    public static JsonObject Of(ShownList shown)
    {
        ArgumentNullException.ThrowIfNull(shown);
        var (list, sources, approval) = shown;
        return new JsonObject
        {
            ["name"] = list.Name, ["title"] = list.Title, ["sha256"] = list.Sha256, ["file"] = list.Path, ["approval"] = Of(approval),
            ["recipes"] = new JsonArray([.. list.Recipes.Zip(sources, (recipe, source) => new JsonObject
            {
                ["name"] = recipe.Name, ["sets"] = new JsonArray([.. recipe.Sets.Select(set => (JsonNode?)set)]), ["file"] = source.Path,
            })]),
        };
    }

    /// <summary>A recipe.</summary>
    public static JsonObject Of(ShownRecipe shown)
    {
        ArgumentNullException.ThrowIfNull(shown);
        var (recipe, approval) = shown;
        var spec = recipe.Spec;
        return new JsonObject
        {
            ["name"] = recipe.Source.Name, ["version"] = spec.Version, ["sha256"] = recipe.Source.Sha256, ["title"] = spec.Title,
            ["purpose"] = spec.Purpose, ["example"] = shown.Example, ["runOnce"] = spec.RunOnce.Length > 0 ? spec.RunOnce : null,
            ["leavesBare"] = spec.LeavesBare.Length > 0 ? spec.LeavesBare : null,
            ["expects"] = new JsonObject
            {
                ["setup"] = spec.Expects.Setup, ["mode"] = spec.Expects.Mode, ["smallest"] = spec.Expects.Smallest, ["largest"] = spec.Expects.Largest,
            },
            ["file"] = recipe.Source.Path, ["approval"] = Of(approval),
            ["loads"] = new JsonArray([.. recipe.Source.Loads.Select(load => (JsonNode?)load.Name)]),
            ["parameters"] = Parameters(recipe),
        };
    }

    /// <summary>What a recipe takes.</summary>
    public static JsonArray Parameters(ReadyRecipe recipe)
    {
        ArgumentNullException.ThrowIfNull(recipe);
        return new([.. recipe.Spec.Parameters.Select(parameter => new JsonObject
        {
            ["name"] = parameter.Name, ["type"] = EnumWord.Of(parameter.Type), ["takes"] = ParameterValues.Takes(parameter),
            ["default"] = parameter.Default, ["min"] = parameter.Min, ["max"] = parameter.Max,
            ["choices"] = new JsonArray([.. parameter.Choices.Select(choice => (JsonNode?)choice)]), ["help"] = parameter.Help,
        })]);
    }

    private static JsonObject Of(SeenApproval seen) => new() { ["state"] = seen.State, ["why"] = seen.Approval.Words };
}
