using System.CommandLine;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Workers;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>docs</c>: documentation made from what recipes and commands say of themselves.</summary>
internal static class DocsCommand
{
    private const string DefaultFolder = "recipes.docs";
    private const int LongestHead = 4096;

    public static Command Create() => new("docs", "Makes documentation: a page for each recipe, the manual page") { RecipesCommand(), ManCommand() };

    private static Command RecipesCommand()
    {
        var names = new Argument<string[]>("RECIPE")
        {
            HelpName = "RECIPE", Description = "The recipes [default: all]", Arity = ArgumentArity.ZeroOrMore, CompletionSources = { Names.Recipes },
        };
        var output = new Option<string>("--output", "-o")
        {
            Description = "The folder for the pages, their pictures in images/", HelpName = "DIR", DefaultValueFactory = _ => DefaultFolder,
        };
        var folder = Options.RecipesFolder();
        var force = Options.Force();
        var time = Options.TimeLimit();
        var memory = Options.MemoryLimit();
        var command = new Command("recipes", "Writes a page for each recipe: purpose, parameters, "
            + "and its example on the demo's art before, after and as a difference") { names, output, folder, force, time, memory };
        return command.With("recipes docs recipes -o docs", session =>
        {
            var parse = session.Parse;
            using var workers = new WorkerPool(Options.ReadLimits(parse.GetValue(time), parse.GetValue(memory)));
            return WriteRecipes(session, workers, parse.GetValue(names)!, parse.GetValue(folder), parse.GetRequiredValue(output), parse.GetValue(force));
        });
    }

    private static Command ManCommand()
    {
        var command = new Command("man", "Writes the manual page, from the same text as the help");
        return command.With("recipes docs man > recipes.1", session =>
        {
            string page = ManPage.Of(session.Parse.RootCommandResult.Command);
            return new Outcome(new JsonObject { ["page"] = page }, text => text.Write(page));
        });
    }

    // All pages are made before the first is written, so that a recipe that doesn't compile leaves the folder as it was.
    private static Outcome WriteRecipes(Session session, WorkerPool workers, string[] names, string? recipesFolder, string folder, bool force)
    {
        string[] wanted = names.Length > 0 ? names : [.. RecipePath.All(recipesFolder).Select(recipe => recipe.Name).Distinct()];
        RecipePage[] pages = [.. wanted.Select(name => session.Progress.During($"Running {name}", () =>
            RecipePage.Of(session.Shop.FindOne(new RecipeRequest(name) { Folder = recipesFolder }, workers), workers, session.Cancel)))];
        if (pages.GroupBy(page => page.Name).FirstOrDefault(group => group.Count() > 1) is { } twice)
        {
            throw new ProblemException(Codes.RecipeInTwoPlaces,
                $"Two of the recipes are called '{twice.Key}': {string.Join(" and ", twice.Select(page => page.Recipe.Source.Path))}.",
                "Write their pages into two folders.", new Place(twice.First().Recipe.Source.Path));
        }

        string images = Path.Combine(folder, "images");
        var files = pages.SelectMany(page => page.Pictures
            .Select(picture => Path.Combine(images, $"{page.Name}-{picture.Name}.png")).Prepend(PathOf(page))).ToList();
        string[] sources = [.. pages.SelectMany(page => new[] { page.Recipe.Source.Path, RecipePage.ByHand(page.Recipe.Source) })];
        if (File.Exists(folder))
        {
            throw AtomicFile.Exists(folder);
        }

        foreach (string file in files)
        {
            AtomicFile.RefuseOriginal(file, sources);
            if (!force && Path.Exists(file) && !IsOurs(file))
            {
                throw AtomicFile.Exists(file);
            }
        }

        session.Cancel.ThrowIfCancellationRequested();
        AtomicFile.CreateFolder(images);
        foreach (var page in pages)
        {
            foreach (var (name, pixels) in page.Pictures)
            {
                AtomicFile.Write(Path.Combine(images, $"{page.Name}-{name}.png"),
                    stream => PngWriter.Write(stream, pixels, null, [new PngText("Comment", RecipePage.Mark)]));
            }

            AtomicFile.Write(PathOf(page), stream => stream.Write(Encoding.UTF8.GetBytes(page.Text)));
        }

        var fields = new JsonObject
        {
            ["outputs"] = new JsonObject { ["folder"] = folder },
            ["pages"] = new JsonArray([.. pages
                .Select(page => new JsonObject { ["recipe"] = page.Name, ["file"] = PathOf(page), ["pictures"] = page.Pictures.Count })]),
        };
        return new Outcome(fields, text => text.WriteLine($"Wrote {pages.Length} {(pages.Length == 1 ? "page" : "pages")} into {folder}: "
            + $"{string.Join(", ", pages.Select(page => page.Name + ".md"))}"));

        string PathOf(RecipePage page) => Path.Combine(folder, page.Name + ".md");
    }

    // What this command wrote earlier says so near its beginning.
    private static bool IsOurs(string file)
    {
        try
        {
            return OutsideFile.Head(file, LongestHead).AsSpan().IndexOf(Encoding.UTF8.GetBytes(RecipePage.Mark)) >= 0;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }
}
