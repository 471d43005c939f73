using System.Collections.Immutable;
using System.Text;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Imaging;

namespace Recipes.Hosting.Tests.Pages;

/// <summary>check.html of drawings of which it is known where everything lies.</summary>
public class CheckPageTests
{
    private const double Ppi = 150, Millimeters = 25.4 / Ppi;
    private static readonly GarmentSetup Light = SetupStore.Shipped.Single(setup => setup.Name == "light-garment");
    private static readonly Rgba8 Navy = new(20, 60, 140), Orange = new(240, 120, 32), Dust = new(250, 250, 250);

    // On paper of 240 x 200: a navy block of 100 x 100 with a white hole of 40 x 30 in it, an orange bar of 60 x 20 with a speck beside it, and
    // a patch of dust in a corner.
    private static readonly Box Block = new(20, 40, 100, 100), Hole = new(50, 60, 40, 30), Bar = new(150, 100, 60, 20),
        Speck = new(180, 160, 2, 1), Patch = new(220, 0, 20, 10);

    [Fact]
    public void Every_finding_is_framed_and_numbered_as_in_the_list_the_worst_first()
    {
        var (check, page, pictures) = Page();
        string[] codes = ["enclosed-white", "near-white-background", "low-resolution", "specks"];
        check.Findings.Select(finding => finding.Code).ShouldBe(codes);
        var items = page.Descendants("ol").Single().Elements("li").ToList();
        items.Select(item => item.Descendants("code").First().Value).ShouldBe(codes);
        items.Select(item => item.Descendants("span").First().Value).ShouldBe(["F1", "F2", "F3", "F4"]);

        // A finding without a box of its own is about the whole picture.
        Box?[] boxes = [Hole, Patch, new Box(0, 0, 240, 200), null];
        // All frames lie below all plates, so that no line crosses a number.
        var links = Pane(page, "Where they are").Descendants("a").ToList();
        List<XElement> frames = links[..4], marks = links[4..];
        marks.Select(mark => mark.Element("text")!.Value).ShouldBe(["F1", "F2", "F3", "F4"]);
        marks.Select(mark => (string)mark.Attribute("href")!).ShouldBe(items.Select(item => $"#{(string)item.Attribute("id")!}"));
        frames.Select(frame => (string)frame.Attribute("href")!).ShouldBe(marks.Select(mark => (string)mark.Attribute("href")!));
        foreach (var (frame, box) in frames.Zip(boxes))
        {
            BoxOf(frame, "line").ShouldBe(box ?? BoxOf(frame, "line"));
        }

        // Frame, plate and list have one rank, and each another, which a style gives dashes and a color of its own.
        string[] ranks = [.. frames.Select(frame => (string)frame.Attribute("class")!)];
        ranks.Distinct().Count().ShouldBe(4);
        marks.Select(mark => (string)mark.Attribute("class")!).ShouldBe(ranks);
        items.Select(item => (string)item.Descendants("span").First().Attribute("class")!).ShouldBe(ranks.Select(rank => $"key {rank}"));
        string styles = page.Descendants("style").First().Value;
        var looks = Enumerable.Range(0, 6).Select(i => Regex.Match(styles, $@"\.rank{i} \{{ --ink: (#\w+); --on: #\w+; --dash: ([^;]+); \}}").Groups).ToList();
        looks.Select(look => look[1].Value).Where(ink => ink.Length > 0).Distinct().Count().ShouldBe(6);
        looks.Select(look => look[2].Value).Where(dash => dash.Length > 0).Distinct().Count().ShouldBe(6);

        // The speck is smaller than a frame that is seen, and lies in its middle.
        var around = BoxOf(frames[3], "line");
        Speck.Within(around).ShouldBe(Speck);
        around.Width.ShouldBeLessThan(10);
        Box[] plates = [.. marks.Select(mark => BoxOf(mark, "plate"))];
        plates.ShouldAllBe(plate => plate.Within(new Box(0, 0, 240, 200)) == plate);
        plates.SelectMany((one, i) => plates.Skip(i + 1).Select(other => one.Within(other))).ShouldAllBe(common => common.IsEmpty);

        // Gray is unmarked; a finding's own pixels have a color, and the speck has a dark outline.
        var picture = pictures[Source(page, "Where they are")];
        foreach (var box in (Box[])[Hole, Patch, Speck])
        {
            Corners(box).ShouldAllBe(at => IsVermilion(picture[at.X, at.Y]));
        }

        IsGray(picture[30, 50]).ShouldBeTrue();
        IsGray(picture[160, 110]).ShouldBeTrue();
        picture[Speck.X - 2, Speck.Y].R.ShouldBeLessThan((byte)64);
    }

    [Fact]
    public void Many_findings_of_one_place_have_a_number_each()
    {
        ImmutableArray<Finding> findings = [.. Enumerable.Range(0, 17)
            .Select(i => new Finding("halo", $"Finding {i}", 4, i % 2 == 0 ? null : new Box(0, 0, 240, 200), null))];
        var (_, page, _) = Page(findings);
        var links = Pane(page, "Where they are").Descendants("a").ToList();
        // No frame lies on another.
        links.Take(17).Select(mark => BoxOf(mark, "line")).Distinct().Count().ShouldBe(17);
        Box[] plates = [.. links.Skip(17).Select(mark => BoxOf(mark, "plate"))];
        plates.Length.ShouldBe(17);
        plates.SelectMany((one, i) => plates.Skip(i + 1).Select(other => one.Within(other))).ShouldAllBe(common => common.IsEmpty);
    }

    [Fact]
    public void White_that_art_surrounds_is_told_from_the_white_outside_it_by_color_pattern_and_words()
    {
        var (_, page, pictures) = Page();
        var map = pictures[Source(page, "Map")];
        HashSet<Rgba8> inside = [.. Pixels(map, Hole)], outside = [.. Pixels(map, new Box(125, 5, 80, 30))], prints = [.. Pixels(map, Bar)];
        // A color and its pattern each, none of them shared.
        (inside.Count, outside.Count, prints.Count).ShouldBe((2, 2, 1));
        inside.Concat(outside).Concat(prints).Distinct().Count().ShouldBe(5);
        // Whoever sees no colors tells them by lightness: 40 levels of luma between the means; ours, without a source.
        Math.Abs(inside.Average(Luma) - outside.Average(Luma)).ShouldBeGreaterThan(40);

        var rows = page.Descendants("section").Single(section => section.Element("h2")!.Value == "Counts").Descendants("tr")
            .Where(row => row.Elements("td").Any()).ToDictionary(row => row.Element("th")!.Value, row => row.Element("td")!.Value);
        rows["stay bare: white that art surrounds"].ShouldBe("1,200");
        rows["stay bare: white outside the art"].ShouldBe($"{(240 * 200) - (100 * 100) - (60 * 20) - 2 - 200:#,0}");
        rows["stay bare: white that runs off the picture"].ShouldBe("0");
        page.Descendants("li").Select(item => item.Value).ShouldContain("white that art surrounds, bare: purple with checks");

        static double Luma(Rgba8 color) => (0.2126 * color.R) + (0.7152 * color.G) + (0.0722 * color.B);
    }

    [Fact]
    public void Main_colors_are_listed_with_their_printed_areas()
    {
        var (check, page, _) = Page();
        var rows = page.Descendants("section").Single(section => section.Element("h2")!.Value == "Main colors").Descendants("tbody").Elements("tr").ToList();
        const int All = 8800 + 1202 + 200;
        rows.Select(row => string.Join("|", row.Elements("td").Select(cell => cell.Value.Trim()))).ShouldBe([
            $"#143c8c|{Area(8800) / 100:0.00} cm²|{100.0 * 8800 / All:0.0}%", $"#f07820|{Area(1202):0.00} mm²|{100.0 * 1202 / All:0.0}%",
            $"#fafafa|{Area(200):0.00} mm²|{100.0 * 200 / All:0.0}%", "all others|0 mm²|0.0%"]);
        ReportJson.Of(check.Colors, check.PrintPpi).Select(color => ((string)color!["rgb"]!, (double)color["mm2"]!, (double)color["share"]!))
            .ShouldBe([("#143c8c", Area(8800), Share(8800)), ("#f07820", Area(1202), Share(1202)), ("#fafafa", Area(200), Share(200))]);

        static double Area(int pixels) => Math.Round(pixels * Millimeters * Millimeters, 3);

        static double Share(int pixels) => Math.Round((double)pixels / All, 6);
    }

    // By hand: ink of 100 x 60 px at 600,200 on 1,000 x 1,000, and around it a sixteenth of its longer side: 6 px.
    [Fact]
    public void Of_a_platen_with_small_ink_only_the_ink_and_a_margin_are_shown_and_every_place_is_the_art_s()
    {
        Box ink = new(600, 200, 100, 60), hole = new(640, 220, 30, 20), window = new(594, 194, 112, 72);
        var flat = Plane<Rgba8>.FromContiguous(1000, 1000, Enumerable.Range(0, 1_000_000).Select(i =>
            ink.Contains(i % 1000, i / 1000) && !hole.Contains(i % 1000, i / 1000) ? Navy : Rgba8.White).ToArray());
        var (page, pictures) = Written(ArtCheck.Of(Artwork.FromPixels(flat, Ppi), Light), flat);
        foreach (var panes in page.Descendants("div").Where(div => (string?)div.Attribute("class") == "panes"))
        {
            new Box(Of(panes, "x"), Of(panes, "y"), Of(panes, "width"), Of(panes, "height")).ShouldBe(window);
        }

        foreach (string title in (string[])["Where they are", "On the garment", "Map"])
        {
            var picture = pictures[Source(page, title)];
            (picture.Width, picture.Height).ShouldBe((window.Width, window.Height), title);
        }

        // The hole is framed where it lies in the window, and named by its place in the art.
        BoxOf(Pane(page, "Map").Descendants("a").Single(), "line").ShouldBe(new Box(46, 26, 30, 20));
        page.Descendants("code").ShouldContain(code => code.Value == "640,220,30,20");
        page.Root!.Value.ShouldContain("Only the ink and a margin are shown, 112 × 72 px at 594,194 of 1,000 × 1,000 px; nothing prints around it.");

        // Where the ink takes most of the art, or nothing prints, the whole is shown.
        var blank = Plane<Rgba8>.OneValue(300, 300, Rgba8.White);
        foreach (var whole in new[] { Page().Page, Written(ArtCheck.Of(Artwork.FromPixels(blank, Ppi), Light), blank).Page })
        {
            whole.Root!.Value.ShouldNotContain("Only the ink and a margin");
        }

        static int Of(XElement panes, string field) => (int)panes.Attribute($"data-{field}")!;
    }

    private static (ArtCheck Check, XDocument Page, Dictionary<string, Plane<Rgba8>> Pictures) Page(ImmutableArray<Finding>? findings = null)
    {
        var flat = Plane<Rgba8>.FromContiguous(240, 200, Enumerable.Range(0, 240 * 200).Select(i => At(i % 240, i / 240)).ToArray());
        var check = ArtCheck.Of(Artwork.FromPixels(flat, Ppi), Light);
        check = findings is { } others ? check with { Findings = others } : check;
        var (page, pictures) = Written(check, flat);
        return (check, page, pictures);
    }

    private static (XDocument Page, Dictionary<string, Plane<Rgba8>> Pictures) Written(ArtCheck check, Plane<Rgba8> flat)
    {
        var pictures = new Dictionary<string, Plane<Rgba8>>();
        using var stream = new MemoryStream();
        var art = new ArtIdentity("puffin.png", new string('b', 64), flat.Width, flat.Height, Ppi, "PNG", []);
        CheckPage.Write(stream, art, new ChosenSetup(Light, false), check, flat, picture =>
        {
            byte[] png = StoredPng.Encode(picture);
            pictures["data:image/png;base64," + Convert.ToBase64String(png)] = picture;
            return png;
        });
        return (XDocument.Parse(Encoding.UTF8.GetString(stream.ToArray())), pictures);
    }

    private static Rgba8 At(int x, int y) => Hole.Contains(x, y) ? Rgba8.White : Block.Contains(x, y) ? Navy
        : Bar.Contains(x, y) || Speck.Contains(x, y) ? Orange : Patch.Contains(x, y) ? Dust : Rgba8.White;

    private static XElement Pane(XDocument page, string title) => page.Descendants("figure").First(figure => figure.Element("figcaption")?.Value == title);

    private static string Source(XDocument page, string title) => (string)Pane(page, title).Descendants("img").First().Attribute("src")!;

    private static Box BoxOf(XElement mark, string style)
    {
        var rect = mark.Elements("rect").Single(rect => (string?)rect.Attribute("class") == style);
        return new Box((int)rect.Attribute("x")!, (int)rect.Attribute("y")!, (int)rect.Attribute("width")!, (int)rect.Attribute("height")!);
    }

    private static IEnumerable<(int X, int Y)> Corners(Box box) =>
        [(box.X, box.Y), (box.Right - 1, box.Y), (box.X, box.Bottom - 1), (box.Right - 1, box.Bottom - 1)];

    private static IEnumerable<Rgba8> Pixels(Plane<Rgba8> plane, Box box) =>
        from y in Enumerable.Range(box.Y, box.Height) from x in Enumerable.Range(box.X, box.Width) select plane[x, y];

    private static bool IsGray(Rgba8 pixel) => pixel.R == pixel.G && pixel.G == pixel.B;

    private static bool IsVermilion(Rgba8 pixel) => pixel.R > pixel.G + 40 && pixel.G > pixel.B + 20;
}
