using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Tickets;
using Recipes.Problems;

namespace Recipes.Desk;

/// <summary>The rows of the order lists in the desk's folders, as the page shows them: what is next comes first.</summary>
internal sealed class OrderTable(Bench bench)
{
    // As many faults as a list of orders tells.
    private const int MostLists = 50, MostTold = 50;

    /// <summary>All rows, by the day on which they leave the shop and then by cloth.</summary>
    public JsonArray Rows(CancellationToken cancel)
    {
        var shop = bench.ShopFor(cancel);
        var rows = bench.Shelf.Folders.Where(Directory.Exists).SelectMany(folder => OutsideFile.In(folder, "*.csv"))
            // A shop that writes a list a day has many, and the newest are worked.
            .OrderByDescending(File.GetLastWriteTimeUtc).ThenBy(list => list, StringComparer.Ordinal).Take(MostLists)
            .SelectMany(list => RowsOf(shop, list)).ToList();
        // Those that may take their time come last.
        return new JsonArray([.. rows.OrderBy(row => row.Text("shipBy") ?? "~", StringComparer.Ordinal)
            .ThenBy(row => row.Text("cloth") ?? "", StringComparer.Ordinal)]);
    }

    private List<JsonObject> RowsOf(Shop shop, string list)
    {
        try
        {
            var (orders, problems) = OrderList.Read(list);
            var told = problems.ToLookup(problem => problem.Where?.Line);
            // Of many faults only the first are told, so a row without one may have one.
            var all = problems.Length >= MostTold ? problems[..1] : [];
            return [.. orders.Select(order => Row(shop, list, order, told[order.PlaceOf("art").Line].Concat(all))),
                .. problems.Where(problem => orders.All(order => order.PlaceOf("art").Line != problem.Where?.Line)).Select(problem => Bad(list, problem))];
        }
        catch (ProblemException e)
        {
            // Any CSV file may lie there; one that names an art's column is meant as a list of orders.
            return e.Problems[0].Where?.Line is null ? [] : [.. e.Problems.Select(problem => Bad(list, problem))];
        }
    }

    private JsonObject Row(Shop shop, string list, Order order, IEnumerable<Problem> problems)
    {
        var wrong = problems.ToList();
        var art = File.Exists(order.Art) ? bench.Shelf.At(order.Art) : null;
        if (art is null)
        {
            wrong.Add(new Problem(
                Codes.ArtMissing, $"There is no file {Path.GetFileName(order.Art)} in the desk's folders.", "Check the row's art.", order.PlaceOf("art")));
        }

        if (order.Setup is { } file && !PlainName.Is(file))
        {
            wrong.Add(new Problem(Codes.UnknownSetup, "The row names its garment setup by a file, and the desk knows setups by name.",
                "Put the file where the shop's setups lie, and write its name.", order.PlaceOf("setup")));
        }

        var setup = Tried(wrong, order, () => ChosenSetup.Find(order.Garment ?? order.Setup, null).Required().Setup);
        string stem = StemOf(order);
        var (state, why) = wrong.Count > 0 ? ("needs-you", wrong[0].Message)
            : Tried(wrong, order, () => StateOf(shop, order, stem, setup!.Name)) ?? ("needs-you", null);
        var garment = order.Garment is { } named && wrong.Count == 0 ? GarmentStock.Known(named) : null;
        return new JsonObject
        {
            ["id"] = IdOf($"{list}\n{order.Number}\n{order.Art}\n{order.OrderNumber}\n{order.Stem}"),
            ["list"] = Path.GetFileName(list),
            ["row"] = order.Number,
            ["label"] = order.Label,
            ["order"] = order.OrderNumber,
            ["shipBy"] = order.ShipBy?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture),
            ["art"] = art is null ? null : new JsonObject { ["id"] = art.Id, ["name"] = art.Name },
            ["garment"] = order.Garment,
            ["garmentInWords"] = garment?.InWords(),
            ["setup"] = setup?.Name,
            ["cloth"] = setup?.Garment.ToString(),
            ["sizes"] = order.Sizes,
            ["place"] = order.Place,
            ["quantity"] = order.Quantity,
            ["recipe"] = order.Recipe,
            ["values"] = new JsonObject(order.Sets.Select(set => set.Split('=', 2)).DistinctBy(pair => pair[0])
                .Select(pair => KeyValuePair.Create(pair[0], (JsonNode?)(pair.Length == 2 ? pair[1] : "")))),
            ["fromKept"] = order.FromKept,
            ["stem"] = stem,
            ["state"] = state,
            ["why"] = why ?? (wrong.Count > 0 ? wrong[0].Message : null),
            ["problems"] = new JsonArray([.. wrong.Select(ReportJson.Of)]),
        };
    }

    // An address with it must mean the same order however the list was sorted since.
    private static string IdOf(string text) => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text)))[..16];

    // Two orders of one art have a picture and a ticket each, and a repeat order isn't done because the first one was.
    private static string StemOf(Order order) => order.OrderNumber is not { } number ? order.Stem
        : $"{order.Stem}-{string.Concat(number.Select(letter => char.IsAsciiLetterOrDigit(letter) || letter is '-' or '_' ? letter : '-'))}";

    // Done once its current state was exported under the row's setup, and picture and ticket are still there.
    private static (string State, string? Why)? StateOf(Shop shop, Order order, string stem, string setup)
    {
        using var work = shop.OpenWork(order.Art);
        if (work is null || !work.Setups.Contains(setup))
        {
            return ("ready", null);
        }

        if (EarlierPrint.LastBad(work, setup) is { } bad)
        {
            return ("printed-badly", bad.WhyInWords());
        }

        var line = work.Line(setup);
        string folder = Path.GetDirectoryName(Path.GetFullPath(order.Art))!, name = $"{stem}-{setup}";
        bool done = line.Exports.Any(export => export.Step == line.Head && Path.GetFileNameWithoutExtension(export.Path) == name
            && File.Exists(Path.Combine(folder, export.Path)) && File.Exists(Path.Combine(folder, $"{name}-ticket.html")));
        return (done ? "done" : "ready", null);
    }

    private static T? Tried<T>(List<Problem> wrong, Order order, Func<T> find)
    {
        try
        {
            return find();
        }
        catch (ProblemException e)
        {
            wrong.AddRange(e.Problems.Select(problem => problem with { Where = order.PlaceOf("art") }));
            return default;
        }
    }

    private static JsonObject Bad(string list, Problem problem) => new()
    {
        ["id"] = string.Create(CultureInfo.InvariantCulture, $"{Path.GetFileName(list)}#{problem.Where?.Line}-{problem.Where?.Column}"),
        ["list"] = Path.GetFileName(list), ["state"] = "needs-you", ["why"] = problem.Message, ["problems"] = new JsonArray(ReportJson.Of(problem)),
    };
}
