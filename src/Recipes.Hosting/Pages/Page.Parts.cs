using System.Collections.Immutable;
using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Pages;

/// <summary>A place that an overview marks and that leads to a closer look further down.</summary>
internal sealed record PageMark(string Kind, string Name, Box Box)
{
    public string Id => $"{Kind}-{Name}";

    public string Label => $"{Kind} {Name}";
}

/// <summary>A region's number in an overview, px of the art.</summary>
/// <param name="Region">The region.</param>
/// <param name="X">The middle of its letters.</param>
/// <param name="Y">Their baseline.</param>
/// <param name="Leader">The line that leads from letters that stand beside their region to it, or null where they stand on it.</param>
internal sealed record PlacedNumber(ReportedRegion Region, int X, int Y, (int FromX, int FromY, int ToX, int ToY)? Leader);

internal sealed partial class Page
{
    // More numbers than this in an overview would hide the art.
    private const int MostNumbered = 99;

    // Windows onto a spot, in px of the art, and how large a px is shown: a small spot is enlarged, a large one shown 1:1.
    private static readonly (int Side, int Zoom)[] Windows = [(64, 5), (80, 4), (160, 2), (320, 1)];

    public Page Fact(string name, string value, string? style = null)
    {
        Open("div", ("class", style));
        Element("dt", name);
        return Element("dd", value).Close();
    }

    public Page Pair(string name, string? value)
    {
        if (value is not null)
        {
            Open("tr").Open("th", ("scope", "row")).Text(name).Close().Open("td").Outside(value).Close().Close();
        }

        return this;
    }

    public Page Heads(params ReadOnlySpan<string> names)
    {
        Open("thead").Open("tr");
        foreach (string name in names)
        {
            Open("th", ("scope", "col"), ("class", name is "Pixels" or "Number" or "Row" or "Pieces" or "Area, mm²" ? "number" : null)).Text(name).Close();
        }

        return Close().Close();
    }

    public Page Cell(string text, string? style = null) => Element("td", text, style);

    public Page ColorCell(Rgba8 color) => Open("td").Swatch(color).Text(" ").Element("code", color.ToString()).Close();

    /// <summary>One picture of an overview: the image and over it the marks, in coordinates of the art.</summary>
    /// <param name="title">What stands above it.</param>
    /// <param name="picture">The picture.</param>
    /// <param name="art">The size of the art.</param>
    /// <param name="alt">What it shows, for those who don't see it.</param>
    /// <param name="marks">The marks that lead to a closer look.</param>
    /// <param name="numbers">The regions' numbers that are written, as <see cref="Numbers"/> places them.</param>
    public Page Pane(string title, Plane<Rgba8> picture, TileGrid art, string alt, ImmutableArray<PageMark> marks, ImmutableArray<PlacedNumber> numbers)
    {
        OpenPane(title, picture, art, alt);
        int unit = UnitOf(art);
        foreach (var (region, x, y, leader) in numbers)
        {
            foreach (string stroke in leader is null ? [] : (string[])["halo", "line"])
            {
                var (fromX, fromY, toX, toY) = leader!.Value;
                Open("line", ("class", stroke), ("x1", Numeral.Plain(fromX)), ("y1", Numeral.Plain(fromY)),
                    ("x2", Numeral.Plain(toX)), ("y2", Numeral.Plain(toY))).Close();
            }

            Open("text", ("class", region.Chosen ? "chosen" : "left"), ("x", Numeral.Plain(x)), ("y", Numeral.Plain(y)),
                ("font-size", Numeral.Plain(unit)), ("text-anchor", "middle")).Text(Named(region)).Close();
        }

        foreach (var mark in marks)
        {
            var box = AtLeast(mark.Box, unit);
            Open("a", ("href", $"#{mark.Id}"), ("aria-label", mark.Label), ("data-spot", mark.Id));
            foreach (string stroke in (ReadOnlySpan<string>)["halo", "line"])
            {
                Framed(box, stroke);
            }

            Open("text", ("x", Numeral.Plain(box.X)), ("y", Numeral.Plain(Baseline(box, unit))), ("font-size", Numeral.Plain(unit))).Text(mark.Name).Close();
            Close();
        }

        return Close().Close().Close().Close();
    }

    // The figure, its sheet and over the picture the drawing that marks go into: four elements to close.
    private void OpenPane(string title, Plane<Rgba8> picture, TileGrid art, string alt)
    {
        Open("figure", ("class", "pane")).Element("figcaption", title);
        Open("div", ("class", "view"), ("tabindex", "0"), ("role", "group"), ("aria-label", alt));
        Open("div", ("class", "sheet"));
        Image(picture, alt);
        // The last block of an overview may stand for fewer px of the art, so the marks are scaled by the shrink, not the size.
        int n = Overview.ShrinkOf(art);
        Open("svg", ("class", "marks"), ("viewBox", $"0 0 {picture.Width * n} {picture.Height * n}"));
    }

    /// <summary>The marks of an overview that lie on no earlier one; the rest would hide the art and one another.</summary>
    /// <param name="art">The size of the art.</param>
    /// <param name="marks">The marks, the most important one first.</param>
    public static ImmutableArray<PageMark> Apart(TileGrid art, ImmutableArray<PageMark> marks)
    {
        var taken = new List<Box>();
        return [.. marks.Where(mark => Takes(taken, Covers(mark, UnitOf(art))))];
    }

    /// <summary>
    /// The regions whose numbers lie on no mark and no other number: exceptions first, those that are chosen where most are left alone or
    /// the other way around, then the largest.
    /// </summary>
    /// <param name="art">The size of the art.</param>
    /// <param name="marks">The marks, all of which are drawn.</param>
    /// <param name="regions">The regions.</param>
    public static ImmutableArray<PlacedNumber> Numbers(TileGrid art, ImmutableArray<PageMark> marks, ImmutableArray<ReportedRegion> regions)
    {
        int unit = UnitOf(art), chosen = regions.Count(region => region.Chosen);
        bool crowd = regions.Length > MostNumbered;
        List<Box> taken = [.. marks.SelectMany(mark => Covers(mark, unit).Concat(Lines(AtLeast(mark.Box, unit), unit / 8)))];
        return [.. LargestFirst(regions).OrderByDescending(IsException).Take(ReportedRegions.Most).Select(Placed).OfType<PlacedNumber>().Take(MostNumbered)];

        bool IsException(ReportedRegion region) => (region.Chosen ? chosen : regions.Length - chosen) * 2 < regions.Length;

        // In a crowd nobody could tell whose number stands beside a region: there it stands in its middle or nowhere, but for exceptions.
        PlacedNumber? Placed(ReportedRegion region)
        {
            foreach (var (i, (x, y)) in PlacesFor(region, art, unit).Take(crowd && !IsException(region) ? 1 : 5).Index())
            {
                var letters = Letters(Named(region), x - (WidthOf(Named(region), unit) / 2), y, unit);
                if (!MistakenFor(region, letters) && Takes(taken, [letters]))
                {
                    return new PlacedNumber(region, x, y, i > 0 ? Between(letters, region) : null);
                }
            }

            return null;
        }

        // A number on another region names that one, as in the hole of a ring; not so where the other surrounds its own.
        bool MistakenFor(ReportedRegion region, Box place) =>
            !crowd && regions.Any(other => other != region && !other.Box.Within(place).IsEmpty && other.Box.Around(region.Box) != other.Box);

        // From the letters' nearest edge well into the region, or only to its edge where another one lies in its middle.
        (int FromX, int FromY, int ToX, int ToY) Between(Box letters, ReportedRegion region)
        {
            var box = region.Box;
            var (x, y) = Nearest(new Box(box.X + (box.Width / 3), box.Y + (box.Height / 3), (box.Width + 2) / 3, (box.Height + 2) / 3), letters);
            (x, y) = MistakenFor(region, new Box(x, y, 1, 1)) ? Nearest(box, letters) : (x, y);
            var (fromX, fromY) = Nearest(letters, new Box(x, y, 1, 1));
            return (fromX, fromY, x, y);
        }

        // The place in a box that is nearest to the middle of another.
        static (int X, int Y) Nearest(Box box, Box to) => (Math.Clamp(to.X + (to.Width / 2), box.X, box.Right - 1),
            Math.Clamp(to.Y + (to.Height / 2), box.Y, box.Bottom - 1));
    }

    // Over the middle of the region, then below, right, left and above; all of them inside the art.
    private static IEnumerable<(int X, int Y)> PlacesFor(ReportedRegion region, TileGrid art, int unit)
    {
        int half = Math.Min(WidthOf(Named(region), unit), art.Width) / 2, gap = unit / 4;
        // A mark around it is at least so large.
        var box = AtLeast(region.Box, unit).Grow(unit / 8);
        int x = box.X + (box.Width / 2), y = box.Y + (box.Height / 2) + (unit * 3 / 8);
        (int X, int Y)[] places = [(x, y), (x, box.Bottom + gap + unit), (box.Right + gap + half, y), (box.X - gap - half, y), (x, box.Y - (2 * gap))];
        return places.Select(at => (Math.Clamp(at.X, half, art.Width - half), Math.Clamp(at.Y, Math.Min(unit, art.Height), art.Height)));
    }

    private static bool Takes(List<Box> taken, Box[] covers)
    {
        bool free = !taken.Exists(other => covers.Any(box => !box.Within(other).IsEmpty));
        taken.AddRange(free ? covers : []);
        return free;
    }

    // Of a large frame only its name counts: frames lie in one another as regions do.
    private static Box[] Covers(PageMark mark, int unit)
    {
        var box = AtLeast(mark.Box, unit);
        var name = Letters(mark.Name, box.X, Baseline(box, unit), unit);
        return Math.Max(box.Width, box.Height) < 2 * unit ? [name, box] : [name];
    }

    private static IEnumerable<Box> Lines(Box box, int half) =>
    [
        new(box.X - half, box.Y - half, box.Width + (2 * half), 2 * half), new(box.X - half, box.Bottom - half, box.Width + (2 * half), 2 * half),
        new(box.X - half, box.Y - half, 2 * half, box.Height + (2 * half)), new(box.Right - half, box.Y - half, 2 * half, box.Height + (2 * half)),
    ];

    private static Box Letters(string text, int x, int baseline, int unit) => new(x, baseline - unit, WidthOf(text, unit), unit + (unit / 4));

    // A bold digit is up to 0.7 of its size wide; a little between two numbers keeps them two. Common practice, no source.
    private static int WidthOf(string text, int unit) => ((text.Length * 7) + 3) * unit / 10;

    /// <summary>Regions as a table shows them.</summary>
    public static IEnumerable<ReportedRegion> LargestFirst(IEnumerable<ReportedRegion> regions) => regions
        .OrderByDescending(region => region.Pixels).ThenBy(region => region.Number);

    /// <summary>How many are marked, in words.</summary>
    public static string Marked(int count, string first = "the largest") =>
        $"{Numeral.Of(count)} {(count == 1 ? "is" : "are")} numbered here, {first} that have room";

    /// <summary>How many are left out, in words.</summary>
    public static string LeftOut(int count) => $"{Numeral.Of(count)} {(count == 1 ? "is" : "are")} left out";

    // How high the letters of an overview are, in px of the art.
    private static int UnitOf(TileGrid art) => Math.Max(Math.Max(art.Width, art.Height) / 32, 4);

    private static string Named(ReportedRegion region) => region.Chosen ? Numeral.Plain(region.Number) : $"({Numeral.Plain(region.Number)})";

    private static int Baseline(Box box, int unit) => box.Y - (unit / 4) < unit ? box.Bottom + unit : box.Y - (unit / 4);

    /// <summary>Questions, the open ones first, each with what is done unless it is answered and the parameter that answers it.</summary>
    public Page Questions(IEnumerable<AskedQuestion> questions)
    {
        AskedQuestion[] sorted = [.. questions.OrderBy(question => question.Decision is not null)];
        if (sorted.Length == 0)
        {
            return this;
        }

        Section(sorted[0].Decision is null ? "Questions" : "Decided", "questions").Open("ul", ("class", "findings"));
        foreach (var question in sorted)
        {
            Open("li").Open("p", ("class", "strong")).Outside(question.Message).Close().Open("p", ("class", "quiet")).Element("code", question.Code);
            if (question.Box is { } box)
            {
                Text(" · box ").Element("code", box.ToString());
            }

            if (question.Decision is { } decision)
            {
                Text(" · decided: ").Outside(decision);
            }
            else
            {
                Text(" · unless answered: ").Outside(question.Proposal).Text(" · answer with ").Open("code").Outside(question.Answer).Close();
            }

            Close().Close();
        }

        return Close().Close();
    }

    public Page Tools()
    {
        Open("div", ("class", "tools"), ("role", "toolbar"), ("aria-label", "Overview"));
        foreach (var (act, label, text) in (ReadOnlySpan<(string, string, string)>)
            [("out", "Smaller", "\u2212"), ("in", "Larger", "+"), ("fit", "Fit into the page", "Fit"),
                ("own", "One pixel of the picture on one of the screen", "1:1"), ("marks", "Show or hide marks", "Marks")])
        {
            Open("button", ("type", "button"), ("data-act", act), ("aria-label", label), ("title", label),
                ("aria-pressed", act == "marks" ? "true" : null)).Text(text).Close();
        }

        return Close();
    }

    public Page Regions(string title, ImmutableArray<ReportedRegion> regions, double pixelsPerInch, bool decided)
    {
        Open("h3").Outside(title).Close();
        Element("p", $"{Numeral.Of(regions.Length)} {(regions.Length == 1 ? "region" : "regions")}, numbered in reading order, the largest first. "
            + $"Areas at {Numeral.Of(pixelsPerInch)} ppi.", "quiet");
        Open("div", ("class", "scroll"), ("tabindex", "0"), ("role", "group"), ("aria-label", "Table of regions")).Open("table");
        if (decided)
        {
            Heads("Number", "Pixels", "Area, mm²", "Box x,y,w,h", "Chosen");
        }
        else
        {
            Heads("Number", "Pixels", "Area, mm²", "Box x,y,w,h");
        }

        Open("tbody");
        double area = 25.4 / pixelsPerInch * 25.4 / pixelsPerInch;
        foreach (var region in LargestFirst(regions))
        {
            Open("tr").Cell(Numeral.Plain(region.Number), "number").Cell(Numeral.Of(region.Pixels), "number");
            Cell(region.Pixels * area < 0.005 ? "under 0.01" : (region.Pixels * area).ToString("#,0.00", CultureInfo.InvariantCulture), "number");
            Open("td").Element("code", region.Box.ToString()).Close();
            if (decided)
            {
                Cell(region.Chosen ? "chosen" : "left alone", region.Chosen ? "strong" : "quiet");
            }

            Close();
        }

        return Close().Close().Close();
    }

    public Page Identity(ArtIdentity art, GarmentSetup setup, bool fallback)
    {
        Open("div", ("class", "columns"));
        Open("div").Element("h3", "Art").Open("table").Open("tbody");
        Pair("File", art.Path).Pair("SHA-256", art.Sha256).Pair("Size", $"{art.Width} × {art.Height} px");
        Pair("Resolution", ResolutionInWords.Of(art, setup));
        Pair("Format", art.Format);
        foreach (string note in art.Notes)
        {
            Pair("Reading it", note);
        }

        Close().Close().Close();
        Open("div").Element("h3", "Garment setup").Open("table").Open("tbody");
        Pair("Name", fallback ? $"{setup.Name} (nobody chose one; the program fell back on it)" : setup.Name);
        Open("tr").Open("th", ("scope", "row")).Text("Garment").Close().ColorCell(setup.Garment).Close();
        Pair("Stays bare", SetupWords.Bare(setup.Ink));
        Pair("Platen", $"{Numeral.Of(setup.PlatenWidth)} × {Numeral.Of(setup.PlatenHeight)} in, safe margin {Numeral.Of(setup.SafeMargin)} in");
        Pair("Underbase", SetupWords.WhoLays(setup.Underbase));
        Pair("Ink lot", setup.InkLot).Pair("Pretreatment", setup.Pretreatment);
        Pair("Chart", setup.Chart is null ? null : $"{setup.Chart.File}{(setup.Chart.Date is null ? "" : $", {setup.Chart.Date}")}");
        return Close().Close().Close().Close();
    }

    /// <summary>The window that shows a spot with some of what surrounds it, and how large a px is shown in it.</summary>
    public static (Box Window, int Zoom) WindowOnto(TileGrid art, Box spot, int x, int y)
    {
        int extent = Math.Max(spot.Width, spot.Height) + 16;
        var (side, zoom) = Windows.FirstOrDefault(window => window.Side >= extent, Windows[^1]);
        return (Crop.Around(art, x, y, side), zoom);
    }

    public Page CropFigure(string title, Plane<Rgba8> picture, string spot, int zoom) =>
        Open("figure").Element("figcaption", title)
            .Open("div", ("class", "sheet"), ("tabindex", "0"), ("role", "group"), ("aria-label", $"{title}, {spot}"))
            .Image(picture, $"{title}, {spot}", zoom, "pixels").Close().Close();

    public Page Simulation() => Open("footer").Element("p",
        "The pictures simulate the garment on a screen and are not a proof. "
            + "A printed, cured sample, signed off by the customer, decides. "
            + "Follow the makers' instructions for ink, pretreatment, press and garment.").Close();

    private void Readout()
    {
        Open("aside", ("id", "readout"), ("hidden", "hidden"), ("aria-label", "Pixel"));
        Open("p", ("id", "pixel"), ("aria-live", "polite")).Close();
        Open("label", ("id", "boxed"), ("hidden", "hidden")).Text("Box ");
        Open("input", ("id", "box"), ("readonly", "readonly"), ("size", "30"));
        Close();
        Close();
    }

    private static Box AtLeast(Box box, int side)
    {
        int width = Math.Max(box.Width, side), height = Math.Max(box.Height, side);
        return new Box(box.X - ((width - box.Width) / 2), box.Y - ((height - box.Height) / 2), width, height);
    }
}
