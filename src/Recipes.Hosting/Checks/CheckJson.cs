using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;

namespace Recipes.Hosting.Checks;

/// <summary>An art that was looked at, as the JSON of the command-line contract.</summary>
public static class CheckJson
{
    /// <summary>All that was found.</summary>
    public static JsonObject Of(CheckedArt seen)
    {
        ArgumentNullException.ThrowIfNull(seen);
        var (state, chosen, check, export) = seen;
        return new JsonObject
        {
            ["art"] = ReportJson.Of(state.Identity),
            ["step"] = state.Step,
            ["setup"] = SetupJson.ToJson(chosen.Setup),
            ["setupIsFallback"] = chosen.IsFallback,
            ["ink"] = ReportJson.Of(check.Ink),
            ["inkBox"] = ReportJson.Of(check.InkBox),
            ["colors"] = ReportJson.Of(check.Colors, check.PrintPpi),
            ["inkEstimate"] = ReportJson.Of(check.Estimate),
            ["effectivePpi"] = Math.Round(check.EffectivePpi, 2),
            ["printPpi"] = Math.Round(check.PrintPpi, 2),
            ["platenPpi"] = Math.Round(check.PlatenPpi, 2),
            ["kind"] = GroundJson.KindWord(check.Ground.Kind),
            ["ground"] = GroundJson.Of(check.Ground),
            ["questions"] = ReportJson.Of(check.Questions),
            ["decided"] = ReportJson.Of(check.Decided),
            ["findings"] = ReportJson.Of(check.Findings),
            ["regionCount"] = check.EnclosedWhiteCount,
            ["regions"] = new JsonArray([.. check.EnclosedWhites.Regions.Select(ReportJson.Of)]),
            ["export"] = export?.ToJson(),
            ["notes"] = ReportJson.Of(seen.Notes),
        };
    }
}
