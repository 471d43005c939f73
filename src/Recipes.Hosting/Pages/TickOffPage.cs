using System.Collections.Immutable;
using System.Globalization;
using System.Xml;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Pages;

/// <summary>A row of the sheet: what is printed, how often, and how it looks; or why there is nothing to print.</summary>
/// <param name="Order">The order.</param>
/// <param name="Setup">The garment setup's name.</param>
/// <param name="Picture">What <see cref="TickOffPage.Small"/> gave, or null where nothing was written.</param>
/// <param name="File">The picture's file name, or null where nothing was written.</param>
/// <param name="Findings">What <c>check</c> finds in the picture.</param>
/// <param name="Questions">Questions that nobody answered: the proposals were taken.</param>
/// <param name="Failure">Why nothing was written, or null.</param>
public sealed record TickOffRow(
    Order Order, string Setup, Plane<Rgba8>? Picture, string? File, ImmutableArray<Finding> Findings, ImmutableArray<AskedQuestion> Questions, string? Failure)
{
    /// <summary>The effective resolution in words, or null where nothing was written.</summary>
    public string? Resolution { get; init; }

    /// <summary>Why the last print of the art under this setup was bad, or null where it wasn't.</summary>
    public string? LastBad { get; init; }

    /// <summary>That the order asks for sizes that the stock doesn't list, or null.</summary>
    public string? SizeNotListed { get; init; }

    /// <summary>The cloth's color.</summary>
    public Rgba8 Cloth { get; init; } = Rgba8.White;

    /// <summary>The garment of the shop's stock, in words; null for a setup that is none.</summary>
    public string? Garment { get; init; }
}

/// <summary>Writes the sheet that lies beside the press: a box to tick for every piece of a list of orders.</summary>
public static class TickOffPage
{
    // A row of boxes for each piece; above this, one box and the number, to be counted otherwise.
    private const int MostBoxes = 20, PictureSide = 96;
    private const long Longest = 100_000_000;

    /// <summary>An art on its garment, small: its ink and a margin, since of a platen with a left chest nothing would be seen.</summary>
    public static Plane<Rgba8> Small(Artwork art, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(art);
        var window = InkWindow.Of(setup, [], art.Flat);
        return GarmentPicture.Render(window.Of(art.Flat), setup, (Math.Max(window.Box.Width, window.Box.Height) + PictureSide - 1) / PictureSide);
    }

    /// <summary>Writes the page as UTF-8.</summary>
    /// <param name="stream">Where to; stays open.</param>
    /// <param name="list">The list's path, as seen from the page's folder.</param>
    /// <param name="rows">
    /// The rows; the sheet has them by the day on which they leave, then by cloth, so that like garments are loaded one after another.
    /// </param>
    /// <param name="encodePng">Encodes a picture of the page as PNG.</param>
    public static void Write(Stream stream, string list, ImmutableArray<TickOffRow> rows, Func<Plane<Rgba8>, byte[]> encodePng)
    {
        ArgumentNullException.ThrowIfNull(stream);
        ArgumentNullException.ThrowIfNull(list);
        ArgumentNullException.ThrowIfNull(encodePng);
        string name = Path.GetFileName(list.Replace('\\', '/'));
        int failed = rows.Count(row => row.Failure is not null);
        using var page = new Page(stream, $"Tick-off sheet: {name}", null, encodePng, paper: "tick-off.css");
        page.Open("header", ("data-list", list)).Element("p", "Tick-off sheet", "kind").Open("h1").Outside(name).Close();
        page.Open("dl", ("class", "facts"));
        long pieces = rows.Where(row => row.Failure is null).Sum(row => (long)row.Order.Quantity);
        page.Fact(pieces == 1 ? "piece to print" : "pieces to print", Numeral.Of(pieces));
        page.Fact(rows.Length - failed == 1 ? "picture" : "pictures", Numeral.Plain(rows.Length - failed));
        if (failed > 0)
        {
            page.Fact(failed == 1 ? "row has no picture" : "rows have no picture", Numeral.Plain(failed), "warn");
        }

        page.Close().Open("p", ("class", "signed")).Text("Printed by ").Element("span", "", "blank").Text(" on ").Element("span", "", "blank").Close().Close();

        page.Element("p", "A picture shows the ink and a margin; where it lies on the garment, the row and the ticket say.", "quiet");
        page.Open("table", ("class", "ticks")).Heads("Row", "On the garment", "What", "Look at", "Pieces", "Printed").Open("tbody");
        foreach (var row in rows.OrderBy(row => row.Order.ShipBy ?? DateOnly.MaxValue).ThenBy(row => row.Cloth.ToString(), StringComparer.Ordinal)
            .ThenBy(row => row.Setup, StringComparer.Ordinal).ThenBy(row => row.Order.Number))
        {
            Row(page, row);
        }

        page.Close().Close();
        page.Simulation();
    }

    private static void Row(Page page, TickOffRow row)
    {
        page.Open("tr").Cell(Numeral.Plain(row.Order.Number), "number").Open("td");
        if (row.Picture is { } picture)
        {
            page.Image(picture, "The art on the garment", zoom: 1);
        }

        page.Close().Open("td").Open("p", ("class", "strong")).Outside(row.Order.Label).Close();
        string[] order = [.. new[]
        {
            row.Order.OrderNumber is { } number ? $"order {number}" : null,
            row.Order.ShipBy is { } day ? "ships by " + day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) : null, row.Order.Sizes, row.Order.Place,
        }.OfType<string>()];
        if (order.Length > 0)
        {
            page.Open("p").Outside(string.Join(" · ", order)).Close();
        }

        if (row.Garment is { } garment)
        {
            page.Open("p", ("class", "strong")).Outside(garment).Close();
        }

        page.Open("p", ("class", "quiet")).Outside(row.File ?? row.Order.Art).Close();
        page.Open("p", ("class", "quiet")).Outside(row.Order.Recipe.Length == 0 ? "as it was kept" : row.Order.Recipe).Text(" · ").Outside(row.Setup)
            .Text(row.Resolution is { } ppi ? $" · {ppi}" : "").Close().Close();
        page.Open("td", ("class", "found"));
        if (row.LastBad is { } bad)
        {
            page.Open("p", ("class", "strong")).Text("The last print was bad: ").Outside(bad).Close();
        }

        if (row.SizeNotListed is { } size)
        {
            page.Open("p", ("class", "strong")).Outside(size).Close();
        }

        foreach (var question in row.Questions)
        {
            page.Open("p", ("class", "strong")).Text("Not answered: ").Outside(question.Message).Text(" Taken: ").Outside(question.Proposal).Text(".").Close();
        }

        if (row.Failure is { } failure)
        {
            page.Open("p").Outside(failure).Close();
        }

        foreach (var finding in row.Failure is null ? row.Findings : [])
        {
            page.Open("p", ("class", "quiet")).Outside(finding.Message).Close();
        }

        page.Close().Cell(Numeral.Of(row.Order.Quantity), "number strong").Open("td");
        Boxes(page, row);
        page.Close().Close();
    }

    // One for each piece, to tick off by hand.
    private static void Boxes(Page page, TickOffRow row)
    {
        if (row.Failure is not null)
        {
            page.Element("p", "Don't print.", "strong");
        }
        else
        {
            page.Open("p", ("class", "boxes"));
            for (int n = 0; n < (row.Order.Quantity > MostBoxes ? 1 : row.Order.Quantity); n++)
            {
                page.Element("span", "", "box");
            }

            page.Text(row.Order.Quantity > MostBoxes ? $" all {Numeral.Of(row.Order.Quantity)}" : "").Close();
        }
    }

    /// <summary>True where a file is a sheet of the same list, which a new one may replace.</summary>
    public static bool IsOf(string file, string list)
    {
        try
        {
            using var stream = new MemoryStream(OutsideFile.Read(file, Longest) ?? []);
            using var reader = XmlReader.Create(stream, new XmlReaderSettings { DtdProcessing = DtdProcessing.Ignore, XmlResolver = null });
            return reader.ReadToFollowing("header")
                && OutsideJson.PathFrom(Path.GetDirectoryName(Path.GetFullPath(file))!, reader.GetAttribute("data-list")) == Path.GetFullPath(list);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or XmlException)
        {
            return false;
        }
    }
}
