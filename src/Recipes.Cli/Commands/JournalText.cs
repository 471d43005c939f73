using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Words;

namespace Recipes.Cli.Commands;

/// <summary><c>history --all</c>: what the house's journal knows of an art, a recipe or a person.</summary>
internal static class JournalText
{
    public static Outcome Told(JournalReading read)
    {
        var fields = new JsonObject
        {
            ["journal"] = read.Path,
            ["entries"] = new JsonArray([.. read.Entries.Select(entry => (JsonNode?)entry.ToJson())]),
            ["leftOut"] = read.LeftOut,
        };
        return new Outcome(fields, text =>
        {
            foreach (var entry in read.Entries)
            {
                Write(text, entry);
            }

            text.WriteLine(read.Path is null ? "There is no journal: there is no home folder, and the house names none."
                : read.Entries.IsEmpty ? $"The journal {read.Path} has no such entry."
                : $"{Numeral.Of(read.Entries.Length)} of the journal {read.Path}"
                    + $"{(read.LeftOut > 0 ? $"; {Numeral.Of(read.LeftOut)} older ones are left out" : "")}.");
        })
        {
            Problems = read.Damaged,
        };
    }

    private static void Write(TextWriter text, JournalEntry entry)
    {
        string recipes = string.Join(", ", entry.Recipes);
        string what = entry.Recipe is { } recipe ? $"{recipe.Name} (version {recipe.Version}{(recipes.Length > 0 ? $": {recipes}" : "")})" : recipes;
        string where = entry.Act switch
        {
            JournalAct.Add => $"{what} from {entry.From}{(entry.Replaced is { } old ? $", in place of version {old}" : "")}",
            JournalAct.Export => $"{entry.Art?.Name} to {entry.File?.Name}, step {entry.Step}, setup {entry.Setup}",
            JournalAct.Run => $"{(what.Length == 0 ? "what was kept" : what)} on {entry.Art?.Name} to {entry.File?.Name}, setup {entry.Setup}",
            JournalAct.Commit => $"{what} on {entry.Art?.Name}, as step {entry.Step}, setup {entry.Setup}",
            JournalAct.Print => $"{entry.Art?.Name}, step {entry.Step}, setup {entry.Setup}: {entry.Result}{(entry.Cause is { } cause ? $", {cause}" : "")}",
            JournalAct.Undo => $"{what} on {entry.Art?.Name}, back to step {entry.Step}, setup {entry.Setup}",
            _ => $"{what} on {entry.Art?.Name}, again step {entry.Step}, setup {entry.Setup}",
        };
        string at = entry.At.UtcDateTime.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture);
        text.WriteLine($"{at} UTC  {EnumWord.Of(entry.Act),-6}  {where}, {(entry.By is { } by ? $"by {by}" : "by nobody named")}");
        if (entry.Note is { } note)
        {
            text.WriteLine($"       {note}");
        }
    }
}
