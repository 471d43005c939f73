using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Packs;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>add</c>: shows what a pack or a shared folder brings, and installs it.</summary>
internal static class AddCommand
{
    public static Command Create()
    {
        var items = new Argument<string[]>("FILE")
        {
            HelpName = "FILE", Description = "The pack, then the recipes to take from it [default: all]", Arity = ArgumentArity.ZeroOrMore,
        };
        var from = new Option<string?>("--from")
        {
            Description = "Take recipes from a folder instead of a pack, a shared drive for instance", HelpName = "DIR",
        };
        var installing = new Installing();
        var command = new Command("add", "Shows what a pack brings, new, changed or older, and installs it") { items, from };
        installing.AddTo(command);
        return command.With("recipes add harbor.pack", session =>
        {
            var how = installing.Read(session);
            return (session.Parse.GetValue(from), session.Parse.GetValue(items)!) switch
            {
                ({ } folder, var names) => Told(AddRecipes.From(session.Shop, folder, names, how), how),
                (null, [var pack, .. var names]) => Told(AddRecipes.From(session.Shop, pack, names, how), how),
                _ => throw new ProblemException(Codes.BadUsage, "'add' takes a pack, or a folder with --from.", "For instance: recipes add harbor.pack"),
            };
        });
    }

    /// <summary>What add and update answer.</summary>
    public static Outcome Told(AddedRecipes added, AddOptions how)
    {
        var fields = new JsonObject { ["installed"] = added.Installed, ["recipes"] = new JsonArray([.. added.Plan.Select(Fields)]) };
        return new Outcome(fields, text =>
        {
            foreach (var planned in added.Plan)
            {
                Write(text, planned);
            }

            text.WriteLine(added switch
            {
                { Plan.IsEmpty: true } => "There is nothing to add.",
                { Installed: true } => added.Plan.All(planned => planned.Arrival == Arrival.Same)
                    ? "All of it is here already." : "Installed what is new or differs.",
                _ => how.OnlyShow ? "Only shown; nothing was installed." : "Nothing was installed.",
            });
        })
        {
            Problems = added.Problems,
        };
    }

    private static JsonNode Fields(PlannedRecipe planned) => new JsonObject
    {
        ["name"] = planned.Recipe.Name,
        ["version"] = planned.Recipe.Version,
        ["here"] = planned.HereVersion,
        ["arrival"] = planned.Arrival == Arrival.ChangedHere ? "changed-here" : EnumWord.Of(planned.Arrival),
        ["approval"] = new JsonObject { ["state"] = EnumWord.Of(planned.Approval.State), ["why"] = planned.Approval.Words },
        ["changes"] = new JsonArray([.. planned.Changes.Select(change => new JsonObject
        {
            ["file"] = change.File, ["lines"] = new JsonArray([.. change.Lines.Select(line => (JsonNode?)line)]),
        })]),
    };

    private static void Write(TextWriter text, PlannedRecipe planned)
    {
        int comes = planned.Recipe.Version;
        string version = planned.HereVersion is { } here && here != comes ? $"version {here} to {comes}" : $"version {comes}";
        text.WriteLine($"{planned.Recipe.Name}, {version}: {planned.Arrival switch
        {
            Arrival.New => "new",
            Arrival.Same => "here already",
            Arrival.Newer => "newer",
            Arrival.Changed => "changed, with the same version",
            Arrival.Older => "older than what is here",
            Arrival.ChangedHere => "changed here since it was added",
            _ => "the name is taken",
        }}");
        text.WriteLine($"  {planned.Approval.Words}");
        foreach (var (file, lines) in planned.Changes)
        {
            text.WriteLine($"  {file}{(lines.Count == 0 ? ": differs" : "")}");
            foreach (string line in lines)
            {
                text.WriteLine($"    {line}");
            }
        }
    }
}
