using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>show</c>: one recipe's purpose, parameters, example and version.</summary>
internal static class ShowCommand
{
    public static Command Create()
    {
        var recipe = Options.Recipe();
        var folder = Options.RecipesFolder();
        var command = new Command("show", "Shows what a recipe does and which parameters it takes") { recipe, folder };
        return command.With("recipes show printable-whites", session => Run(session, session.Parse.GetRequiredValue(recipe), session.Parse.GetValue(folder)));
    }

    private static Outcome Run(Session session, string name, string? folder)
    {
        var recipe = session.FindRecipe(name, folder, Workers.Usual);
        var spec = recipe.Spec;
        var (approval, house) = Judge(recipe.Source);
        string example = spec.Example.Length > 0 ? spec.Example : $"recipes dry-run {recipe.Source.Name} art.png";
        var fields = new JsonObject
        {
            ["recipe"] = new JsonObject
            {
                ["name"] = recipe.Source.Name, ["version"] = spec.Version, ["sha256"] = recipe.Source.Sha256, ["title"] = spec.Title,
                ["purpose"] = spec.Purpose, ["example"] = example, ["runOnce"] = spec.RunOnce.Length > 0 ? spec.RunOnce : null,
                ["expects"] = new JsonObject { ["setup"] = spec.Expects.Setup, ["mode"] = spec.Expects.Mode, ["smallest"] = spec.Expects.Smallest, ["largest"] = spec.Expects.Largest },
                ["file"] = recipe.Source.Path, ["approval"] = new JsonObject { ["state"] = house is null ? ReportJson.Word(approval.State) : "unknown", ["why"] = approval.Words },
                ["loads"] = new JsonArray([.. recipe.Source.Loads.Select(load => (JsonNode?)load.Name)]),
                ["parameters"] = new JsonArray([.. spec.Parameters.Select(parameter => new JsonObject
                {
                    ["name"] = parameter.Name, ["type"] = ReportJson.Word(parameter.Type), ["takes"] = ParameterValues.Takes(parameter),
                    ["default"] = parameter.Default, ["min"] = parameter.Min, ["max"] = parameter.Max,
                    ["choices"] = new JsonArray([.. parameter.Choices.Select(choice => (JsonNode?)choice)]), ["help"] = parameter.Help,
                })]),
            },
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"{recipe.Source.Name}: {spec.Title}");
            text.WriteLine(spec.Purpose);
            text.WriteLine();
            text.WriteLine(spec.Parameters.Length == 0 ? "It takes no parameters." : "Parameters (--set name=value):");
            foreach (var parameter in spec.Parameters)
            {
                text.WriteLine($"  {parameter.Name}  {ParameterValues.Takes(parameter)} [default: {(parameter.Default.Length == 0 ? "none" : parameter.Default)}]");
                if (parameter.Help.Length > 0)
                {
                    text.WriteLine($"      {parameter.Help}");
                }
            }

            text.WriteLine();
            if (string.Join("; ", Expectations.InWords(spec.Expects)) is { Length: > 0 } expects)
            {
                text.WriteLine($"Expects:   {expects}");
            }

            if (spec.RunOnce.Length > 0)
            {
                text.WriteLine($"Run once:  {spec.RunOnce}");
            }

            text.WriteLine($"Example:   {example}");
            text.WriteLine($"Version:   {spec.Version}, sha256 {recipe.Source.Sha256[..16]}");
            text.WriteLine($"Approval:  {approval.Words}");
            text.WriteLine($"File:      {recipe.Source.Path}");
        })
        {
            Problems = [.. Session.Warnings(house)],
        };
    }

    // Looking at a recipe keeps nothing, so a house that is closed doesn't forbid it.
    private static (Approval Approval, Problem? House) Judge(RecipeSource source)
    {
        try
        {
            return (Approval.Of(source, House.Read()), null);
        }
        catch (ProblemException e)
        {
            return (new Approval(ApprovalState.Void, "it can't be judged while the house configuration can't be read"), e.Problems[0] with { Severity = Severity.Warning });
        }
    }
}
