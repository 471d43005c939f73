using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Cases;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
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
        var key = new Option<string?>("--key") { Description = "Which of your keys signs [default: the only one]", HelpName = "NAME", CompletionSources = { _ => SigningKey.Names() } };
        var time = Options.TimeLimit();
        var memory = Options.MemoryLimit();
        var command = new Command("approve", "Runs a recipe's test cases and signs it as it stands, so that any change shows") { recipe, by, key, folder, time, memory };
        return command.With("recipes approve shrink-check --by night-shift", session =>
        {
            var parse = session.Parse;
            using var workers = new WorkerPool(Options.ReadLimits(parse.GetValue(time), parse.GetValue(memory)));
            return Run(session, workers, parse.GetRequiredValue(recipe), parse.GetValue(folder), parse.GetValue(by) ?? Settings.Read().By, parse.GetValue(key));
        });
    }

    private static Outcome Run(Session session, WorkerPool workers, string name, string? folder, string? by, string? keyName)
    {
        if (by is null)
        {
            throw new ProblemException(Codes.BadUsage, "An approval says who gave it.", "Add --by NAME.");
        }

        var house = House.Read();
        var key = SigningKey.Find(keyName);
        var found = session.Shop.Find(new RecipeRequest(name) { Folder = folder }, workers);
        var (list, recipes) = (found.List, found.All);
        RecipeSource[] sources = [.. recipes.Select(recipe => recipe.Source)];
        var what = found.Identity;
        List<CaseVerdict> Test() =>
            [.. recipes.SelectMany(recipe =>
                session.Progress.During($"Testing {recipe.Source.Name}", () => CaseRunner.Run(recipe, workers, twice: int.MaxValue, session.Cancel))
                    .Select(outcome => outcome.Verdict(recipe.Source.Path)))];
        var on = DateOnly.FromDateTime(session.Shop.Now.UtcDateTime);
        var given = list is null ? Approval.Give(sources[0], what.Version, key, by, on, Test) : Approval.Give(list.List, sources, key, by, on, Test);
        var now = list is null ? Approval.Of(sources[0], house) : Approval.Of(list.List, sources, house);
        string path = RecipeLock.PathFor(list?.List.Path ?? sources[0].Path), tested = given.Approvals[^1].Cases;
        var fields = new JsonObject
        {
            ["recipe"] = new JsonObject { ["name"] = what.Name, ["version"] = what.Version, ["sha256"] = what.Sha256 },
            ["approval"] = new JsonObject
            {
                ["state"] = EnumWord.Of(now.State), ["why"] = now.Words, ["by"] = by, ["key"] = key.Public.Sha256, ["cases"] = tested,
            },
            ["leavesBare"] = new JsonObject(
                [.. recipes.Where(recipe => recipe.Spec.LeavesBare.Length > 0)
                .Select(recipe => KeyValuePair.Create(recipe.Source.Name, (JsonNode?)recipe.Spec.LeavesBare))]),
            ["files"] = new JsonArray([.. given.Files.Select(file => (JsonNode?)file.Name)]),
            ["outputs"] = new JsonObject { ["file"] = path },
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"{what.Name}, {(list is null ? $"version {what.Version}" : $"a list of {sources.Length} recipes")}, is signed by {by} with the key {key.Public.Name}.");
            foreach (var recipe in recipes.Where(recipe => recipe.Spec.LeavesBare.Length > 0))
            {
                text.WriteLine($"{recipe.Source.Name} leaves bare on purpose, so the guardrail {Guardrails.InkMostlyLost} lets it pass: "
                    + $"{recipe.Spec.LeavesBare}");
            }

            text.WriteLine(tested == "none" ? "There are no cases: nothing was tested." : $"Cases: {tested}.");
            text.WriteLine($"Signed: {string.Join(", ", given.Files.Select(file => file.Name))}");
            text.WriteLine($"Wrote {path}; keep it beside the {(list is null ? "recipe" : "list")}, in version control too.");
            if (now.State != ApprovalState.Approved)
            {
                text.WriteLine(house.File is null
                    ? "There is no house configuration here that lists the key, so nothing demands approval; docs/approval.md tells how to make one."
                    : $"It doesn't count in this house yet: {now.Words}.");
            }
        });
    }
}
