using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>show</c>: one recipe's purpose, parameters, example and version; or the recipes of a list.</summary>
internal static class ShowCommand
{
    public static Command Create()
    {
        var recipe = Options.RecipeOrList();
        var folder = Options.RecipesFolder();
        var command = new Command("show", "Shows what a recipe does and which parameters it takes, or what a list runs") { recipe, folder };
        return command.With("recipes show printable-whites", session =>
        {
            string name = session.Parse.GetRequiredValue(recipe);
            string? from = session.Parse.GetValue(folder);
            return RecipeList.Find(name, from) is { } list ? Run(list, from) : Run(session, name, from);
        });
    }

    private static Outcome Run(RecipeList list, string? folder)
    {
        var sources = ShopRecipes.Read(list, folder);
        var (approval, house) = Judge(house => Approval.Of(list, sources, house));
        var fields = new JsonObject
        {
            ["list"] = new JsonObject
            {
                ["name"] = list.Name, ["title"] = list.Title, ["sha256"] = list.Sha256, ["file"] = list.Path, ["approval"] = Of(approval, house),
                ["recipes"] = new JsonArray([.. list.Recipes.Zip(sources, (recipe, source) => new JsonObject
                {
                    ["name"] = recipe.Name, ["sets"] = new JsonArray([.. recipe.Sets.Select(set => (JsonNode?)set)]), ["file"] = source.Path,
                })]),
            },
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"{list.Name}: {(list.Title.Length > 0 ? list.Title : "a list of recipes")}");
            text.WriteLine();
            text.WriteLine("It runs, each on what the one before left ('recipes show NAME' tells of each; --set NAME.parameter=value):");
            foreach (var (i, recipe) in list.Recipes.Index())
            {
                text.WriteLine($"{i + 1,4}  {CleanText.Line(string.Join(' ', recipe.Sets.Prepend(recipe.Name)), 1000)}");
            }

            text.WriteLine();
            text.WriteLine($"Example:   recipes dry-run {list.Name} art.png");
            text.WriteLine($"Approval:  {approval.Words}");
            text.WriteLine($"File:      {list.Path}");
        })
        {
            Problems = [.. Session.Warnings(house)],
        };
    }

    private static Outcome Run(Session session, string name, string? folder)
    {
        var recipe = session.Shop.FindOne(new RecipeRequest(name) { Folder = folder }, WorkerPool.Usual);
        var spec = recipe.Spec;
        var (approval, house) = Judge(house => Approval.Of(recipe.Source, house));
        string example = spec.Example.Length > 0 ? spec.Example : $"recipes dry-run {recipe.Source.Name} art.png";
        var fields = new JsonObject
        {
            ["recipe"] = new JsonObject
            {
                ["name"] = recipe.Source.Name, ["version"] = spec.Version, ["sha256"] = recipe.Source.Sha256, ["title"] = spec.Title,
                ["purpose"] = spec.Purpose, ["example"] = example, ["runOnce"] = spec.RunOnce.Length > 0 ? spec.RunOnce : null,
                ["leavesBare"] = spec.LeavesBare.Length > 0 ? spec.LeavesBare : null,
                ["expects"] = new JsonObject { ["setup"] = spec.Expects.Setup, ["mode"] = spec.Expects.Mode, ["smallest"] = spec.Expects.Smallest, ["largest"] = spec.Expects.Largest },
                ["file"] = recipe.Source.Path, ["approval"] = Of(approval, house),
                ["loads"] = new JsonArray([.. recipe.Source.Loads.Select(load => (JsonNode?)load.Name)]),
                ["parameters"] = new JsonArray([.. spec.Parameters.Select(parameter => new JsonObject
                {
                    ["name"] = parameter.Name, ["type"] = EnumWord.Of(parameter.Type), ["takes"] = ParameterValues.Takes(parameter),
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

            if (spec.LeavesBare.Length > 0)
            {
                text.WriteLine($"Bares:     {spec.LeavesBare}");
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

    private static JsonObject Of(Approval approval, Problem? house) => new()
    {
        ["state"] = house is null ? EnumWord.Of(approval.State) : "unknown", ["why"] = approval.Words,
    };

    // Looking at a recipe keeps nothing, so a house that is closed doesn't forbid it.
    private static (Approval Approval, Problem? House) Judge(Func<House, Approval> judge)
    {
        try
        {
            return (judge(House.Read()), null);
        }
        catch (ProblemException e)
        {
            return (new Approval(ApprovalState.Void, "it can't be judged while the house configuration can't be read"), e.Problems[0] with { Severity = Severity.Warning });
        }
    }
}
