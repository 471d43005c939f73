using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Packs;
using Recipes.Hosting.Words;

namespace Recipes.Cli.Commands;

/// <summary><c>pack</c>: recipes with their snippets, cases, documentation and approvals in one file.</summary>
internal static class PackCommand
{
    public static Command Create()
    {
        var recipes = new Argument<string[]>("RECIPE")
        {
            HelpName = "RECIPE", Description = "The recipes and lists; a list brings its recipes [default: all of your own]", Arity = ArgumentArity.ZeroOrMore,
            CompletionSources = { Names.RecipesAndLists },
        };
        var folder = Options.RecipesFolder();
        var output = new Option<string>("--output", "-o") { Description = "The file", HelpName = "FILE", DefaultValueFactory = _ => "recipes.pack" };
        var force = Options.Force();
        var command = new Command("pack", "Puts recipes with all that belongs to them into one file for others") { recipes, folder, output, force };
        return command.With("recipes pack sail-check -o harbor.pack", session =>
        {
            string path = session.Parse.GetRequiredValue(output);
            return Told(path, PackRecipes.Write(session.Shop, new PackRequest(path)
            {
                Names = session.Parse.GetValue(recipes)!, RecipesFolder = session.Parse.GetValue(folder), Force = session.Parse.GetValue(force),
            }));
        });
    }

    private static Outcome Told(string path, WrittenPack pack)
    {
        var fields = new JsonObject
        {
            ["recipes"] = new JsonArray([.. pack.Recipes.Select(recipe => new JsonObject
            {
                ["name"] = recipe.Name, ["version"] = recipe.Version, ["files"] = recipe.Files.Count, ["signed"] = IsSigned(recipe),
            })]),
            ["outputs"] = new JsonObject { ["file"] = path },
        };
        return new Outcome(fields, text =>
        {
            foreach (var recipe in pack.Recipes)
            {
                string signed = IsSigned(recipe) ? "signed" : "not signed";
                text.WriteLine($"  {recipe.Name}  version {recipe.Version}, {signed}: {string.Join(", ", recipe.Files.Keys)}");
            }

            text.WriteLine($"Wrote {path}. Others install it with: recipes add {ShellWord.Of(Path.GetFileName(path))}");
        })
        {
            Problems = pack.Void,
        };
    }

    private static bool IsSigned(PackedRecipe recipe) => recipe.Files.ContainsKey(recipe.LockName);
}
