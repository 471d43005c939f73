using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Reports;

/// <summary>Reports as the JSON of the command-line contract.</summary>
public static class ReportJson
{
    /// <summary>The contract's schema number.</summary>
    public const int Schema = 1;

    /// <summary>The fields that every command's answer starts with.</summary>
    public static JsonObject Answer(string command, ExitCode exit, IEnumerable<Problem> problems) => new()
    {
        ["schema"] = Schema,
        ["command"] = command,
        ["ok"] = exit == ExitCode.Done,
        ["exit"] = (int)exit,
        ["problems"] = new JsonArray([.. problems.Select(Of)]),
    };

    /// <summary>A whole answer: the common fields, then the command's own, copied.</summary>
    public static JsonObject Answer(string command, ExitCode exit, IEnumerable<Problem> problems, JsonObject fields)
    {
        ArgumentNullException.ThrowIfNull(fields);
        var answer = Answer(command, exit, problems);
        foreach (var (name, value) in fields)
        {
            answer[name] = value?.DeepClone();
        }

        return answer;
    }

    /// <summary>Writes an answer as a file's text: indented, lines ended by a line feed.</summary>
    /// <remarks>Not by the serializer, which sets up a converter for every type it knows before it writes.</remarks>
    public static void Write(Stream stream, JsonObject answer)
    {
        ArgumentNullException.ThrowIfNull(answer);
        using var writer = new Utf8JsonWriter(stream, new JsonWriterOptions { Indented = true, NewLine = "\n" });
        answer.WriteTo(writer);
    }

    /// <summary>One problem.</summary>
    public static JsonNode Of(Problem problem)
    {
        ArgumentNullException.ThrowIfNull(problem);
        return new JsonObject
        {
            ["code"] = problem.Code.Id,
            ["severity"] = problem.Severity == Severity.Error ? "error" : "warning",
            ["message"] = problem.Message,
            ["hint"] = problem.Hint,
            ["where"] = problem.Where is { } where ? new JsonObject { ["file"] = where.File, ["line"] = where.Line, ["column"] = where.Column } : null,
        };
    }

    /// <summary>What a check found.</summary>
    public static JsonArray Of(IEnumerable<Finding> findings) => new([.. findings.Select(finding => new JsonObject
    {
        ["code"] = finding.Code, ["message"] = finding.Message, ["pixels"] = finding.Pixels, ["box"] = Of(finding.Box), ["recipe"] = finding.Recipe,
            ["set"] = finding.Set,
    })]);

    /// <summary>An ink estimate, mL; null where there is none.</summary>
    public static JsonObject? Of(InkEstimate? estimate)
    {
        return estimate is null ? null : new JsonObject
        {
            ["unit"] = "mL", ["total"] = Range(estimate.Total), ["colors"] = Range(estimate.Colors),
            ["underbase"] = Range(estimate.Underbase), ["saved"] = Range(estimate.Saved),
        };

        static JsonArray Range(InkRange range) => new(range.Low, range.High);
    }

    /// <summary>The art.</summary>
    public static JsonObject Of(ArtIdentity art)
    {
        ArgumentNullException.ThrowIfNull(art);
        return new JsonObject
        {
            ["path"] = art.Path, ["sha256"] = art.Sha256, ["width"] = art.Width, ["height"] = art.Height, ["ppi"] = art.PixelsPerInch,
            ["format"] = art.Format, ["notes"] = Texts(art.Notes),
        };
    }

    /// <summary>Main colors with their printed areas, the largest first.</summary>
    public static JsonArray Of(ColorAreas? colors, double pixelsPerInch) => new([.. (colors?.Colors ?? []).Select(color => new JsonObject
    {
        ["rgb"] = color.Color.ToString(), ["mm2"] = Measure.SquareMillimeters(color.Pixels, pixelsPerInch), ["share"] = color.Share,
    })]);

    /// <summary>Counts of the ink states.</summary>
    public static JsonObject Of(InkCount ink)
    {
        ArgumentNullException.ThrowIfNull(ink);
        return new JsonObject { ["prints"] = ink.Prints, ["bareWhite"] = ink.BareWhite, ["bareBlack"] = ink.BareBlack, ["transparent"] = ink.Transparent };
    }

    /// <summary>A box as <c>[x,y,w,h]</c>, or null.</summary>
    public static JsonNode? Of(Box? box) => box is { } b ? new JsonArray(b.X, b.Y, b.Width, b.Height) : null;

    /// <summary>The exact difference, or null where the size changed: then nothing is comparable.</summary>
    public static JsonObject Of(ArtworkDiff? diff) => new()
    {
        ["pixels"] = diff?.Pixels, ["box"] = Of(diff?.Box), ["maxDelta"] = diff?.LargestDelta,
    };

    /// <summary>Adds all that is known about a run.</summary>
    public static void AddTo(JsonObject answer, RunReport report)
    {
        ArgumentNullException.ThrowIfNull(answer);
        ArgumentNullException.ThrowIfNull(report);
        answer["recipe"] = report.Recipe == RecipeIdentity.None ? null : new JsonObject
        {
            ["name"] = report.Recipe.Name, ["version"] = report.Recipe.Version, ["sha256"] = report.Recipe.Sha256, ["title"] = report.Recipe.Title,
        };
        answer["art"] = Of(report.Art);
        answer["fromStep"] = report.FromStep;
        answer["fromRecipe"] = report.FromRecipe;
        answer["parameters"] = new JsonObject(report.Parameters.Select(pair => KeyValuePair.Create(pair.Key, (JsonNode?)pair.Value)));
        answer["setup"] = SetupJson.ToJson(report.Setup);
        answer["setupIsFallback"] = report.SetupIsFallback;
        AddCounts(answer, report);
        answer["kind"] = GroundJson.KindWord(report.Ground.Kind);
        answer["notes"] = Texts(report.Notes);
        answer["regions"] = new JsonArray([.. report.Regions.Select(list => new JsonObject
        {
            ["title"] = list.Title, ["regions"] = new JsonArray([.. list.Regions.Select(Of)]),
        })]);
        answer["colors"] = new JsonArray([.. report.Colors.Select(list => new JsonObject
        {
            ["title"] = list.Title,
            ["colors"] = new JsonArray([.. list.Colors.Select(color => new JsonObject { ["color"] = color.Color.ToString(), ["pixels"] = color.Pixels })]),
            ["others"] = list.Others,
        })]);
        answer["moves"] = new JsonArray([.. report.Change.Moves.Select(move => new JsonObject
        {
            ["from"] = move.From.ToString(), ["to"] = move.To.ToString(), ["pixels"] = move.Pixels,
        })]);
    }

    /// <summary>Open questions, or decided ones with how they were decided.</summary>
    public static JsonArray Of(IEnumerable<AskedQuestion> questions) => new([.. questions.Select(question =>
    {
        var json = new JsonObject
        {
            ["code"] = question.Code, ["step"] = question.Step, ["recipe"] = question.Recipe, ["message"] = question.Message,
            ["regions"] = new JsonArray(
                [.. question.Regions.Select(region =>
                new JsonObject { ["number"] = region.Number, ["box"] = Of(region.Box), ["pixels"] = region.Pixels, ["class"] = region.Class.Length == 0 ? null
                : region.Class })]),
            ["box"] = Of(question.Box), ["pixels"] = question.Pixels, ["proposal"] = question.Proposal, ["answer"] = question.Answer,
        };
        if (question.Decision is not null)
        {
            json["decision"] = question.Decision;
        }

        if (question.Edge is { } edge)
        {
            json["edge"] = Of(edge);
        }

        return json;
    })]);

    /// <summary>Adds the exact counts: what a step of the work file remembers of its run.</summary>
    public static void AddCounts(JsonObject answer, RunReport report)
    {
        ArgumentNullException.ThrowIfNull(answer);
        ArgumentNullException.ThrowIfNull(report);
        answer["ground"] = GroundJson.Of(report.Ground);
        answer["questions"] = Of(report.OpenQuestions);
        answer["decided"] = Of(report.Questions.Where(question => question.Decision is not null));
        answer["changed"] = Of(report.Changed);
        answer["white"] = report.Change.White;
        answer["resolution"] = report.Change.Resolution is { } resolution
            ? new JsonObject { ["before"] = resolution.Before, ["after"] = resolution.After } : null;
        answer["ink"] = new JsonObject
        {
            ["before"] = Of(report.Ink.Before), ["after"] = Of(report.Ink.After), ["gained"] = report.Ink.Gained, ["lost"] = report.Ink.Lost,
        };
        answer["declared"] = new JsonObject
        {
            ["printable"] = report.Declared.Printable, ["bare"] = report.Declared.Bare, ["droppedBlack"] = report.Declared.DroppedBlack,
            ["printedBlack"] = report.Declared.PrintedBlack, ["sizeChange"] = report.Declared.SizeChange, ["sizedBy"] = report.Declared.SizedBy,
        };
        answer["guards"] = new JsonArray([.. report.Guards.Select(guard => new JsonObject
        {
            ["name"] = guard.Name, ["policy"] = EnumWord.Of(guard.Policy),
            ["pixels"] = report.HadNothingToJudge(guard) ? null : guard.Pixels, ["outcome"] = EnumWord.Of(guard.Outcome),
            ["box"] = Of(guard.Box), ["why"] = guard.Why,
        })]);
    }

    /// <summary>A numbered region.</summary>
    public static JsonNode Of(ReportedRegion region)
    {
        ArgumentNullException.ThrowIfNull(region);
        return new JsonObject { ["number"] = region.Number, ["box"] = Of(region.Box), ["pixels"] = region.Pixels, ["chosen"] = region.Chosen,
            ["class"] = region.Class.Length == 0 ? null : region.Class };
    }

    /// <summary>Handover notes, in the order given.</summary>
    public static JsonArray Of(IEnumerable<ArtNote> notes) => new([.. notes.Select(note => (JsonNode)new JsonObject
    {
        ["text"] = note.Text, ["by"] = note.By, ["at"] = note.At.ToString("O", CultureInfo.InvariantCulture),
    })]);

    private static JsonArray Texts(IEnumerable<string> texts) => new([.. texts.Select(text => (JsonNode?)text)]);
}
