using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Hosting.Library;
using Recipes.Hosting.Packs;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>list</c>: the recipes on the path, without compiling any; with <c>--new</c> what came lately.</summary>
internal static class ListCommand
{
    public static Command Create()
    {
        var recipes = Options.RecipesFolder();
        var fresh = new Option<bool>("--new") { Description = "Only what was added or approved lately: when, by whom and why" };
        var since = Options.Since("With --new: from this day on [default: 30 days back]");
        var command = new Command("list", "Lists the recipes") { recipes, fresh, since };
        return command.With("recipes list", session =>
        {
            string? folder = session.Parse.GetValue(recipes), day = session.Parse.GetValue(since);
            return session.Parse.GetValue(fresh) ? Told(ArrivedRecipes.Find(session.Shop, folder, Options.ReadSince(day)))
                : day is null ? Told(KnownRecipes.Find(folder)) : throw new ProblemException(Codes.BadUsage, "'--since' goes with --new.", "Add --new.");
        });
    }

    private static Outcome Told(KnownRecipes known)
    {
        var fields = new JsonObject
        {
            ["recipes"] = new JsonArray([.. known.Recipes.Select(recipe => new JsonObject
            {
                ["name"] = recipe.Name, ["title"] = recipe.Title, ["file"] = recipe.File,
            })]),
            ["lists"] = new JsonArray([.. known.Lists.Select(list => new JsonObject { ["name"] = list.Name, ["file"] = list.File })]),
        };
        return new Outcome(fields, text =>
        {
            int width = known.Recipes.Select(recipe => recipe.Name.Length).DefaultIfEmpty().Max();
            foreach (var (name, file, title) in known.Recipes)
            {
                text.WriteLine($"{name.PadRight(width)}  {title}{(known.IsTwice(name) ? $" (in two places: {file})" : "")}".TrimEnd());
            }

            foreach (var (name, file) in known.Lists)
            {
                text.WriteLine($"{name}: a list of recipes, {file}");
            }

            text.WriteLine("'recipes show NAME' tells what one does and takes.");
        });
    }

    private static Outcome Told(ArrivedRecipes arrived)
    {
        string since = Day(arrived.Since);
        var fields = new JsonObject { ["since"] = since, ["new"] = new JsonArray([.. arrived.Recipes.Select(Fields)]) };
        return new Outcome(fields, text =>
        {
            foreach (var one in arrived.Recipes)
            {
                Write(text, one);
            }

            text.WriteLine(arrived.Recipes.IsEmpty ? $"Nothing came since {since}." : "'recipes show NAME' tells what one does and takes.");
        })
        {
            Problems = arrived.Damaged,
        };
    }

    private static JsonNode Fields(ArrivedRecipe one) => new JsonObject
    {
        ["name"] = one.Name, ["version"] = one.Version, ["what"] = one.What, ["at"] = one.At.UtcDateTime.ToString("O", CultureInfo.InvariantCulture),
        ["by"] = one.By, ["from"] = one.From, ["replaced"] = one.Replaced, ["note"] = one.Note, ["doubt"] = one.Doubt, ["here"] = one.IsHere,
        ["purpose"] = one.Purpose,
    };

    private static void Write(TextWriter text, ArrivedRecipe one)
    {
        string from = one.From is null ? "" : $" from {one.From}", replaced = one.Replaced is { } old ? $", in place of version {old}" : "";
        text.WriteLine($"{Day(one.At)}  {one.Name}, version {one.Version}: {one.What} by {one.By ?? "nobody named"}{from}{replaced}");
        string why = one.Note is null ? "" : $"why: {one.Note}", purpose = one.IsHere ? one.Purpose : "not on this machine's recipe path";
        foreach (string line in new[] { one.Doubt ?? "", why, purpose }.Where(line => line.Length > 0))
        {
            text.WriteLine($"            {line}");
        }
    }

    private static string Day(DateTimeOffset at) => at.UtcDateTime.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
}
