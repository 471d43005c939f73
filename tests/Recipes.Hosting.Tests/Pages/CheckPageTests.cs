using System.Collections.Immutable;
using System.Text;
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
        var marks = Pane(page, "Where they are").Descendants("a").ToList();
        marks.Select(mark => mark.Element("text")!.Value).ShouldBe(["F1", "F2", "F3", "F4"]);
        marks.Select(mark => (string)mark.Attribute("href")!).ShouldBe(items.Select(item => $"#{(string)item.Attribute("id")!}"));
        foreach (var (mark, box) in marks.Zip(boxes))
        {
            BoxOf(mark, "line").ShouldBe(box ?? BoxOf(mark, "line"));
        }

        // The speck is smaller than a frame that is seen, and lies in its middle.
        var around = BoxOf(marks[3], "line");
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
        Box[] plates = [.. Pane(page, "Where they are").Descendants("a").Select(mark => BoxOf(mark, "plate"))];
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

    private static (ArtCheck Check, XDocument Page, Dictionary<string, Plane<Rgba8>> Pictures) Page(ImmutableArray<Finding>? findings = null)
    {
        var flat = Plane<Rgba8>.FromContiguous(240, 200, Enumerable.Range(0, 240 * 200).Select(i => At(i % 240, i / 240)).ToArray());
        var check = ArtCheck.Of(Artwork.FromPixels(flat, Ppi), Light);
        check = findings is { } others ? check with { Findings = others } : check;
        var pictures = new Dictionary<string, Plane<Rgba8>>();
        using var stream = new MemoryStream();
        var art = new ArtIdentity("puffin.png", new string('b', 64), 240, 200, Ppi, "PNG", []);
        CheckPage.Write(stream, art, new ChosenSetup(Light, false), check, flat, picture =>
        {
            byte[] png = StoredPng.Encode(picture);
            pictures["data:image/png;base64," + Convert.ToBase64String(png)] = picture;
            return png;
        });
        return (check, XDocument.Parse(Encoding.UTF8.GetString(stream.ToArray())), pictures);
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
