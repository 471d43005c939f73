using System.Collections.Immutable;
using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Packs;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>add</c>: shows what a pack or a shared folder brings, and installs it.</summary>
internal static class AddCommand
{
    public static Command Create()
    {
        var items = new Argument<string[]>("FILE") { HelpName = "FILE", Description = "The pack, then the recipes to take from it [default: all]", Arity = ArgumentArity.ZeroOrMore };
        var from = new Option<string?>("--from") { Description = "Take recipes from a folder instead of a pack, a shared drive for instance", HelpName = "DIR" };
        var how = new Installing();
        var command = new Command("add", "Shows what a pack brings, new, changed or older, and installs it") { items, from };
        how.AddTo(command);
        return command.With("recipes add harbor.pack", session =>
        {
            string[] given = session.Parse.GetValue(items)!;
            string? folder = session.Parse.GetValue(from);
            if (folder is null && given.Length == 0)
            {
                throw new ProblemException(Codes.BadUsage, "'add' takes a pack, or a folder with --from.", "For instance: recipes add harbor.pack");
            }

            string source = folder ?? given[0];
            return Shelve(session, RecipeShelf.Own(), [(source, Chosen(Arriving(source), folder is null ? given[1..] : given))], how, []);
        });
    }

    /// <summary>The recipes of a pack or folder.</summary>
    public static ImmutableArray<PackedRecipe> Arriving(string source) => Directory.Exists(source) ? RecipePack.ReadFolder(source) : RecipePack.Read(source);

    /// <summary>Plans all, installs all unless only shown, and tells it; one conflict stops everything.</summary>
    public static Outcome Shelve(Session session, RecipeShelf shelf, IReadOnlyList<(string From, IEnumerable<PackedRecipe> Recipes)> sources, Installing how, IReadOnlyList<Problem> warnings)
    {
        bool show = session.Parse.GetValue(how.Show), force = session.Parse.GetValue(how.Force);
        var house = House.Read();
        var plans = sources.Select(source => (source.From, Plan: shelf.Plan(source.Recipes, house))).ToList();
        var all = plans.SelectMany(plan => plan.Plan).ToList();
        List<Problem> problems = [];
        try
        {
            RecipeShelf.RefuseConflicts(show ? [] : all, force);
            foreach (var (from, plan) in show ? [] : plans)
            {
                shelf.Install(plan, Path.GetFullPath(from), force);
            }
        }
        catch (ProblemException e)
        {
            problems = [.. e.Problems];
        }

        bool installed = !show && problems.Count == 0;
        var unnoted = Journal.Note([.. plans.SelectMany(source => installed ? source.Plan.Where(planned => planned.Arrival != Arrival.Same).Select(planned => Entry(source.From, planned)) : [])]);
        var fields = new JsonObject
        {
            ["installed"] = installed,
            ["recipes"] = new JsonArray([.. all.Select(planned => new JsonObject
            {
                ["name"] = planned.Recipe.Name, ["version"] = planned.Recipe.Version, ["here"] = planned.HereVersion, ["arrival"] = Word(planned.Arrival),
                ["approval"] = new JsonObject { ["state"] = EnumWord.Of(planned.Approval.State), ["why"] = planned.Approval.Words },
                ["changes"] = new JsonArray([.. planned.Changes.Select(change => new JsonObject
                {
                    ["file"] = change.File, ["lines"] = new JsonArray([.. change.Lines.Select(line => (JsonNode?)line)]),
                })]),
            })]),
        };
        return new Outcome(fields, text =>
        {
            foreach (var planned in all)
            {
                Write(text, planned);
            }

            text.WriteLine(all.Count == 0 ? "There is nothing to add." : installed ? all.Any(planned => planned.Arrival != Arrival.Same) ? "Installed what is new or differs." : "All of it is here already." : show ? "Only shown; nothing was installed." : "Nothing was installed.");
        })
        {
            Problems = [.. problems, .. warnings, .. Session.Warnings(unnoted)],
        };

        JournalEntry Entry(string from, PlannedRecipe planned) => new()
        {
            At = session.Shop.Now,
            Act = JournalAct.Add,
            By = session.By(how.By),
            Recipe = new JournalRecipe(planned.Recipe.Name, planned.Recipe.Version, shelf.Sha256Of(planned.Recipe)),
            From = JournalFile.NameOf(Path.TrimEndingDirectorySeparator(Path.GetFullPath(from))),
            Replaced = planned.HereVersion,
            Note = session.Parse.GetValue(how.Note),
        };
    }

    /// <summary>The options of <c>add</c> and <c>update</c>.</summary>
    internal sealed class Installing
    {
        public Option<bool> Show { get; } = new("--show") { Description = "Only show what would be installed" };

        public Option<bool> Force { get; } = Options.Force();

        public Option<string?> By { get; } = Options.By();

        public Option<string?> Note { get; } = new("--note") { Description = "Why, for the journal and 'list --new'", HelpName = "TEXT" };

        public void AddTo(Command command)
        {
            command.Add(Show);
            command.Add(Force);
            command.Add(By);
            command.Add(Note);
        }
    }

    private static string Word(Arrival arrival) => arrival == Arrival.ChangedHere ? "changed-here" : EnumWord.Of(arrival);

    private static void Write(TextWriter text, PlannedRecipe planned)
    {
        string version = planned.HereVersion is { } here && here != planned.Recipe.Version ? $"version {here} to {planned.Recipe.Version}" : $"version {planned.Recipe.Version}";
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

    private static IEnumerable<PackedRecipe> Chosen(ImmutableArray<PackedRecipe> all, string[] names)
    {
        string[] known = [.. all.Select(recipe => recipe.Name)];
        return names.FirstOrDefault(name => !known.Contains(name)) is { } missing
            ? throw new ProblemException(Codes.UnknownRecipe, $"There is no recipe '{CleanText.Line(missing, 80)}' in it.", Suggestion.Hint(missing, known))
            : all.Where(recipe => names.Length == 0 || names.Contains(recipe.Name));
    }
}
