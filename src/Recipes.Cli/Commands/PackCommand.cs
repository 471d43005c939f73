using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Packs;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>pack</c>: recipes with their snippets, cases, documentation and approvals in one file.</summary>
internal static class PackCommand
{
    public static Command Create()
    {
        var recipes = new Argument<string[]>("RECIPE") { HelpName = "RECIPE", Description = "The recipes and lists; a list brings its recipes [default: all of your own]", Arity = ArgumentArity.ZeroOrMore, CompletionSources = { Names.RecipesAndLists } };
        var folder = Options.RecipesFolder();
        var output = new Option<string>("--output", "-o") { Description = "The file", HelpName = "FILE", DefaultValueFactory = _ => "recipes.pack" };
        var force = Options.Force();
        var command = new Command("pack", "Puts recipes with all that belongs to them into one file for others") { recipes, folder, output, force };
        return command.With("recipes pack sail-check -o harbor.pack", session => Run(
            session.Parse.GetValue(recipes)!, session.Parse.GetValue(folder), session.Parse.GetRequiredValue(output), session.Parse.GetValue(force)));
    }

    private static Outcome Run(string[] names, string? folder, string path, bool force)
    {
        string? own = folder ?? (UserFolders.Data is { } data ? Path.Combine(data, "recipes") : null);
        var packed = names.Length > 0 ? RecipePack.Once(names.SelectMany(name => Collect(name, folder)))
            : own is not null && Directory.Exists(own) ? [.. RecipePack.ReadFolder(own)] : [];
        if (packed.Length == 0)
        {
            throw new ProblemException(Codes.BadUsage, "There are no recipes of your own to pack.", "Name the recipes, or the folder with --recipes.");
        }

        byte[] bytes = RecipePack.Write(packed);
        foreach (string source in RecipePath.All(folder).Concat(RecipePath.Lists(folder)).Select(found => found.File).Concat(names.Where(File.Exists)))
        {
            Originals.Add(source);
        }

        AtomicFile.Write(path, stream => stream.Write(bytes), replace: force);
        // Whoever adds it would be refused; whoever packs it learns that first.
        var house = House.Read();
        var voided = packed.Select(recipe => (recipe.Name, Approval: RecipeShelf.ApprovalOf(recipe, packed, house))).Where(signed => signed.Approval.State == ApprovalState.Void);
        var fields = new JsonObject
        {
            ["recipes"] = new JsonArray([.. packed.Select(recipe => new JsonObject
            {
                ["name"] = recipe.Name, ["version"] = recipe.Version, ["files"] = recipe.Files.Count, ["signed"] = recipe.Files.ContainsKey(recipe.LockName),
            })]),
            ["outputs"] = new JsonObject { ["file"] = path },
        };
        return new Outcome(fields, text =>
        {
            foreach (var recipe in packed)
            {
                text.WriteLine($"  {recipe.Name}  version {recipe.Version}, {(recipe.Files.ContainsKey(recipe.LockName) ? "signed" : "not signed")}: {string.Join(", ", recipe.Files.Keys)}");
            }

            text.WriteLine($"Wrote {path}. Others install it with: recipes add {ShellWord.Of(Path.GetFileName(path))}");
        })
        {
            Problems = [.. voided.Select(signed => new Problem(Codes.ApprovalVoid, $"The approval of '{signed.Name}' doesn't hold any more: {signed.Approval.Words}.",
                "Whoever adds the pack will be refused. Have the recipe approved again, or pack it without its lock file.", new Place(path), Severity.Warning))],
        };
    }

    private static IEnumerable<PackedRecipe> Collect(string name, string? folder) => RecipeList.Find(name, folder) is { } list
        ? RecipePack.Collect(list, ShopRecipes.Read(list, folder)) : [PackedRecipe.Collect(ShopRecipes.Read(name, folder))];
}
