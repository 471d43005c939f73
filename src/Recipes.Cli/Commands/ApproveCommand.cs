using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Cases;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>approve</c>: compiles and tests a recipe, or a list's recipes, and signs it as it stands.</summary>
internal static class ApproveCommand
{
    public static Command Create()
    {
        var recipe = Options.RecipeOrList();
        var folder = Options.RecipesFolder();
        var by = new Option<string?>("--by") { Description = "Who approves", HelpName = "NAME" };
        var key = new Option<string?>("--key")
        {
            Description = "Which of your keys signs [default: the only one]", HelpName = "NAME", CompletionSources = { _ => SigningKey.Names() },
        };
        var time = Options.TimeLimit();
        var memory = Options.MemoryLimit();
        var command = new Command("approve", "Runs a recipe's test cases and signs it as it stands, so that any change shows")
        {
            recipe, by, key, folder, time, memory,
        };
        return command.With("recipes approve shrink-check --by night-shift", session =>
        {
            var parse = session.Parse;
            using var workers = new WorkerPool(Options.ReadLimits(parse.GetValue(time), parse.GetValue(memory)));
            string who = session.By(by) ?? throw new ProblemException(Codes.BadUsage, "An approval says who gave it.", "Add --by NAME.");
            var request = new ApproveRequest(parse.GetRequiredValue(recipe), who) { RecipesFolder = parse.GetValue(folder), Key = parse.GetValue(key) };
            return Told(request, Approve.Run(session.Shop, request, workers));
        });
    }

    private static Outcome Told(ApproveRequest request, ApprovedRecipes approved)
    {
        var (recipes, held, key, _, worth) = approved;
        var what = recipes.Identity;
        var fields = new JsonObject
        {
            ["recipe"] = new JsonObject { ["name"] = what.Name, ["version"] = what.Version, ["sha256"] = what.Sha256 },
            ["approval"] = new JsonObject
            {
                ["state"] = EnumWord.Of(worth.State), ["why"] = worth.Words, ["by"] = request.By, ["key"] = key.Sha256, ["cases"] = approved.Cases,
            },
            ["leavesBare"] = new JsonObject(
                [.. approved.LeaveBare.Select(recipe => KeyValuePair.Create(recipe.Source.Name, (JsonNode?)recipe.Spec.LeavesBare))]),
            ["files"] = new JsonArray([.. held.Files.Select(file => (JsonNode?)file.Name)]),
            ["outputs"] = new JsonObject { ["file"] = approved.Path },
        };
        return new Outcome(fields, text => Write(text, request, approved));
    }

    private static void Write(TextWriter text, ApproveRequest request, ApprovedRecipes approved)
    {
        var (recipes, held, key, house, worth) = approved;
        var what = recipes.Identity;
        string signed = recipes.List is null ? $"version {what.Version}" : $"a list of {recipes.All.Length} recipes";
        text.WriteLine($"{what.Name}, {signed}, is signed by {request.By} with the key {key.Name}.");
        foreach (var recipe in approved.LeaveBare)
        {
            text.WriteLine($"{recipe.Source.Name} leaves bare on purpose, so the guardrail {Guardrails.InkMostlyLost} lets it pass: "
                + $"{recipe.Spec.LeavesBare}");
        }

        text.WriteLine(approved.Cases == "none" ? "There are no cases: nothing was tested." : $"Cases: {approved.Cases}.");
        text.WriteLine($"Signed: {string.Join(", ", held.Files.Select(file => file.Name))}");
        text.WriteLine($"Wrote {approved.Path}; keep it beside the {(recipes.List is null ? "recipe" : "list")}, in version control too.");
        if (worth.State != ApprovalState.Approved)
        {
            text.WriteLine(house.File is null
                ? "There is no house configuration here that lists the key, so nothing demands approval; docs/approval.md tells how to make one."
                : $"It doesn't count in this house yet: {worth.Words}.");
        }
    }
}
