using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Cli.Commands;

/// <summary>
/// <c>history</c>: the steps of the art, for each garment setup; with <c>--all</c> what the journal knows, with <c>--reasons</c> why prints were bad.
/// </summary>
internal static class HistoryCommand
{
    public static Command Create()
    {
        var art = new Argument<string[]>("ART")
        {
            Description = "The picture; with --reasons several, or folders of work files", Arity = ArgumentArity.ZeroOrMore,
        };
        var setup = Options.Setup();
        var reasons = new Option<bool>("--reasons") { Description = "Count bad prints by cause, recipe, setup, garment, lot and shift" };
        var all = new Option<bool>("--all") { Description = "Search the house's journal instead: what was done to any art" };
        var recipe = new Option<string?>("--recipe")
        {
            Description = "With --all or --reasons: only what this recipe had a part in", HelpName = "NAME", CompletionSources = { Names.Recipes },
        };
        var since = Options.Since("With --all or --reasons: only from this day on");
        var by = new Option<string?>("--by") { Description = "With --all or --reasons: only what this person did", HelpName = "NAME" };
        var command = new Command("history", "Shows the steps: recipe, parameters, counts, when and by whom")
        {
            art, setup, Options.Garment, reasons, all, recipe, since, by,
        };
        return command.With("recipes history puffin.png", session =>
        {
            var parse = session.Parse;
            string[] paths = parse.GetValue(art) ?? [];
            var from = Options.ReadSince(parse.GetValue(since));
            var (ofRecipe, doneBy) = (parse.GetValue(recipe), parse.GetValue(by));
            return (parse.GetValue(all), parse.GetValue(reasons), paths) switch
            {
                (false, true, _) => ReasonsText.Run(session, paths, new PrintFilter(from, session.SetupName(setup), ofRecipe, doneBy)),
                (true, false, [] or [_]) => JournalText.Told(new JournalSearch
                {
                    ArtPath = paths.FirstOrDefault(), Setup = session.Setup(setup), Recipe = ofRecipe, Since = from, By = doneBy,
                }.Find()),
                (false, false, _) when ofRecipe is not null || from is not null || doneBy is not null => throw new ProblemException(
                    Codes.BadUsage, "'--recipe', '--since' and '--by' search the journal, or count reasons.", "Add --all or --reasons."),
                (false, false, [var path]) => Told(path, session.SetupName(setup), session.Shop),
                _ => throw new ProblemException(
                    Codes.BadUsage, "'history' takes an ART, or --all, or --reasons with ARTs or folders.", "For instance: recipes history puffin.png"),
            };
        });
    }

    private static Outcome Told(string artPath, string? setup, Shop shop)
    {
        var history = ArtHistory.Of(shop, artPath, setup);
        var fields = new JsonObject
        {
            ["art"] = new JsonObject { ["path"] = artPath, ["sha256"] = history.ArtSha256 },
            ["setups"] = new JsonArray([.. history.Setups.Select(HistoryJson.Of)]),
            ["notes"] = ReportJson.Of(history.Notes),
        };
        return new Outcome(fields, text =>
        {
            if (history.Setups.IsEmpty)
            {
                text.WriteLine($"{artPath} has no steps{(setup is null ? "" : $" under the setup {setup}")} yet.");
            }

            foreach (var (line, steps) in history.Setups)
            {
                text.WriteLine($"setup {line.Setup}, at step {line.Head}{(line.Setup == history.LastSetup ? ", used unless --setup says otherwise" : "")}");
                text.WriteLine($"  {(line.Head == 0 ? ">" : " ")} 0  the original");
                foreach (var step in steps)
                {
                    Write(text, step, line.Head);
                }

                foreach (var print in line.Prints)
                {
                    text.WriteLine($"  {PrintedCommand.InWords(print)}");
                }

                foreach (var export in line.Exports)
                {
                    text.WriteLine($"  exported step {export.Step} to {export.Path}{(export.Step == line.Head ? "" : " (outdated)")}");
                }
            }

            NoteCommand.Write(text, history.Notes, int.MaxValue);
        });
    }

    private static JsonNode? At(JsonNode? node, string name) => (node as JsonObject)?[name];

    private static string N(JsonNode? count) => count is JsonValue value && value.TryGetValue(out long number) ? Numeral.Of(number) : $"{count}";

    private static void Write(TextWriter text, ToldStep told, int head)
    {
        var (done, report) = told;
        var step = done.Record;
        string when = step.At.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture) + " UTC", who = step.By is { } by ? $"by {by}" : "by nobody named";
        string state = done.State == StepState.Done ? "" : $" [{EnumWord.Of(done.State)}]";
        text.WriteLine($"  {(head == done.Number ? ">" : " ")} {done.Number}  {step.Recipe} (version {step.RecipeVersion}), {when}, {who}{state}");
        string white = report["white"] is { } inked ? $"; {N(inked)} px get white ink" : "";
        string resized = report["resolution"] is null ? "" : "; the resolution changed";
        text.WriteLine(At(report["changed"], "pixels") is not { } pixels ? "       the size changed"
            : $"       {N(pixels)} px changed, {N(At(report["ink"], "gained"))} more print, {N(At(report["ink"], "lost"))} fewer{white}{resized}");
        if (step.Parameters.Count > 0)
        {
            text.WriteLine($"       {string.Join(", ", step.Parameters.Select(pair => $"{pair.Key}={(pair.Value.Length == 0 ? "none" : pair.Value)}"))}");
        }

        if (At(report["carriedOver"], "art") is { } origin)
        {
            string first = At(report["carriedOver"], "by") is { } keeper ? $", kept by {keeper}" : "";
            text.WriteLine($"       carried over from step {At(report["carriedOver"], "step")} of {origin}{first}");
        }

        foreach (var question in Objects(report["questions"]).Concat(Objects(report["decided"])))
        {
            string how = question.Text("decision") ?? $"nobody answered; the proposal was taken: {question.Text("proposal")}";
            text.WriteLine($"       {CleanText.Line($"{question.Text("message")} {how}", 500)}");
        }

        foreach (var guard in Objects(report["guards"]).Where(guard => guard["outcome"]?.ToString() != "clear"))
        {
            text.WriteLine($"       guard {guard["name"]} {guard["outcome"]}: {N(guard["pixels"])} px");
        }
    }

    private static IEnumerable<JsonObject> Objects(JsonNode? list) => (list as JsonArray ?? []).OfType<JsonObject>();
}
