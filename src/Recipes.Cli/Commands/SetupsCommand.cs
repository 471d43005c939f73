using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Cli.Commands;

/// <summary><c>setups</c>: the garment setups, one of them whole, and the choice of one for good.</summary>
internal static class SetupsCommand
{
    public static Command Create()
    {
        var shown = new Argument<string>("NAME") { HelpName = "NAME", Description = "A setup's name, or a JSON file", CompletionSources = { Names.Setups } };
        var used = new Argument<string>("NAME") { HelpName = "NAME", Description = "A setup's name", CompletionSources = { Names.Setups } };
        var show = new Command("show", "Shows a garment setup with all its defaults") { shown };
        var use = new Command("use", "Chooses the garment setup for files that have no steps yet") { used };
        var command = new Command("setups", "Lists the garment setups")
        {
            show.With("recipes setups show black-garment", session => Show(session.Parse.GetRequiredValue(shown))),
            use.With("recipes setups use light-garment", session => Use(session.Parse.GetRequiredValue(used))),
        };
        return command.With("recipes setups", _ => List());
    }

    private static Outcome List()
    {
        string? chosen = Settings.Read().Setup;
        var all = SetupStore.All();
        var fields = new JsonObject
        {
            ["chosen"] = chosen,
            ["setups"] = new JsonArray([.. all.Values.Select(entry =>
            {
                var json = SetupJson.ToJson(entry.Setup);
                json["file"] = entry.File;
                return json;
            })]),
        };
        return new Outcome(fields, text =>
        {
            foreach (var (name, (setup, file)) in all)
            {
                string[] bare = [.. new[] { (setup.Ink.WhiteBare, "pure white"), (setup.Ink.BlackBare, "pure black"),
                        (setup.Ink.TransparentBare, "transparency") }
                    .Where(rule => rule.Item1).Select(rule => rule.Item2)];
                string white = setup.Underbase == Underbase.None ? "no white ink" : $"underbase by the {EnumWord.Of(setup.Underbase)}";
                text.WriteLine(
                    $"{(name == chosen ? "*" : " ")} {name,-28} leaves bare: {string.Join(", ", bare)}; {white}{(file is null ? "" : $" ({file})")}");
            }

            if (chosen is not null && !all.Any(each => each.Key == chosen))
            {
                text.WriteLine($"* {chosen,-28} a garment of the stock; 'recipes garments show {chosen}' tells.");
            }

            text.WriteLine(chosen is null ? "None is chosen; 'recipes setups use NAME' chooses one." : "* is chosen for files that have no steps yet.");
        });
    }

    private static Outcome Show(string name)
    {
        var setup = SetupStore.Find(name);
        return new Outcome(new JsonObject { ["setup"] = SetupJson.ToJson(setup) }, text => text.Write(SetupJson.Text(setup)));
    }

    private static Outcome Use(string name)
    {
        var setup = Settings.Choose(name);
        return new Outcome(new JsonObject { ["setup"] = SetupJson.ToJson(setup) },
            text => text.WriteLine($"{setup.Name} is the garment setup for files that have no steps yet."));
    }
}
