using System.CommandLine;
using System.Globalization;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
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
                (true, false, [] or [_]) => JournalSearch.Run(paths.FirstOrDefault(), session.Setup(setup), ofRecipe, from, doneBy),
                (false, false, _) when ofRecipe is not null || from is not null || doneBy is not null => throw new ProblemException(
                    Codes.BadUsage, "'--recipe', '--since' and '--by' search the journal, or count reasons.", "Add --all or --reasons."),
                (false, false, [var path]) => Run(session, path, session.SetupName(setup)),
                _ => throw new ProblemException(
                    Codes.BadUsage, "'history' takes an ART, or --all, or --reasons with ARTs or folders.", "For instance: recipes history puffin.png"),
            };
        });
    }

    private static Outcome Run(Session session, string artPath, string? setupName)
    {
        if (!File.Exists(artPath))
        {
            _ = session.Shop.ReadArt(artPath);
        }

        using var work = session.Shop.OpenWork(artPath);
        if (work is not null && session.Shop.ReadArt(artPath).Sha256 != work.Original.Sha256)
        {
            throw new ProblemException(Codes.ArtChanged, $"{artPath} is no longer the file that the work began with.",
                "Put the earlier file back, or move the work file away to start anew.", new Place(artPath));
        }

        string[] names = work is null ? [] : [.. work.Setups.Where(name => setupName is null || name == ChosenSetup.NameIn(work, setupName))];
        var lines = names.Select(name => (Name: name, Line: work!.Line(name))).ToList();
        var fields = new JsonObject
        {
            ["art"] = new JsonObject { ["path"] = artPath, ["sha256"] = work?.Original.Sha256 },
            ["setups"] = new JsonArray([.. lines.Select(line => new JsonObject
            {
                ["name"] = line.Name,
                ["head"] = line.Line.Head,
                ["steps"] = new JsonArray([.. line.Line.Steps.Select(Of)]),
                ["exports"] = new JsonArray([.. line.Line.Exports.Select(export => new JsonObject
                {
                    ["path"] = export.Path, ["sha256"] = export.Sha256, ["step"] = export.Step, ["at"] = export.At.ToString("O", CultureInfo.InvariantCulture),
                })]),
                ["prints"] = new JsonArray([.. line.Line.Prints.Select(print => PrintJson.Of(line.Name, print))]),
            })]),
        };
        var notes = work?.Notes ?? [];
        fields["notes"] = NoteCommand.Of(notes);
        string? lastSetup = work?.LastSetup;
        return new Outcome(fields, text =>
        {
            if (lines.Count == 0)
            {
                text.WriteLine($"{artPath} has no steps{(setupName is null ? "" : $" under the setup {setupName}")} yet.");
            }

            foreach (var (name, line) in lines)
            {
                Write(text, name, line, inUse: name == lastSetup);
            }

            NoteCommand.Write(text, notes, int.MaxValue);
        });
    }

    private static JsonNode Of(WorkStep done)
    {
        var step = done.Record;
        var json = new JsonObject
        {
            ["step"] = done.Number,
            ["state"] = EnumWord.Of(done.State),
            ["recipe"] = new JsonObject { ["name"] = step.Recipe, ["version"] = step.RecipeVersion, ["sha256"] = step.RecipeSha256, ["title"] = step.RecipeTitle },
            ["parameters"] = new JsonObject(step.Parameters.Select(pair => KeyValuePair.Create(pair.Key, (JsonNode?)pair.Value))),
            ["at"] = step.At.ToString("O", CultureInfo.InvariantCulture),
            ["by"] = step.By,
        };
        var counts = Counts(step);
        foreach (string name in (string[])["ground", "questions", "decided", "changed", "white", "resolution", "ink", "declared", "guards", "carriedOver"])
        {
            json[name] = counts[name]?.DeepClone();
        }

        return json;
    }

    // The text comes from a file that anybody could have written.
    private static JsonObject Counts(StepRecord step) => OutsideJson.Parse(Encoding.UTF8.GetBytes(step.ReportJson)) ?? throw new ProblemException(
        Codes.DamagedWorkFile, "A step of the work file holds a damaged report.", "Restore the work file from a copy, or move it away to start anew.");

    private static JsonNode? At(JsonNode? node, string name) => (node as JsonObject)?[name];

    private static string N(JsonNode? count) => count is JsonValue value && value.TryGetValue(out long number) ? Numeral.Of(number) : $"{count}";

    private static void Write(TextWriter text, string setup, WorkLine line, bool inUse)
    {
        text.WriteLine($"setup {setup}, at step {line.Head}{(inUse ? ", used unless --setup says otherwise" : "")}");
        text.WriteLine($"  {(line.Head == 0 ? ">" : " ")} 0  the original");
        foreach (var done in line.Steps)
        {
            var step = done.Record;
            var counts = Counts(step);
            string when = step.At.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture) + " UTC";
            string state = done.State == StepState.Done ? "" : $" [{EnumWord.Of(done.State)}]";
            text.WriteLine($"  {(line.Head == done.Number ? ">" : " ")} {done.Number}  {step.Recipe} (version {step.RecipeVersion}), {when}, {(step.By is { } by ? $"by {by}" : "by nobody named")}{state}");
            text.WriteLine(At(counts["changed"], "pixels") is { } pixels
                ? $"       {N(pixels)} px changed, {N(At(counts["ink"], "gained"))} more print, {N(At(counts["ink"], "lost"))} fewer{(counts["white"] is { } white ? $"; {N(white)} px get white ink" : "")}{(counts["resolution"] is null ? "" : "; the resolution changed")}"
                : "       the size changed");
            if (step.Parameters.Count > 0)
            {
                text.WriteLine($"       {string.Join(", ", step.Parameters.Select(pair => $"{pair.Key}={(pair.Value.Length == 0 ? "none" : pair.Value)}"))}");
            }

            if (At(counts["carriedOver"], "art") is { } origin)
            {
                text.WriteLine($"       carried over from step {At(counts["carriedOver"], "step")} of {origin}{(At(counts["carriedOver"], "by") is { } first ? $", kept by {first}" : "")}");
            }

            foreach (var question in ((counts["questions"] as JsonArray) ?? []).Concat((counts["decided"] as JsonArray) ?? []).OfType<JsonObject>())
            {
                string how = question.Text("decision") ?? $"nobody answered; the proposal was taken: {question.Text("proposal")}";
                text.WriteLine($"       {CleanText.Line($"{question.Text("message")} {how}", 500)}");
            }

            foreach (var guard in (counts["guards"] as JsonArray)?.OfType<JsonObject>().Where(guard => guard["outcome"]?.ToString() != "clear") ?? [])
            {
                text.WriteLine($"       guard {guard["name"]} {guard["outcome"]}: {N(guard["pixels"])} px");
            }
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
}
