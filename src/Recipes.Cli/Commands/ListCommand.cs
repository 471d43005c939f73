using System.CommandLine;
using System.Globalization;
using System.Text;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Recipes.Files;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>list</c>: the recipes on the path, without compiling any; with <c>--new</c> what came lately.</summary>
internal static partial class ListCommand
{
    private const int UsualDays = 30;

    public static Command Create()
    {
        var recipes = Options.RecipesFolder();
        var fresh = new Option<bool>("--new") { Description = "Only what was added or approved lately: when, by whom and why" };
        var since = Options.Since("With --new: from this day on [default: 30 days back]");
        var command = new Command("list", "Lists the recipes") { recipes, fresh, since };
        return command.With("recipes list", session =>
        {
            string? folder = session.Parse.GetValue(recipes), day = session.Parse.GetValue(since);
            return session.Parse.GetValue(fresh)
                ? New(folder, Options.ReadSince(day) ?? new DateTimeOffset(session.Shop.Now.UtcDateTime.Date.AddDays(-UsualDays), TimeSpan.Zero))
                : day is null ? Run(folder) : throw new ProblemException(Codes.BadUsage, "'--since' goes with --new.", "Add --new.");
        });
    }

    private static Outcome Run(string? folder)
    {
        var all = RecipePath.All(folder).Select(recipe => (recipe.Name, recipe.File, Title: Said(TitleCall(), recipe.File))).ToList();
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

    private sealed record Arrived(DateTimeOffset At, string What, string Name, int Version, string? By)
    {
        public string? From { get; init; }

        public int? Replaced { get; init; }

        public string? Note { get; init; }

        public string? Doubt { get; init; }
    }

    // Installing is in the journal. An approval is in the lock file beside its recipe, however that came here.
    private static Outcome New(string? folder, DateTimeOffset since)
    {
        var read = Journal.Read(entry => entry.Act == JournalAct.Add && entry.At >= since);
        var here = RecipePath.All(folder).Concat(RecipePath.Lists(folder)).ToLookup(recipe => recipe.Name, recipe => recipe.File);
        var house = House.Read();
        Arrived[] arrived = [.. read.Entries.Where(entry => entry.Recipe is not null)
            .Select(entry => new Arrived(entry.At, "added", entry.Recipe!.Name, entry.Recipe.Version, entry.By) { From = entry.From, Replaced = entry.Replaced, Note = entry.Note })
            .Concat(here.SelectMany(recipes => recipes.SelectMany(file => Approvals(recipes.Key, file, folder, since, house))))
            .OrderBy(one => one.At).ThenBy(one => one.Name, StringComparer.Ordinal)];
        var fields = new JsonObject
        {
            ["since"] = since.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture),
            ["new"] = new JsonArray([.. arrived.Select(one => new JsonObject
            {
                ["name"] = one.Name, ["version"] = one.Version, ["what"] = one.What, ["at"] = one.At.UtcDateTime.ToString("O", CultureInfo.InvariantCulture), ["by"] = one.By,
                ["from"] = one.From, ["replaced"] = one.Replaced, ["note"] = one.Note, ["doubt"] = one.Doubt, ["here"] = here.Contains(one.Name), ["purpose"] = PurposeOf(one.Name),
            })]),
        };
        return new Outcome(fields, text =>
        {
            foreach (var one in arrived)
            {
                text.WriteLine($"{one.At.UtcDateTime.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)}  {one.Name}, version {one.Version}: {one.What} by {one.By ?? "nobody named"}{(one.From is null ? "" : $" from {one.From}")}{(one.Replaced is { } old ? $", in place of version {old}" : "")}");
                foreach (string line in new[] { one.Doubt ?? "", one.Note is null ? "" : $"why: {one.Note}", here.Contains(one.Name) ? PurposeOf(one.Name) : "not on this machine's recipe path" }.Where(line => line.Length > 0))
                {
                    text.WriteLine($"            {line}");
                }
            }

            text.WriteLine(arrived.Length == 0 ? $"Nothing came since {fields["since"]}." : $"'recipes show NAME' tells what one does and takes.");
        })
        {
            Problems = read.Damaged,
        };

        string PurposeOf(string name) => here[name].FirstOrDefault() is { } file && Said(PurposeCall(), file) is { Length: > 0 } purpose ? purpose
            : here[name].FirstOrDefault() is { } titled ? Said(TitleCall(), titled) : "";
    }

    private static IEnumerable<Arrived> Approvals(string name, string file, string? folder, DateTimeOffset since, House house)
    {
        try
        {
            if (RecipeLock.Read(RecipeLock.PathFor(file)) is not { } held || held.Approvals.All(approval => At(approval) < since))
            {
                return [];
            }

            // Each by itself: beside one that counts, a stranger's still doesn't.
            var each = file.EndsWith(RecipeList.Ending, StringComparison.Ordinal) && RecipeList.Read(file) is var list
                ? Approval.OfEach(list, ShopRecipes.Read(list, folder), house)
                : Approval.OfEach(RecipeSource.Read(name, file), house);
            return [.. each.Where(one => At(one.Signature) >= since).Select(one => new Arrived(
                At(one.Signature), one.Worth.State == ApprovalState.Approved ? "approved" : "signed", name, held.Version, one.Signature.By)
            {
                Doubt = one.Worth.State == ApprovalState.Approved ? null : $"that doesn't count in this house: {one.Worth.Words}",
            })];
        }
        catch (ProblemException)
        {
            // A recipe or lock file that can't be read is no news here; 'show' and 'run' say what is wrong.
            return [];
        }

        static DateTimeOffset At(SignedApproval approval) => new(approval.On, TimeOnly.MinValue, TimeSpan.Zero);
    }

    // Only a look at the text: the title that counts is the compiled recipe's.
    private static string Said(Regex call, string file)
    {
        try
        {
            return OutsideFile.Read(file, RecipeSource.Longest) is { } bytes && call.Match(Encoding.UTF8.GetString(bytes)) is { Success: true } match
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

    [GeneratedRegex("""^\s*Recipe\.Purpose\("([^"\r\n]*)"\)""", RegexOptions.Multiline | RegexOptions.CultureInvariant)]
    private static partial Regex PurposeCall();
}
