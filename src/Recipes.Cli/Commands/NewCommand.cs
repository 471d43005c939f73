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
        return command.With("recipes new sail-check", session => Run(session, session.Parse.GetRequiredValue(name), session.Parse.GetValue(editor)));
    }

    private static Outcome Run(Session session, string name, bool editorOnly)
    {
        using var workers = new WorkerPool(WorkerLimits.Default);
        IReadOnlyList<string> files = session.Progress.During($"Making {name}", () => editorOnly
            ? [NewRecipe.MakeEditorFiles(name, "", workers, session.Cancel)]
            : NewRecipe.Make(name, "", workers, session.Cancel));
        var fields = new JsonObject { ["files"] = new JsonArray([.. files.Select(file => (JsonNode?)file)]) };
        return new Outcome(fields, text =>
        {
            foreach (string file in files)
            {
                text.WriteLine($"Wrote {file}");
            }

            if (!editorOnly)
            {
                text.WriteLine($"Write what it does into {name}/{name}.csx, and test it with: recipes test {name}/{name}.csx");
            }
        });
    }
}
