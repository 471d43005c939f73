using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>approve</c>: compiles and tests a recipe, and signs it as it stands.</summary>
internal static class ApproveCommand
{
    public static Command Create()
    {
        var recipe = Options.Recipe();
        var folder = Options.RecipesFolder();
        var by = new Option<string?>("--by") { Description = "Who approves", HelpName = "NAME" };
        var key = new Option<string?>("--key") { Description = "Which of your keys signs [default: the only one]", HelpName = "NAME", CompletionSources = { _ => SigningKey.Names() } };
        var time = Options.TimeLimit();
        var memory = Options.MemoryLimit();
        var command = new Command("approve", "Runs a recipe's test cases and signs it as it stands, so that any change shows") { recipe, by, key, folder, time, memory };
        return command.With("recipes approve shrink-check --by night-shift", session =>
        {
            var parse = session.Parse;
            using var workers = new Workers(Options.ReadLimits(parse.GetValue(time), parse.GetValue(memory)));
            return Run(session, workers, parse.GetRequiredValue(recipe), parse.GetValue(folder), parse.GetValue(by) ?? Settings.Read().By, parse.GetValue(key));
        });
    }

    private static Outcome Run(Session session, Workers workers, string name, string? folder, string? by, string? keyName)
    {
        if (by is null)
        {
            throw new ProblemException(Codes.BadUsage, "An approval says who gave it.", "Add --by NAME.");
        }

        var house = House.Read();
        var key = SigningKey.Find(keyName);
        var recipe = session.FindRecipe(name, folder, workers);
        var cases = session.Progress.During($"Testing {recipe.Source.Name}", () => CaseRunner.Run(recipe, workers, session.Cancel));
        var given = Approval.Give(recipe, key, by, DateOnly.FromDateTime(session.Now.UtcDateTime), cases);
        var now = Approval.Of(recipe.Source, house);
        string path = RecipeLock.PathFor(recipe.Source.Path), tested = given.Approvals[^1].Cases;
        var fields = new JsonObject
        {
            ["recipe"] = new JsonObject { ["name"] = recipe.Source.Name, ["version"] = recipe.Spec.Version, ["sha256"] = recipe.Source.Sha256 },
            ["approval"] = new JsonObject { ["state"] = ReportJson.Word(now.State), ["why"] = now.Words, ["by"] = by, ["key"] = key.Public.Sha256, ["cases"] = tested },
            ["files"] = new JsonArray([.. given.Files.Select(file => (JsonNode?)file.Name)]),
            ["outputs"] = new JsonObject { ["file"] = path },
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"{recipe.Source.Name}, version {recipe.Spec.Version}, is signed by {by} with the key {key.Public.Name}.");
            text.WriteLine(tested == "none" ? "It has no cases: nothing was tested." : $"Cases: {tested}.");
            text.WriteLine($"Signed: {string.Join(", ", given.Files.Select(file => file.Name))}");
            text.WriteLine($"Wrote {path}; keep it beside the recipe, in version control too.");
            if (now.State != ApprovalState.Approved)
            {
                text.WriteLine(house.File is null
                    ? "There is no house configuration here that lists the key, so nothing demands approval; docs/approval.md tells how to make one."
                    : $"It doesn't count in this house yet: {now.Words}.");
            }
        });
    }
}
