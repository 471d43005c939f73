using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Editing;
using Recipes.Hosting.Workers;

namespace Recipes.Cli.Commands;

/// <summary><c>new</c>: a folder with a recipe to begin with, a test case and what an editor needs.</summary>
internal static class NewCommand
{
    public static Command Create()
    {
        var name = new Argument<string>("NAME") { Description = "The recipe's name: small letters, digits and dashes" };
        var editor = new Option<bool>("--editor") { Description = "Only make the editor's files of the folder NAME anew, on another machine for instance" };
        var command = new Command("new", "Makes a folder with a recipe to begin with, a test case and what an editor needs") { name, editor };
        return command.With("recipes new sail-check", session =>
        {
            var request = new NewRecipeRequest(session.Parse.GetRequiredValue(name), "") { EditorOnly = session.Parse.GetValue(editor) };
            using var workers = new WorkerPool(WorkerLimits.Default);
            return Told(request, NewRecipe.Make(session.Shop, request, workers));
        });
    }

    private static Outcome Told(NewRecipeRequest request, IReadOnlyList<string> files)
    {
        var fields = new JsonObject { ["files"] = new JsonArray([.. files.Select(file => (JsonNode?)file)]) };
        return new Outcome(fields, text =>
        {
            foreach (string file in files)
            {
                text.WriteLine($"Wrote {file}");
            }

            if (!request.EditorOnly)
            {
                string recipe = $"{request.Name}/{request.Name}.csx";
                text.WriteLine($"Write what it does into {recipe}, and test it with: recipes test {recipe}");
            }
        });
    }
}
