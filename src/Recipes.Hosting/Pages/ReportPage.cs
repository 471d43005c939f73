using System.Collections.Immutable;
using System.Globalization;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Pages;

/// <summary>The full pictures of a dry run and the names of their files beside the page.</summary>
/// <param name="Before">The flattened art before.</param>
/// <param name="After">The flattened art after; another size where the recipe changes it.</param>
/// <param name="Diff">What <see cref="DiffPicture.Render"/> drew, or null where the size changed.</param>
/// <param name="Laid">The art whose planes of white ink are new, or null where none is.</param>
/// <param name="BeforeFile">Name of the full picture before.</param>
/// <param name="AfterFile">Name of the full picture after.</param>
/// <param name="DiffFile">Name of the difference picture.</param>
public sealed record RunPictures(
    Plane<Rgba8> Before, Plane<Rgba8> After, Plane<Rgba8>? Diff, Artwork? Laid = null,
    string BeforeFile = "before.png", string AfterFile = "after.png", string DiffFile = "diff.png")
{
    /// <summary>Where the art before was laid so that it can be compared, as <see cref="Alignment"/> does; null where the size didn't change.</summary>
    public Box? AlignedIn { get; init; }
}

/// <summary>Writes report.html: one self-contained page that shows what a recipe would do.</summary>
public static class ReportPage
{
    /// <summary>The folder of one recipe of a list, seen from the list's own.</summary>
    /// <param name="number">Its place in the list, from 1.</param>
    /// <param name="recipe">Its name.</param>
    public static string StepFolder(int number, string recipe) => string.Create(CultureInfo.InvariantCulture, $"steps/{number}-{recipe}");

    /// <summary>Writes the page as UTF-8.</summary>
    /// <param name="stream">Where to; stays open.</param>
    /// <param name="report">What is known about the run.</param>
    /// <param name="pictures">The full pictures.</param>
    /// <param name="encodePng">Encodes a picture of the page as PNG.</param>
    /// <param name="timings">How long the phases before this page took, or null.</param>
    public static void Write(Stream stream, RunReport report, RunPictures pictures, Func<Plane<Rgba8>, byte[]> encodePng, Timings? timings = null)
    {
        ArgumentNullException.ThrowIfNull(stream);
        ArgumentNullException.ThrowIfNull(report);
        ArgumentNullException.ThrowIfNull(pictures);
        ArgumentNullException.ThrowIfNull(encodePng);
        bool comparable = pictures.Diff is not null && pictures.Before.Grid == pictures.After.Grid;
        ImmutableArray<ChangedSpot> spots = comparable ? ChangedSpots.Find(pictures.Before, pictures.After) : [];
        ImmutableArray<PageMark> marks = [.. spots.Select((spot, i) => new PageMark("spot", ((char)('A' + i)).ToString(), spot.Box))];
        using var page = new Page(stream, $"Dry run: {report.Recipe.Title}", report.Setup, encodePng);
        Head(page, report, pictures);
        page.Questions(report.Questions);
        Overviews(page, report, pictures, marks);
        WhiteInk(page, report.Setup, pictures.Laid, pictures.After);
        if (comparable)
        {
            Legend(page);
            Crops(page, report.Setup, pictures, spots, marks);
        }

        Counts(page, report);
        Moves(page, report.Change.Moves);
        Guards(page, report);
        Regions(page, report);
        Colors(page, report.Colors);
        if (report.Notes.Length > 0)
        {
            page.Section("Notes").Open("ul");
            foreach (string note in report.Notes)
            {
                page.Open("li").Outside(note).Close();
            }

            page.Close().Close();
        }

        Provenance(page, report);
        if (timings is not null)
        {
            TimesTaken(page, timings);
        }

        page.Simulation();
    }

    private static void TimesTaken(Page page, Timings timings)
    {
        page.Section("How long it took").Open("table").Heads("Phase", "Milliseconds").Open("tbody");
        foreach (var (phase, milliseconds) in timings.Phases)
        {
            page.Open("tr").Cell(phase).Cell(string.Create(CultureInfo.InvariantCulture, $"{milliseconds:0.0}"), "number").Close();
        }

        page.Close().Close();
        page.Element("p", "What came after this page was drawn stands in report.json.", "quiet").Close();
    }

    private static void Head(Page page, RunReport report, RunPictures pictures)
    {
        page.Open("header");
        page.Open("p", ("class", "kind")).Text("Dry run · nothing has been kept").Close();
        page.Open("h1").Outside(report.Recipe.Title).Close();
        page.Open("p", ("class", "quiet")).Outside(report.Recipe.Name).Text($" version {report.Recipe.Version} on ").Outside(report.Art.Path)
            .Text(" for ").Outside(report.Setup.Name).Text(From(report)).Close();
        if (string.Join(", ", report.Loosened) is { Length: > 0 } loosened)
        {
            page.Open("p", ("class", "loosened"), ("role", "note"))
                .Element("strong", "Guardrails were loosened for this run: ").Element("code", loosened).Text(" let everything pass.").Close();
        }

        var tripped = report.Guards.Where(guard => guard.Outcome != GuardOutcome.Clear).ToArray();
        if (report.Refused)
        {
            page.Open("div", ("class", "refused"), ("role", "note")).Element("strong", "Refused by a guardrail. The result can't be kept.");
            foreach (var guard in tripped.Where(guard => guard.Outcome == GuardOutcome.Refused))
            {
                page.Open("p").Element("code", guard.Name).Text(" ").Outside(guard.Why).Close();
            }

            page.Close();
        }

        Facts(page, report, pictures, tripped.Length);
        FullPictures(page, pictures);
        SingleSteps(page, report);
        page.Close();
    }

    private static string From(RunReport report) => report.FromRecipe is { } earlier ? $", from what {earlier} left"
        : report.FromStep == 0 ? ", from the original" : $", from step {report.FromStep}";

    private static void Facts(Page page, RunReport report, RunPictures pictures, int tripped)
    {
        page.Open("dl", ("class", "facts"));
        LostAndGained(page, report, pictures);
        if (report.Change.White is { } white)
        {
            page.Fact(white == 1 ? "pixel gets white ink" : "pixels get white ink", Numeral.Of(white));
        }

        if (report.Change.Resolution is { } resolution)
        {
            page.Fact("new resolution", Resolution(resolution.After));
        }

        page.Fact(report.Changed?.Pixels == 1 ? "pixel changes" : "pixels change", report.Changed is { } changed ? Numeral.Of(changed.Pixels) : "new size");

        if (report.OpenQuestions.Count() is > 0 and var open)
        {
            page.Fact(open == 1 ? "open question" : "open questions", Numeral.Plain(open), "warn");
        }

        page.Fact("guardrails", report.Refused ? "refused" : tripped == 0 ? "all clear" : $"{tripped} tripped", report.Refused ? "warn" : null);
        page.Close();
    }

    private static void FullPictures(Page page, RunPictures pictures)
    {
        page.Open("p", ("class", "links")).Text("Full pictures: ").Open("a", ("href", Link(pictures.BeforeFile))).Text(pictures.BeforeFile).Close().Text(", ")
            .Open("a", ("href", Link(pictures.AfterFile))).Text(pictures.AfterFile).Close();
        if (pictures.Diff is not null)
        {
            page.Text(", ").Open("a", ("href", Link(pictures.DiffFile))).Text(pictures.DiffFile).Close();
        }
        else
        {
            page.Text($". The size changes, so no pixel has another to be compared with; {pictures.DiffFile} is {pictures.AfterFile} once more.");
        }

        page.Close();
        if (pictures.AlignedIn is { } aligned)
        {
            page.Open("p", ("class", "strong")).Text($"Aligned: the size changes, so before and difference here show the art scaled to "
                + $"{Numeral.Of(aligned.Width)} × {Numeral.Of(aligned.Height)} px and moved to "
                + $"{Numeral.Plain(aligned.X)},{Numeral.Plain(aligned.Y)}, as this run did it. What is marked changed beyond that; "
                + $"{pictures.BeforeFile} is the art as it was.").Close();
        }
    }

    private static void SingleSteps(Page page, RunReport report)
    {
        if (!report.Steps.IsEmpty)
        {
            page.Open("p", ("class", "links")).Text("Each recipe by itself, with its own difference: ");
            foreach (var (i, name) in report.Steps.Index())
            {
                page.Text(i == 0 ? "" : ", ").Open("a", ("href", $"./{StepFolder(i + 1, Uri.EscapeDataString(name))}/report.html")).Outside(name).Close();
            }

            page.Close();
        }
    }

    // What goes and what comes is what a print is ruined by, so it is said before anything else; a heading of zeros would say that nothing happens.
    private static void LostAndGained(Page page, RunReport report, RunPictures pictures)
    {
        bool comparable = report.Changed is not null || pictures.AlignedIn is not null;
        if (!comparable || (report.ChangesNothing && report.Changed is not null))
        {
            return;
        }

        var ink = pictures.AlignedIn is null ? report.Ink : InkChange.Between(pictures.Before, pictures.After, report.Setup.Ink);
        double ppi = pictures.AlignedIn is null ? report.Setup.ResolutionFor(report.Art.Width, report.Art.Height, report.Art.PixelsPerInch)
            : report.Setup.ResolutionFor(pictures.After.Width, pictures.After.Height,
                report.Change.Resolution is { } resolution ? resolution.After : report.Art.PixelsPerInch);
        if (ink is { Lost: 0, Gained: 0 } && report.Changed?.Pixels == 0)
        {
            return;
        }

        string aligned = pictures.AlignedIn is null ? "" : " after alignment";
        page.Fact($"ink lost{aligned}, {Numeral.Of(ink.Lost)} px", Page.Area(ink.Lost, ppi), ink.Lost > 0 ? "warn" : null);
        page.Fact($"ink gained{aligned}, {Numeral.Of(ink.Gained)} px", Page.Area(ink.Gained, ppi));
    }

    private static void Overviews(Page page, RunReport report, RunPictures pictures, ImmutableArray<PageMark> marks)
    {
        page.Section("Overview", "overview", "wide");
        ImmutableArray<ReportedRegion> listed = pictures.AlignedIn is null ? [.. report.Regions.SelectMany(list => list.Regions)] : [];
        var window = Shown(report, pictures, [.. marks.Select(mark => mark.Box), .. listed.Select(region => region.Box)]);
        Plane<Rgba8> before = window.Of(pictures.Before), after = pictures.Before.Grid == pictures.After.Grid ? window.Of(pictures.After) : pictures.After;
        int n = window.Shrink;
        marks = window.Of(marks);
        page.Open("p", ("class", "quiet")).Text(window.InWords()).Text(n == 1
            ? "One pixel here is one pixel of the art, shown on the garment's color. "
            : $"One pixel here is the average of {n} × {n} px of the art, shown on the garment's color. ")
            .Text("A weave marks cloth that stays bare. Letters lead to the changed spots")
            .Text(report.Regions.IsEmpty ? ". " : ", numbers are the listed regions. ")
            .Element("span", "Click for color, ink state and position; drag for a box; "
                + "arrow keys go from spot to spot, + and − zoom, Shift and arrow keys move the crosshair, Enter starts and ends a box.", "scripted")
            .Close();
        var numbers = Page.Numbers(before.Grid, marks, [.. listed.Select(region => region with { Box = window.Of(region.Box) })]);
        if (numbers.Length < listed.Length)
        {
            string marked = Page.Marked(numbers.Length, "exceptions and the largest");
            page.Element("p", $"Of {Numeral.Of(listed.Length)} listed regions {marked}; {Page.LeftOut(listed.Length - numbers.Length)}, "
                + "so that the art and the numbers can be seen. The table below has them by size.", "strong");
        }

        page.Tools();
        bool exact = n == 1 && before.Grid == after.Grid;
        window.Open(page, "overview", ("data-before", exact ? Page.Exact(before) : null), ("data-after", exact ? Page.Exact(after) : null));
        var shown = GarmentPicture.Render(before, report.Setup, n);
        page.Pane(pictures.AlignedIn is null ? "Before" : "Before, aligned", shown, before.Grid, "Before, on the garment", marks, numbers);
        page.Pane("After", GarmentPicture.Render(after, report.Setup, Overview.ShrinkOf(after.Grid), before.Grid == after.Grid ? (before, shown) : null),
            after.Grid, "After, on the garment", marks, before.Grid == after.Grid ? numbers : []);
        if (pictures.Diff is not null)
        {
            var diff = Overview.OfDiff(window.Of(pictures.Diff), before, after);
            page.Pane("Difference", diff, before.Grid, "Difference: the art in gray, changes marked", marks, []);
        }

        page.Close().Close();
    }

    // Two sizes have no place in common.
    private static InkWindow Shown(RunReport report, RunPictures pictures, IEnumerable<Box> marked) => pictures.Before.Grid != pictures.After.Grid
        ? InkWindow.Whole(pictures.Before.Grid) : InkWindow.Of(report.Setup, marked, pictures.Before, pictures.After);

    // White ink is no color of the art, so no other picture of the page shows it.
    private static void WhiteInk(Page page, GarmentSetup setup, Artwork? laid, Plane<Rgba8> after)
    {
        if (laid?.Underbase is not { } underbase)
        {
            return;
        }

        page.Section("White ink", "white", "wide");
        var window = InkWindow.Of(setup, [new Region(underbase, after).Bounds ?? default], after);
        page.Element("p", window.InWords()
            + "What is laid under the colors, alone on the cloth: white where it is a solid, cloth with a weave where there is none.", "quiet");
        page.Open("div", ("class", "crops"));
        foreach (var (title, ink) in laid.SecondPass is { } second
            ? [("Underbase", window.Of(underbase)), ("Second pass", window.Of(second))]
            : ((string, Plane<byte>)[])[("Underbase", window.Of(underbase))])
        {
            var white = Plane<Rgba8>.Build(ink.Width, ink.Height, null, (bounds, samples) =>
            {
                var tile = ink.Tiles[ink.Grid.IndexAt(bounds.X, bounds.Y)];
                for (int i = 0; i < samples.Length; i++)
                {
                    samples[i] = Rgba8.White.WithAlpha(tile.IsOneValue ? tile.Value : tile.Samples[i]);
                }
            });
            var shown = GarmentPicture.Render(white, setup with { Ink = new InkRules { WhiteBare = false, BlackBare = false } }, Overview.ShrinkOf(ink.Grid));
            page.Open("figure").Element("figcaption", title).Image(shown, $"{title}, on the garment", style: "pixels").Close();
        }

        page.Close().Close();
    }

    private static void Legend(Page page)
    {
        page.Section("How to read the difference").Open("ul", ("class", "legend"));
        foreach (var (kind, what, how) in (ReadOnlySpan<(ChangeKind, string, string)>)
            [
                (ChangeKind.InkGained, "Ink gained", "blue with stripes: bare before, prints after"),
                (ChangeKind.InkLost, "Ink lost", "vermilion with a crosshatch: printed before, bare after"),
                (ChangeKind.Color, "Color changed", "yellow with dots: prints before and after; one dot in 8 × 8 px is one level, each further one a doubling"),
                (ChangeKind.Alpha, "Alpha changed", "purple with checks: prints before and after in the same color, softer or harder"),
                (ChangeKind.Bare, "Stays bare", "pale green with a grid: bare before and after, and written in another way; the garment is the same"),
            ])
        {
            page.Open("li").Image(ChangeMark.Sample(kind, 48, 24), "").Open("span").Element("strong", what).Text($", {how}").Close().Close();
        }

        page.Close();
        page.Element("p", "Gray art is unchanged. A dark outline surrounds a change smaller than 16 px; an overview draws a change smaller than 5 of its "
            + "pixels 5 pixels wide. Every difference of one level counts, alpha included, but for what a note leaves out.", "quiet").Close();
    }

    private static void Crops(Page page, GarmentSetup setup, RunPictures pictures, ImmutableArray<ChangedSpot> spots, ImmutableArray<PageMark> marks)
    {
        page.Section("Changed spots", "spots", "wide");
        page.Element("p", spots.IsEmpty ? pictures.Laid is null ? "Nothing changed." : "No color changed."
            : "Every changed pixel lies in one of these spots. "
                + "Small ones are enlarged without smoothing; of a spot larger than its window the busiest edge is shown.", "quiet");
        for (int i = 0; i < spots.Length; i++)
        {
            var spot = spots[i];
            string name = marks[i].Name;
            var (window, zoom) = Page.WindowOnto(pictures.Before.Grid, spot.Box, spot.X, spot.Y);
            Plane<Rgba8> before = Crop.Of(pictures.Before, window), after = Crop.Of(pictures.After, window);
            page.Open("article", ("class", "spot"), ("id", marks[i].Id), ("tabindex", "0"), ("aria-label", marks[i].Label), ("data-spot", marks[i].Id));
            page.Open("div", ("class", "about")).Element("h3", name);
            page.Element("p", $"{Numeral.Of(spot.Pixels)} px {(spot.Pixels == 1 ? "changes" : "change")}");
            page.Open("p", ("class", "quiet")).Text("box ").Element("code", spot.Box.ToString()).Close();
            page.Open("p", ("class", "quiet")).Text(zoom == 1 ? "shown 1:1 from " : $"shown {zoom}:1 from ")
                .Element("code", $"{window.X},{window.Y}").Close().Close();
            page.Open("div", ("class", "crops"), ("data-group", name),
                ("data-x", Numeral.Plain(window.X)), ("data-y", Numeral.Plain(window.Y)), ("data-shrink", "1"),
                ("data-width", Numeral.Plain(window.Width)), ("data-height", Numeral.Plain(window.Height)),
                ("data-before", Page.Exact(before)), ("data-after", Page.Exact(after)));
            page.CropFigure("Before", GarmentPicture.Render(before, setup), marks[i].Label, zoom);
            page.CropFigure("After", GarmentPicture.Render(after, setup), marks[i].Label, zoom);
            page.CropFigure("Difference", Crop.Of(pictures.Diff!, window), marks[i].Label, zoom);
            page.Close().Close();
        }

        page.Close();
    }

    private static void Counts(Page page, RunReport report)
    {
        page.Section("Counts").Open("div", ("class", "columns")).Open("div").Element("h3", "What prints");
        page.Open("table").Open("thead").Open("tr");
        foreach (string head in (ReadOnlySpan<string>)["Pixels that", "Before", "After", "Difference"])
        {
            page.Open("th", ("scope", "col"), ("class", head == "Pixels that" ? null : "number")).Text(head).Close();
        }

        page.Close().Close().Open("tbody");
        var (before, after) = (report.Ink.Before, report.Ink.After);
        foreach (var (name, was, now) in (ReadOnlySpan<(string, long, long)>)
            [
                ("print", before.Prints, after.Prints),
                ("stay bare: pure white", before.BareWhite, after.BareWhite),
                ("stay bare: pure black", before.BareBlack, after.BareBlack),
                ("stay bare: transparent", before.Transparent, after.Transparent),
            ])
        {
            page.Open("tr").Open("th", ("scope", "row")).Text(name).Close().Cell(Numeral.Of(was), "number").Cell(Numeral.Of(now), "number")
                .Cell(now == was ? "0" : now > was ? $"+{Numeral.Of(now - was)}" : $"\u2212{Numeral.Of(was - now)}", "number").Close();
        }

        page.Close().Close().Close();
        page.Open("div").Element("h3", "What changes").Open("table").Open("tbody");
        page.Pair("Changed pixels", report.Changed is { } changed ? $"{Numeral.Of(changed.Pixels)} px" : "not comparable, the size changed");
        page.Pair("Given white ink", report.Change.White is { } white ? $"{Numeral.Of(white)} px" : null);
        page.Pair("Resolution", report.Change.Resolution is { } resolution
            ? $"{Resolution(resolution.Before)} before, {Resolution(resolution.After)} after" : null);
        page.Pair("Box around them", report.Changed is { } c ? c.Box?.ToString() ?? "none" : null);
        page.Pair("Largest difference", report.Changed is { } d ? $"{d.LargestDelta} {(d.LargestDelta == 1 ? "level" : "levels")}" : null);
        page.Pair("Ink gained", report.Changed is null ? null : $"{Numeral.Of(report.Ink.Gained)} px")
            .Pair("Ink lost", report.Changed is null ? null : $"{Numeral.Of(report.Ink.Lost)} px");
        page.Pair("Declared printable", Declared(report.Declared.Printable)).Pair("Declared bare", Declared(report.Declared.Bare));
        page.Pair("Declared dropped black", Declared(report.Declared.DroppedBlack)).Pair("Declared printed black", Declared(report.Declared.PrintedBlack));
        page.Pair("Declared size change", report.Declared.SizeChange ? "yes" : null);
        page.Close().Close().Close().Close().Close();

        static string? Declared(long pixels) => pixels == 0 ? null : $"{Numeral.Of(pixels)} px";
    }

    private static string Resolution(double? pixelsPerInch) => pixelsPerInch is { } ppi ? $"{Numeral.Of(ppi)} ppi" : "none stated";

    private static void Moves(Page page, ImmutableArray<ColorMove> moves)
    {
        if (moves.IsEmpty)
        {
            return;
        }

        page.Section("Main color moves").Open("table").Heads("From", "To", "Pixels").Open("tbody");
        foreach (var move in moves)
        {
            page.Open("tr").ColorCell(move.From).ColorCell(move.To).Cell(Numeral.Of(move.Pixels), "number").Close();
        }

        page.Close().Close().Close();
    }

    private static void Guards(Page page, RunReport report)
    {
        page.Section("Guardrails").Open("div", ("class", "scroll")).Open("table").Heads("Guardrail", "Watches for", "Outcome").Open("tbody");
        foreach (var guard in report.Guards)
        {
            page.Open("tr").Open("td").Element("code", guard.Name).Close().Cell(WatchesFor(guard.Name));
            page.Open("td", ("class", guard.Outcome == GuardOutcome.Clear ? "quiet" : "strong"))
                .Text(report.HadNothingToJudge(guard) ? "not comparable, the size changed" : Outcome(guard));
            if (guard.Why.Length > 0)
            {
                page.Open("p", ("class", "quiet")).Outside(guard.Why).Close();
            }

            if (guard.Box is { } box)
            {
                page.Open("p", ("class", "quiet")).Text("box ").Element("code", box.ToString()).Close();
            }

            page.Close().Close();
        }

        page.Close().Close().Close().Close();
    }

    private static string WatchesFor(string guard) => guard switch
    {
        Guardrails.LostToWhite => "ink that would vanish because it became pure white",
        Guardrails.LostToBlack => "ink that would vanish because it became pure black",
        Guardrails.LostToTransparent => "ink that would vanish because it became transparent",
        Guardrails.AddedInk => "ink where the garment stayed bare",
        Guardrails.PrintedBox => "a background that would print as a box",
        Guardrails.SizeChange => "another pixel size or resolution",
        Guardrails.NothingPrints => "ink before and none after",
        Guardrails.InkMostlyLost => "most of the ink going, or a large connected part of it",
        _ => "",
    };

    private static string Outcome(GuardResult guard) => guard.Outcome switch
    {
        GuardOutcome.Clear => "didn't trip",
        GuardOutcome.Noted => $"let {Numeral.Of(guard.Pixels)} px pass; look whether they should go",
        GuardOutcome.Protected => $"put {Numeral.Of(guard.Pixels)} px back",
        GuardOutcome.Allowed => $"let {Numeral.Of(guard.Pixels)} px pass, as "
            + $"{(guard.Policy == GuardPolicy.Allow ? "it was told to" : "the recipe says of itself")}",
        _ => $"refused because of {Numeral.Of(guard.Pixels)} px",
    };

    private static void Regions(Page page, RunReport report)
    {
        if (report.Regions.IsEmpty)
        {
            return;
        }

        page.Section("Numbered regions", "regions");
        foreach (var list in report.Regions)
        {
            page.Regions(list.Title, list.Regions, report.Setup.ResolutionFor(report.Art.Width, report.Art.Height, report.Art.PixelsPerInch), decided: true);
        }

        page.Close();
    }

    private static void Colors(Page page, ImmutableArray<ReportedColors> lists)
    {
        if (lists.IsEmpty)
        {
            return;
        }

        page.Section("Colors");
        foreach (var list in lists)
        {
            page.Open("h3").Outside(list.Title).Close().Open("table").Heads("Color", "Pixels").Open("tbody");
            foreach (var color in list.Colors)
            {
                page.Open("tr").ColorCell(color.Color).Cell(Numeral.Of(color.Pixels), "number").Close();
            }

            page.Close().Close();
            if (list.Others > 0)
            {
                page.Element("p", $"{Numeral.Of(list.Others)} further colors are left out.", "quiet");
            }
        }

        page.Close();
    }

    private static void Provenance(Page page, RunReport report)
    {
        page.Section("What this run was made of");
        page.Open("div", ("class", "columns")).Open("div").Element("h3", "Recipe").Open("table").Open("tbody");
        page.Pair("Name", report.Recipe.Name).Pair("Version", Numeral.Plain(report.Recipe.Version)).Pair("SHA-256", report.Recipe.Sha256);
        page.Close().Close().Close();
        page.Open("div").Element("h3", "Parameters");
        if (report.Parameters.Count == 0)
        {
            page.Element("p", "None.", "quiet");
        }
        else
        {
            page.Open("table").Open("tbody");
            foreach (var (name, value) in report.Parameters)
            {
                page.Pair(name, value);
            }

            page.Close().Close();
        }

        page.Close().Close();
        page.Identity(report.Art, report.Setup, report.SetupIsFallback).Close();
    }

    private static string Link(string fileName) => "./" + Uri.EscapeDataString(fileName);
}
