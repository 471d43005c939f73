using System.Globalization;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Work;

namespace Recipes.Hosting.Tickets;

/// <summary>Remembered prints as answers tell them.</summary>
public static class PrintJson
{
    /// <summary>An earlier print, with what the file was called then where its name was another.</summary>
    public static JsonObject? Of(EarlierPrint? earlier)
    {
        if (earlier is null)
        {
            return null;
        }

        var json = Of(earlier.Setup, earlier.Print);
        json["art"] = earlier.Art;
        return json;
    }

    /// <summary>A remembered print.</summary>
    public static JsonObject Of(string setup, PrintRecord print)
    {
        ArgumentNullException.ThrowIfNull(print);
        // The setup comes from a file that anybody could have written; only its fields that a print depends on are told.
        var with = OutsideJson.Parse(Encoding.UTF8.GetBytes(print.SetupJson));
        return new JsonObject
        {
            ["setup"] = setup,
            ["step"] = print.Step,
            // The journal remembers no pixels.
            ["pixelsSha256"] = print.PixelsSha256.Length == 0 ? null : print.PixelsSha256,
            ["result"] = Word(print.IsGood),
            ["cause"] = print.Cause,
            ["cost"] = print.Cost is { } cost ? Of(cost) : null,
            ["note"] = print.Note.Length == 0 ? null : print.Note,
            ["inkLot"] = with.Text("inkLot"),
            ["pretreatment"] = with.Text("pretreatment"),
            ["chart"] = with.Object("chart") is { } chart
                ? new JsonObject { ["file"] = chart.Text("file"), ["sha256"] = chart.Text("sha256"), ["date"] = chart.Text("date") } : null,
            ["by"] = print.By,
            ["at"] = print.At.ToString("O", CultureInfo.InvariantCulture),
        };
    }

    /// <summary>A cost, or a sum of some.</summary>
    public static JsonObject Of(PrintCost cost)
    {
        ArgumentNullException.ThrowIfNull(cost);
        return new JsonObject { ["amount"] = cost.Amount, ["currency"] = cost.Currency };
    }

    /// <summary>How a print came out, as <c>--result</c> takes it.</summary>
    public static string Word(bool good) => good ? "good" : "bad";
}
