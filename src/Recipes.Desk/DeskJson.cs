using System.Text.Json.Nodes;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Tickets;
using Recipes.Problems;

namespace Recipes.Desk;

/// <summary>What the page is told: the JSON of the command line's contract where there is such, and the tokens beside it.</summary>
internal static class DeskJson
{
    /// <summary>An art that was opened; the work file is open meanwhile.</summary>
    public static JsonObject Of(ShelvedArt art, CheckedArt seen)
    {
        var json = CheckJson.Of(seen);
        json["art"]!["id"] = art.Id;
        json["art"]!["name"] = art.Name;
        json["steps"] = new JsonArray();
        if (seen.State.Line is { } line && seen.State.OwnWork is not null)
        {
            var history = HistoryJson.Of(SetupHistory.Of(line));
            foreach (string name in (string[])["head", "steps", "exports", "prints"])
            {
                json[name] = history[name]?.DeepClone();
            }
        }

        json["lastBad"] = EarlierPrint.LastBad(seen.State)?.WhyInWords();
        return json;
    }

    /// <summary>A state, with its token.</summary>
    public static JsonObject Of(ShownState shown)
    {
        var json = (JsonObject)shown.Json.DeepClone();
        json["token"] = shown.Token;
        return json;
    }

    /// <summary>A try.</summary>
    public static JsonObject Of(ShownTry shown)
    {
        var (report, after) = (shown.Listed.Whole.Report, shown.Pictures.Flat);
        var told = new JsonObject();
        ReportJson.AddTo(told, report);
        // Regions are numbered on the art that a list's step saw; the page shows those of the step that decides them.
        told["whites"] = new JsonArray([.. report.Whites.Select(ReportJson.Of)]);
        if (shown.Listed.Left is { } left)
        {
            told["left"] = ReportJson.Of(left);
        }

        return new JsonObject
        {
            ["token"] = shown.Token,
            ["report"] = told,
            ["refusal"] = RunProblems.Refusal(report) is { } refusal ? ReportJson.Of(refusal) : null,
            ["repeat"] = shown.Run.RanAlready is { } repeat ? ReportJson.Of(repeat) : null,
            ["nothing"] = report.SettlesNothing,
            ["width"] = after.Width,
            ["height"] = after.Height,
            ["resized"] = after.Grid != shown.Of.Pictures.Flat.Grid,
            ["changedTiles"] = new JsonArray([.. shown.ChangedTiles().Select(tile => (JsonNode)tile)]),
        };
    }

    /// <summary>Problems alone.</summary>
    public static JsonObject Of(IEnumerable<Problem> problems) => new() { ["problems"] = new JsonArray([.. problems.Select(ReportJson.Of)]) };
}
