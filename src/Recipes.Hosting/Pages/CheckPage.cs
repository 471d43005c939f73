using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Pages;

/// <summary>Writes check.html: what of an art prints on a garment, what stays bare, and what to mend before it prints.</summary>
public static class CheckPage
{
    // The closer looks; the table lists every region.
    private const int MostShown = 24;

    /// <summary>Writes the page as UTF-8.</summary>
    /// <param name="stream">Where to; stays open.</param>
    /// <param name="art">The art.</param>
    /// <param name="chosen">The garment setup.</param>
    /// <param name="check">What the check says.</param>
    /// <param name="flat">The flattened art.</param>
    /// <param name="encodePng">Encodes a picture of the page as PNG.</param>
    /// <param name="step">The step that is shown; 0 is the original.</param>
    public static void Write(
        Stream stream, ArtIdentity art, ChosenSetup chosen, ArtCheck check, Plane<Rgba8> flat, Func<Plane<Rgba8>, byte[]> encodePng, int step = 0)
    {
        ArgumentNullException.ThrowIfNull(stream);
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(chosen);
        ArgumentNullException.ThrowIfNull(check);
        ArgumentNullException.ThrowIfNull(flat);
        ArgumentNullException.ThrowIfNull(encodePng);
        var (setup, ink, findings, regions) = (chosen.Setup, check.Ink, check.Findings, check.EnclosedWhites.Regions);
        int regionCount = Math.Max(check.EnclosedWhiteCount, regions.Length);
        ImmutableArray<ReportedRegion> shown = [.. Page.LargestFirst(regions).Take(MostShown)];
        ImmutableArray<PageMark> marks = [.. shown.Select(region => new PageMark("region", Numeral.Plain(region.Number), region.Box))];
        string name = Path.GetFileName(art.Path.Replace('\\', '/'));
        using var page = new Page(stream, $"Check: {name}", setup, encodePng);
        page.Open("header").Element("p", "Check", "kind").Open("h1").Outside(name).Close();
        page.Open("p", ("class", "quiet")).Text(step > 0 ? $"at step {Numeral.Plain(step)}, for " : "for ").Outside(setup.Name)
            .Text(chosen.IsFallback ? ", the fallback, since nobody chose a setup" : "").Close();
        page.Open("dl", ("class", "facts"));
        page.Fact("pixels print", Numeral.Of(ink.Prints)).Fact("stay bare", Numeral.Of(ink.Total - ink.Prints));
        string resampled = ResolutionInWords.Resampled(check.Ground.Scale, check.PrintPpi);
        page.Fact($"effective ppi{(resampled.Length > 0 ? $" {resampled}" : "")}, {Judged(check.EffectivePpi)}", Numeral.Of(check.EffectivePpi, "0.#"),
            check.EffectivePpi < 150 ? "warn" : null);
        page.Fact("ppi where it fills the platen", Numeral.Of(check.PlatenPpi, "0.#"));
        page.Fact(findings.Length == 1 ? "finding" : "findings", Numeral.Plain(findings.Length), findings.IsEmpty ? null : "warn");
        page.Close().Close();

        page.Questions([.. check.Questions, .. check.Decided]);
        Box[] marked = [.. findings.Select(finding => finding.Box).OfType<Box>(), .. marks.Select(mark => mark.Box)];
        var seen = new Seen(check, flat, InkWindow.Of(setup, marked, flat));
        Findings(page, seen);
        Overviews(page, setup, seen, Page.Apart(seen.Window.Grid, seen.Window.Of(marks)));
        Counts(page, check);
        MainColors(page, check);
        if (check.Estimate is { } estimate)
        {
            page.Section("Ink, estimated").Open("table").Open("tbody");
            page.Pair("Colors", InkEstimate.Words(estimate.Colors)).Pair("White underbase", InkEstimate.Words(estimate.Underbase));
            page.Pair("In all", InkEstimate.Words(estimate.Total)).Pair("Saved by what stays bare", InkEstimate.Words(estimate.Saved));
            page.Close().Close().Element("p", "From the setup's constants; only weighing tells.", "quiet").Close();
        }

        if (!regions.IsEmpty)
        {
            page.Section("Enclosed white", "regions", "wide");
            page.Element("p", "Pure white that is surrounded by art. "
                + "Each is a question: bellies, teeth and lettering usually print, holes of rings and letters usually stay bare.", "quiet");
            if (regionCount > regions.Length)
            {
                page.Element("p", $"Of {Numeral.Of(regionCount)} regions the {Numeral.Of(regions.Length)} largest are listed.", "strong");
            }

            page.Regions("enclosed white", regions, check.PrintPpi, decided: false);
            Looks(page, setup, flat, check, marks);
            page.Close();
        }

        page.Section("What was checked").Identity(art, setup, chosen.IsFallback).Close();
        page.Simulation();
    }

    // What the page is about, and the part of it that its overviews show.
    private sealed record Seen(ArtCheck Check, Plane<Rgba8> Flat, InkWindow Window);

    // The worst first, as they are ranked: the picture and the list beside it have the same numbers.
    private static void Findings(Page page, Seen seen)
    {
        var (check, flat, window) = seen;
        var findings = check.Findings;
        page.Section("Findings", "findings", "wide");
        if (findings.IsEmpty)
        {
            page.Element("p", "None.").Close();
            return;
        }

        page.Element("p", "The worst first, by the harm that they do. A frame in the picture has the number, the color and the dashes of its line in the list. "
            + window.InWords(), "quiet");
        page.Open("div", ("class", "beside"));
        window.Open(page, "findings", ("data-same", "overview"), ("data-single", "1"));
        var part = window.Of(flat);
        Region[] where = [.. findings.Select(finding => finding.Where).OfType<Region>().Select(region => new Region(window.Of(region.Coverage), part))];
        page.FindingsPane(FindingsPicture.Render(part, where, window.Shrink), window.Grid,
            Page.FindingMarks(window.Grid, [.. findings.Select(finding => finding.Box is { } box ? window.Of(box) : (Box?)null)]));
        page.Close().Open("ol", ("class", "findings"));
        foreach (var (i, finding) in findings.Index())
        {
            Found(page, i, finding);
        }

        page.Close().Close();
        page.Open("ul", ("class", "legend")).Open("li").Image(FindingsPicture.Sample(48, 24), "")
            .Element("span", "what is found: vermilion with stripes and a dark outline, on the art in gray").Close().Close().Close();
    }

    private static void Found(Page page, int index, Finding finding)
    {
        string name = Page.FindingName(index);
        page.Open("li", ("id", $"finding-{name}"), ("data-spot", $"finding-{name}"), ("tabindex", "-1"));
        page.Open("p", ("class", "strong")).FindingKey(index).Text(" ").Outside(finding.Message).Close();
        page.Open("p", ("class", "quiet")).Element("code", finding.Code).Text(finding.Pixels > 0 ? $" · {Numeral.Of(finding.Pixels)} px" : "");
        if (finding.Box is { } box)
        {
            page.Text(" · box ").Element("code", box.ToString());
        }
        else
        {
            page.Text(" · the whole picture");
        }

        if (finding.Recipe is not null)
        {
            page.Text(" · mended by ").Element("code", finding.Set is null ? finding.Recipe : $"{finding.Recipe} {finding.Set}");
        }

        page.Close().Close();
    }

    private static void Overviews(Page page, GarmentSetup setup, Seen seen, ImmutableArray<PageMark> marks)
    {
        var (check, flat, window) = seen;
        int n = window.Shrink, regions = Math.Max(check.EnclosedWhiteCount, check.EnclosedWhites.Regions.Length);
        page.Section("What prints, what stays bare", "overview", "wide");
        page.Open("p", ("class", "quiet")).Text(window.InWords())
            .Text(n == 1 ? "One pixel here is one pixel of the art. " : $"One pixel here stands for {n} × {n} px of the art. ")
            .Text("On the garment a weave marks bare cloth. The map shows what prints in gray, and what stays bare by its reason: white that art surrounds "
                + "is told from the white outside it. ")
            .Element("span", "Click for color, ink state and position; drag for a box; arrow keys go from region to region, + and − zoom.", "scripted").Close();
        if (marks.Length < regions)
        {
            page.Element("p", $"Of {Numeral.Of(regions)} regions of enclosed white {Page.Marked(marks.Length)}; {Page.LeftOut(regions - marks.Length)}, "
                + "so that the art and the numbers can be seen. The table below has them by size.", "strong");
        }

        page.Tools();
        var part = window.Of(flat);
        window.Open(page, "overview", ("data-single", "1"), ("data-before", n == 1 ? Page.Exact(part) : null));
        page.Pane("On the garment", GarmentPicture.Render(part, setup, n), window.Grid, "The art on the garment", marks, []);
        var map = InkPicture.Render(part, setup.Ink, n, Shown(check.Surrounded), Shown(check.RunsOff));
        page.Pane("Map", map, window.Grid, "What prints and what stays bare", marks, []);
        page.Close().Open("ul", ("class", "legend"));
        foreach (var (mark, words) in (ReadOnlySpan<(MapMark, string)>)
            [
                (MapMark.Prints, "prints: the art in gray"),
                (MapMark.EnclosedWhite, "white that art surrounds, bare: purple with checks"),
                (MapMark.OuterWhite, "white outside the art, bare: sky blue with stripes"),
                (MapMark.EdgeWhite, "white that runs off the picture, bare: yellow with bars"),
                (MapMark.Black, "bare because pure black: orange with a crosshatch"),
                (MapMark.Transparent, "bare because transparent: white with dots"),
            ])
        {
            page.Open("li").Image(InkPicture.Sample(mark, 48, 24), "").Element("span", words).Close();
        }

        page.Close().Close();

        Plane<byte>? Shown(Region? region) => region is null ? null : window.Of(region.Coverage);
    }

    private static void Counts(Page page, ArtCheck check)
    {
        var ink = check.Ink;
        // Where the setup prints white none of it stays bare.
        long surrounded = ink.BareWhite == 0 ? 0 : check.Surrounded?.Count ?? 0, off = ink.BareWhite == 0 ? 0 : check.RunsOff?.Count ?? 0;
        page.Section("Counts").Open("table").Heads("Pixels that", "Pixels").Open("tbody");
        foreach (var (name, pixels) in (ReadOnlySpan<(string, long)>)
            [
                ("print", ink.Prints), ("stay bare: white that art surrounds", surrounded),
                ("stay bare: white outside the art", ink.BareWhite - surrounded - off),
                ("stay bare: white that runs off the picture", off), ("stay bare: pure black", ink.BareBlack), ("stay bare: transparent", ink.Transparent),
            ])
        {
            page.Open("tr").Open("th", ("scope", "row")).Text(name).Close().Cell(Numeral.Of(pixels), "number").Close();
        }

        page.Close().Close().Close();
    }

    private static void MainColors(Page page, ArtCheck check)
    {
        if (check.Colors is not { Colors.IsEmpty: false } colors)
        {
            return;
        }

        page.Section("Main colors").Open("table").Heads("Color", "Area", "Of what prints").Open("tbody");
        foreach (var color in colors.Colors)
        {
            page.Open("tr").ColorCell(color.Color).Cell(Page.Area(color.Pixels, check.PrintPpi), "number")
                .Cell(Numeral.Of(100 * color.Share, "0.0") + "%", "number").Close();
        }

        page.Open("tr").Cell("all others").Cell(Page.Area(colors.Others, check.PrintPpi), "number")
            .Cell(Numeral.Of(100 * colors.Others / colors.Printed, "0.0") + "%", "number").Close();
        page.Close().Close().Element("p", "Printed areas. An edge counts for the two colors that meet there, by their share of it.", "quiet").Close();
    }

    private static void Looks(Page page, GarmentSetup setup, Plane<Rgba8> flat, ArtCheck check, ImmutableArray<PageMark> marks)
    {
        ReportedRegion[] regions = [.. Page.LargestFirst(check.EnclosedWhites.Regions).Take(marks.Length)];
        for (int i = 0; i < regions.Length; i++)
        {
            var box = regions[i].Box;
            var (window, zoom) = Page.WindowOnto(flat.Grid, box, box.X + (box.Width / 2), box.Y + (box.Height / 2));
            var crop = Crop.Of(flat, window);
            page.Open("article", ("class", "spot"), ("id", marks[i].Id), ("tabindex", "0"), ("aria-label", marks[i].Label), ("data-spot", marks[i].Id));
            page.Open("div", ("class", "about")).Element("h3", marks[i].Name).Element("p", $"{Numeral.Of(regions[i].Pixels)} px");
            page.Open("p", ("class", "quiet")).Text("box ").Element("code", box.ToString()).Close().Close();
            page.Open("div", ("class", "crops"), ("data-group", marks[i].Id), ("data-single", "1"),
                ("data-x", Numeral.Plain(window.X)), ("data-y", Numeral.Plain(window.Y)), ("data-shrink", "1"),
                ("data-width", Numeral.Plain(window.Width)), ("data-height", Numeral.Plain(window.Height)), ("data-before", Page.Exact(crop)));
            page.CropFigure("On the garment", GarmentPicture.Render(crop, setup), marks[i].Label, zoom);
            page.CropFigure("Map", InkPicture.Render(crop, setup.Ink, 1, Cropped(check.Surrounded), Cropped(check.RunsOff)), marks[i].Label, zoom);
            page.Close().Close();

            Plane<byte>? Cropped(Region? region) => region is null ? null : Crop.Of(region.Coverage, window);
        }
    }

    // 300, 200 and 150 ppi are common practice, no source.
    internal static string Judged(double ppi) => ppi switch
    {
        >= 300 => "on target",
        >= 200 => "acceptable",
        >= 150 => "soft photographs only",
        _ => "too low",
    };
}
