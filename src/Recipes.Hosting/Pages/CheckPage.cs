using System.Collections.Immutable;
using Recipes.Imaging;
using Recipes.Imaging.Pictures;

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
        ImmutableArray<PageMark> marks = [.. shown.Select(region => new PageMark("region", Page.Number(region.Number), region.Box))];
        string name = Path.GetFileName(art.Path.Replace('\\', '/'));
        using var page = new Page(stream, $"Check: {name}", setup, encodePng);

        page.Open("header").Element("p", "Check", "kind").Open("h1").Outside(name).Close();
        page.Open("p", ("class", "quiet")).Text(step > 0 ? $"at step {Page.Number(step)}, for " : "for ").Outside(setup.Name)
            .Text(chosen.IsFallback ? ", the fallback, since nobody chose a setup" : "").Close();
        page.Open("dl", ("class", "facts"));
        page.Fact("pixels print", Page.Grouped(ink.Prints)).Fact("stay bare", Page.Grouped(ink.Total - ink.Prints));
        string resampled = ResolutionInWords.Resampled(check.Ground.Scale, check.PrintPpi);
        page.Fact($"effective ppi{(resampled.Length > 0 ? $" {resampled}" : "")}, {Judged(check.EffectivePpi)}", Page.Decimal(check.EffectivePpi, "0.#"),
            check.EffectivePpi < 150 ? "warn" : null);
        page.Fact("ppi where it fills the platen", Page.Decimal(check.PlatenPpi, "0.#"));
        page.Fact(findings.Length == 1 ? "finding" : "findings", Page.Number(findings.Length), findings.IsEmpty ? null : "warn");
        page.Close().Close();

        page.Questions([.. check.Questions, .. check.Decided]);
        Findings(page, findings);
        Overviews(page, setup, flat, Page.Apart(flat.Grid, marks), regionCount);
        Counts(page, ink);
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
            page.Element("p", "Pure white that is surrounded by art. Each is a question: bellies, teeth and lettering usually print, holes of rings and letters usually stay bare.", "quiet");
            if (regionCount > regions.Length)
            {
                page.Element("p", $"Of {Page.Grouped(regionCount)} regions the {Page.Grouped(regions.Length)} largest are listed.", "strong");
            }

            page.Regions("enclosed white", regions, check.PrintPpi, decided: false);
            Looks(page, setup, flat, shown, marks);
            page.Close();
        }

        page.Section("What was checked").Identity(art, setup, chosen.IsFallback).Close();
        page.Simulation();
    }

    private static void Findings(Page page, ImmutableArray<Finding> findings)
    {
        page.Section("Findings");
        if (findings.IsEmpty)
        {
            page.Element("p", "None.").Close();
            return;
        }

        page.Open("ul", ("class", "findings"));
        foreach (var finding in findings)
        {
            page.Open("li").Open("p", ("class", "strong")).Outside(finding.Message).Close().Open("p", ("class", "quiet")).Element("code", finding.Code);
            page.Text(finding.Pixels > 0 ? $" · {Page.Grouped(finding.Pixels)} px" : "");
            if (finding.Box is { } box)
            {
                page.Text(" · box ").Element("code", box.ToString());
            }

            if (finding.Recipe is not null)
            {
                page.Text(" · mended by ").Element("code", finding.Set is null ? finding.Recipe : $"{finding.Recipe} {finding.Set}");
            }

            page.Close().Close();
        }

        page.Close().Close();
    }

    private static void Overviews(Page page, GarmentSetup setup, Plane<Rgba8> flat, ImmutableArray<PageMark> marks, int regions)
    {
        int n = Overview.ShrinkOf(flat.Grid);
        page.Section("What prints, what stays bare", "overview", "wide");
        page.Open("p", ("class", "quiet")).Text(n == 1 ? "One pixel here is one pixel of the art. " : $"One pixel here stands for {n} × {n} px of the art. ")
            .Text("On the garment a weave marks bare cloth. The map shows what prints in gray, and what stays bare by its reason. ")
            .Element("span", "Click for color, ink state and position; drag for a box; arrow keys go from region to region, + and − zoom.", "scripted").Close();
        if (marks.Length < regions)
        {
            page.Element("p", $"Of {Page.Grouped(regions)} regions of enclosed white {Page.Marked(marks.Length)}; {Page.LeftOut(regions - marks.Length)}, so that the art and the numbers can be seen. The table below has them by size.", "strong");
        }

        page.Tools();
        page.Open("div", ("class", "panes"), ("data-group", "overview"), ("data-single", "1"), ("data-x", "0"), ("data-y", "0"), ("data-shrink", Page.Number(n)),
            ("data-width", Page.Number(flat.Width)), ("data-height", Page.Number(flat.Height)), ("data-before", n == 1 ? Page.Exact(flat) : null));
        page.Pane("On the garment", GarmentPicture.Render(flat, setup, n), flat.Grid, "The art on the garment", marks, []);
        page.Pane("Map", InkPicture.Render(flat, setup.Ink, n), flat.Grid, "What prints and what stays bare", marks, []);
        page.Close().Open("ul", ("class", "legend"));
        foreach (var (state, words) in (ReadOnlySpan<(InkState, string)>)
            [
                (InkState.Prints, "prints: the art in gray"),
                (InkState.BareWhite, "bare because pure white: sky blue with stripes"),
                (InkState.BareBlack, "bare because pure black: orange with a crosshatch"),
                (InkState.Transparent, "bare because transparent: white with dots"),
            ])
        {
            page.Open("li").Image(InkPicture.Sample(state, 48, 24), "").Element("span", words).Close();
        }

        page.Close().Close();
    }

    private static void Counts(Page page, InkCount ink)
    {
        page.Section("Counts").Open("table").Heads("Pixels that", "Pixels").Open("tbody");
        foreach (var (name, pixels) in (ReadOnlySpan<(string, long)>)
            [
                ("print", ink.Prints), ("stay bare: pure white", ink.BareWhite), ("stay bare: pure black", ink.BareBlack), ("stay bare: transparent", ink.Transparent),
            ])
        {
            page.Open("tr").Open("th", ("scope", "row")).Text(name).Close().Cell(Page.Grouped(pixels), "number").Close();
        }

        page.Close().Close().Close();
    }

    private static void Looks(Page page, GarmentSetup setup, Plane<Rgba8> flat, ImmutableArray<ReportedRegion> regions, ImmutableArray<PageMark> marks)
    {
        for (int i = 0; i < regions.Length; i++)
        {
            var box = regions[i].Box;
            var (window, zoom) = Page.WindowOnto(flat.Grid, box, box.X + (box.Width / 2), box.Y + (box.Height / 2));
            var crop = Crop.Of(flat, window);
            page.Open("article", ("class", "spot"), ("id", marks[i].Id), ("tabindex", "0"), ("aria-label", marks[i].Label), ("data-spot", marks[i].Id));
            page.Open("div", ("class", "about")).Element("h3", marks[i].Name).Element("p", $"{Page.Grouped(regions[i].Pixels)} px");
            page.Open("p", ("class", "quiet")).Text("box ").Element("code", box.ToString()).Close().Close();
            page.Open("div", ("class", "crops"), ("data-group", marks[i].Id), ("data-single", "1"), ("data-x", Page.Number(window.X)), ("data-y", Page.Number(window.Y)),
                ("data-shrink", "1"), ("data-width", Page.Number(window.Width)), ("data-height", Page.Number(window.Height)), ("data-before", Page.Exact(crop)));
            page.CropFigure("On the garment", GarmentPicture.Render(crop, setup), marks[i].Label, zoom);
            page.CropFigure("Map", InkPicture.Render(crop, setup.Ink), marks[i].Label, zoom);
            page.Close().Close();
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
