using System.CommandLine;
using System.Text;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Recipes.Hosting;

namespace Recipes.Cli.Commands;

/// <summary><c>list</c>: the recipes on the path, without compiling any.</summary>
internal static partial class ListCommand
{
    public static Command Create()
    {
        var recipes = Options.RecipesFolder();
        var command = new Command("list", "Lists the recipes") { recipes };
        return command.With("recipes list", session => Run(session.Parse.GetValue(recipes)));
    }

    private static Outcome Run(string? folder)
    {
        var all = RecipePath.All(folder).Select(recipe => (recipe.Name, recipe.File, Title: TitleOf(recipe.File))).ToList();
        var lists = RecipePath.Lists(folder);
        var fields = new JsonObject
        {
            ["recipes"] = new JsonArray([.. all.Select(recipe => new JsonObject { ["name"] = recipe.Name, ["title"] = recipe.Title, ["file"] = recipe.File })]),
            ["lists"] = new JsonArray([.. lists.Select(list => new JsonObject { ["name"] = list.Name, ["file"] = list.File })]),
        };
        return new Outcome(fields, text =>
        {
            int width = all.Count == 0 ? 0 : all.Max(recipe => recipe.Name.Length);
            foreach (var (name, file, title) in all)
            {
                bool twice = all.Count(other => other.Name == name) > 1;
                text.WriteLine($"{name.PadRight(width)}  {title}{(twice ? $" (in two places: {file})" : "")}".TrimEnd());
            }

            foreach (var (name, file) in lists)
            {
                text.WriteLine($"{name}: a list of recipes, {file}");
            }

            text.WriteLine("'recipes show NAME' tells what one does and takes.");
        });
    }

    // Only a look at the text: the title that counts is the compiled recipe's.
    private static string TitleOf(string file)
    {
        try
        {
            return OutsideFile.Read(file, RecipeSource.Longest) is { } bytes && TitleCall().Match(Encoding.UTF8.GetString(bytes)) is { Success: true } match
                ? CleanText.Line(match.Groups[1].Value, 200)
                : "";
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return "(can't be read)";
        }
    }

    [GeneratedRegex("""^\s*Recipe\.Title\("([^"\r\n]*)"\)""", RegexOptions.Multiline | RegexOptions.CultureInvariant)]
    private static partial Regex TitleCall();
}
