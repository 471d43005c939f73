using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Reports;
using Recipes.Imaging;
using Recipes.Imaging.Pictures;

namespace Recipes.Hosting.Tests.Pages;

public class PageTests
{
    private const string Hostile = "<script>alert(1)</script> \"' onload=x ]]> --> &amp; \u0007 \u202Egnp.exe";
    private static readonly GarmentSetup Light = new() { Name = "light-garment", PlatenWidth = 14, PlatenHeight = 16 };

    [Fact]
    public void The_report_is_well_formed_and_needs_nothing_from_outside()
    {
        foreach (string page in new[] { Report(), Check() })
        {
            var document = XDocument.Parse(page);
            document.Descendants().Attributes("src").ShouldAllBe(source => source.Value.StartsWith("data:image/png;base64,"));
            document.Descendants().Attributes("href").ShouldAllBe(link => link.Value.StartsWith('#') || link.Value.StartsWith("./"));
            document.Descendants().Attributes("style").ShouldBeEmpty();
            document.Descendants().Attributes().ShouldAllBe(attribute => !attribute.Name.LocalName.StartsWith("on"));
            document.Descendants("link").ShouldBeEmpty();
            document.Root!.Value.ShouldContain("not a proof");
        }
    }

    // Content Security Policy Level 3: the base64 of SHA-256 over the element's own text.
    [Theory]
    [InlineData("script")]
    [InlineData("style")]
    public void The_policy_admits_exactly_this_script_and_style(string element)
    {
        foreach (string page in new[] { Report(), Check() })
        {
            var found = Regex.Matches(page, $"<{element}>(.*?)</{element}>", RegexOptions.Singleline);
            string hash = Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(found.ShouldHaveSingleItem().Groups[1].Value)));
            string policy = Policy(page);
            policy.ShouldStartWith("default-src 'none'; img-src data:;");
            policy.ShouldContain($"{element}-src 'sha256-{hash}'");
            policy.ShouldNotContain("unsafe");
        }
    }

    [Fact]
    public void Hostile_text_stays_text()
    {
        foreach (string page in new[] { Report(Hostile), Check(Hostile) })
        {
            Regex.Count(page, "<script").ShouldBe(1);
            string shown = Hostile.Replace('\u0007', '\uFFFD').Replace('\u202E', '\uFFFD');
            XDocument.Parse(page).Descendants("bdi").Select(text => text.Value).ShouldContain(text => text.StartsWith(shown));
            page.ShouldNotContain('\u202E');
        }
    }

    [Fact]
    public void A_lone_pixel_has_a_spot_a_mark_on_every_overview_and_its_place()
    {
        var before = Plane<Rgba8>.OneValue(400, 300, new Rgba8(80, 90, 100));
        var samples = before.ToContiguous();
        samples[(123 * 400) + 45] = new Rgba8(80, 90, 101);
        var document = XDocument.Parse(Report(pictures: (before, Plane<Rgba8>.FromContiguous(400, 300, samples, before))));
        document.Descendants("article").ShouldHaveSingleItem().Value.ShouldContain("45,123,1,1");
        document.Descendants("a").Count(link => (string?)link.Attribute("href") == "#spot-A").ShouldBe(3);
        document.Descendants("article").Descendants("img").Count().ShouldBe(3);
    }

    // A white patch of 7 x 8 px is left alone: it lies inside a large region and beside a larger one, whose number takes its place.
    [Fact]
    public void A_small_exception_has_its_number_as_in_the_difference_picture()
    {
        var ink = new Rgba8(80, 90, 100);
        Rgba8 At(int x, int y, Rgba8 face) => x is >= 200 and < 260 && y is >= 200 and < 260 ? x is >= 222 and < 229 && y is >= 226 and < 234 ? Rgba8.White : x is >= 232 and < 240 && y is >= 226 and < 234 ? face : ink : face;
        Plane<Rgba8> Drawn(Rgba8 face) => Plane<Rgba8>.FromContiguous(640, 480, Enumerable.Range(0, 640 * 480).Select(i => i % 640 is >= 100 and < 500 && i / 640 is >= 100 and < 400 ? At(i % 640, i / 640, face) : ink).ToArray());
        Plane<Rgba8> before = Drawn(Rgba8.White), after = Drawn(new Rgba8(254, 254, 254));
        ImmutableArray<ReportedRegion> regions = [new(1, new Box(100, 100, 400, 300), 116_400, true), new(2, new Box(222, 226, 7, 8), 56, false), new(3, new Box(232, 226, 8, 8), 64, true)];
        var report = HarborArt.Report(before, after, Light) with { Regions = [new ReportedRegions("enclosed white", regions)] };
        var document = XDocument.Parse(Written(stream => ReportPage.Write(stream, report, new RunPictures(before, after, before), StoredPng.Encode)));
        document.Descendants("svg").First(svg => (string?)svg.Attribute("class") == "marks").Elements("text").Select(text => text.Value).ShouldBe(["(2)", "1", "3"], ignoreOrder: true);
        document.Root!.Value.ShouldNotContain("numbered here");
    }

    // A ring around a hole that is left alone, and a bar beside it: who types a number that stands in the hole means the hole.
    [Fact]
    public void No_number_stands_on_another_region_and_a_line_leads_from_where_it_stands_to_its_own()
    {
        var art = Plane<Rgba8>.OneValue(640, 480, new Rgba8(80, 90, 100));
        ImmutableArray<ReportedRegion> regions =
            [new(1, new Box(200, 100, 160, 160), 15_000, true), new(2, new Box(250, 150, 60, 60), 2_900, false), new(3, new Box(370, 170, 70, 12), 840, true)];
        var report = HarborArt.Report(art, art, Light) with { Regions = [new ReportedRegions("enclosed white", regions)] };
        var marks = XDocument.Parse(Written(stream => ReportPage.Write(stream, report, new RunPictures(art, art, art), StoredPng.Encode)))
            .Descendants("svg").First(svg => (string?)svg.Attribute("class") == "marks");
        foreach (var region in regions)
        {
            var text = marks.Elements("text").Single(text => text.Value.Trim('(', ')') == $"{region.Number}");
            var place = (X: Of(text, "x"), Y: Of(text, "y") - (Of(text, "font-size") / 3));
            bool inside = region.Box.Contains(place.X, place.Y);
            regions.Where(other => other.Box.Contains(place.X, place.Y) && (!inside || region.Number == 1)).ShouldAllBe(other => other == region);
            // A line that is drawn right before a number is that number's.
            var lines = text.ElementsBeforeSelf().Reverse().TakeWhile(element => element.Name == "line").ToList();
            inside.ShouldBe(lines.Count == 0);
            foreach (var line in lines)
            {
                var end = (X: Of(line, "x2"), Y: Of(line, "y2"));
                region.Box.Contains(end.X, end.Y).ShouldBeTrue();
                (region.Number == 1 && regions[1].Box.Contains(end.X, end.Y)).ShouldBeFalse();
            }
        }

        static int Of(XElement element, string name) => (int)element.Attribute(name)!;
    }

    // 1,600 dots in reading order, the largest in the last row: more than an overview has room for.
    [Fact]
    public void An_overview_numbers_the_largest_regions_that_have_room_and_the_table_has_all_by_size()
    {
        var art = Plane<Rgba8>.OneValue(1000, 1000, new Rgba8(80, 90, 100));
        ImmutableArray<ReportedRegion> dots = [.. Enumerable.Range(0, 1600).Select(i => new ReportedRegion(i + 1, new Box(i % 40 * 25, i / 40 * 25, 10, 10), 40 + (i / 400), i % 2 == 0))];
        var report = HarborArt.Report(art, art, Light);
        string dry = Written(stream => ReportPage.Write(stream, report with { Regions = [new ReportedRegions("dots", dots)] }, new RunPictures(art, art, art), StoredPng.Encode));
        string check = Written(stream => CheckPage.Write(stream, report.Art, new ChosenSetup(Light, true), Checked(report, [], dots), art, StoredPng.Encode));
        int[] bySize = [.. dots.OrderByDescending(dot => dot.Pixels).ThenBy(dot => dot.Number).Select(dot => dot.Number)];
        foreach (var (page, fewest) in ((string, int)[])[(dry, 50), (check, 4)])
        {
            var document = XDocument.Parse(page);
            var numbers = document.Descendants("svg").First(svg => (string?)svg.Attribute("class") == "marks").Descendants("text")
                .Select(text => (text.Value, X: (int)text.Attribute("x")!, Y: (int)text.Attribute("y")!, Size: (int)text.Attribute("font-size")!)).ToList();
            numbers.Count.ShouldBeGreaterThanOrEqualTo(fewest);
            int[] sizes = [.. numbers.Select(number => (int)dots[int.Parse(number.Value.Trim('(', ')')) - 1].Pixels)];
            sizes.ShouldBe(sizes.OrderDescending());
            numbers[0].Value.Trim('(', ')').ShouldBe($"{bySize[0]}");
            // A digit is at least half an em wide in every common typeface; common practice, no source.
            numbers.SelectMany((one, i) => numbers.Skip(i + 1).Select(other => (one, other)))
                .ShouldAllBe(pair => Math.Abs(pair.one.Y - pair.other.Y) >= pair.one.Size || Math.Abs(pair.one.X - pair.other.X) >= pair.one.Size / 2 * Math.Min(pair.one.Value.Length, pair.other.Value.Length));
            document.Descendants("p").ShouldContain(text => text.Value.Contains($"{numbers.Count} are numbered here") && text.Value.Contains($"{1600 - numbers.Count:#,0} are left out"));
            document.Descendants("tr").Where(row => row.Elements("td").Count() >= 4 && int.TryParse(row.Elements("td").First().Value, out _)).Select(row => int.Parse(row.Elements("td").First().Value)).ShouldBe(bySize);
        }
    }

    // At 300 ppi a px is 25.4 / 300 mm wide.
    [Fact]
    public void A_report_says_first_what_ink_is_lost_and_gained_in_area_and_pixels()
    {
        var before = Plane<Rgba8>.FromContiguous(60, 50, Enumerable.Range(0, 3000).Select(i => i % 60 < 30 ? new Rgba8(80, 90, 100) : Rgba8.White).ToArray());
        var after = Plane<Rgba8>.FromContiguous(60, 50, Enumerable.Range(0, 3000)
            .Select(i => i % 60 is >= 4 and < 31 ? new Rgba8(80, 90, 101) : Rgba8.White).ToArray());
        var change = ArtChange.Between(Artwork.FromPixels(before, 300), Artwork.FromPixels(after, 300), Light.Ink);
        var report = HarborArt.Report(before, before, Light) with { Change = change };
        var facts = XDocument.Parse(Written(stream => ReportPage.Write(stream, report, new RunPictures(before, after, before), StoredPng.Encode)))
            .Descendants("dl").First().Elements("div").ToList();
        facts.Take(3).Select(fact => $"{fact.Element("dt")!.Value}: {fact.Element("dd")!.Value}").ShouldBe([
            $"ink lost, 200 px: {200 * 25.4 / 300 * 25.4 / 300:0.00} mm²", $"ink gained, 50 px: {50 * 25.4 / 300 * 25.4 / 300:0.00} mm²",
            "pixels change: 1,550"]);
        facts.Select(fact => (string?)fact.Attribute("class")).Take(2).ShouldBe(["warn", null]);
    }

    [Fact]
    public void Unchanged_art_has_no_spot()
    {
        var art = Plane<Rgba8>.OneValue(60, 50, Rgba8.White);
        var document = XDocument.Parse(Report(pictures: (art, art)));
        document.Descendants("article").ShouldBeEmpty();
        document.Root!.Value.ShouldContain("Nothing changed.");
    }

    [Fact]
    public void A_changed_size_leaves_out_the_difference()
    {
        Plane<Rgba8> before = Plane<Rgba8>.OneValue(60, 50, Rgba8.White), after = Plane<Rgba8>.OneValue(30, 25, Rgba8.White);
        var report = HarborArt.Report(before, before, Light);
        report = report with { Change = report.Change with { Pixels = null } };
        var document = XDocument.Parse(Written(stream => ReportPage.Write(stream, report, new RunPictures(before, after, null), StoredPng.Encode)));
        document.Descendants("article").ShouldBeEmpty();
        document.Descendants("a").ShouldNotContain(link => (string?)link.Attribute("href") == "./diff.png");
        document.Root!.Value.ShouldContain("The size changes, so no pixel has another to be compared with; diff.png is after.png once more.");
    }

    // A list's whole: one recipe changed the size, and at another a guardrail put pixels back.
    [Fact]
    public void A_guardrail_that_tripped_beside_a_size_change_is_told()
    {
        Plane<Rgba8> before = Plane<Rgba8>.OneValue(60, 50, Rgba8.White), after = Plane<Rgba8>.OneValue(30, 25, Rgba8.White);
        var report = HarborArt.Report(before, before, Light);
        report = report with
        {
            Change = report.Change with { Pixels = null },
            Declared = report.Declared with { SizeChange = true },
            Guards = [.. report.Guards.Select(guard => guard.Name == Guardrails.AddedInk ? guard with { Pixels = 7, Outcome = GuardOutcome.Protected } : guard)],
        };
        var document = XDocument.Parse(Written(stream => ReportPage.Write(stream, report, new RunPictures(before, after, null), StoredPng.Encode)));
        Row(Guardrails.AddedInk).ShouldEndWith("put 7 px back");
        Row(Guardrails.LostToWhite).ShouldEndWith("not comparable, the size changed");
        Row(Guardrails.PrintedBox).ShouldEndWith("didn't trip");
        Pixels(report).ShouldBe([null, null, null, 7, 0, 0, 0, null]);
        // Where the size stays, a size change that was declared leaves every pixel comparable.
        Pixels(report with { Change = report.Change with { Pixels = ArtworkDiff.None } }).ShouldBe([0, 0, 0, 7, 0, 0, 0, 0]);

        static IEnumerable<long?> Pixels(RunReport report)
        {
            var json = new JsonObject();
            ReportJson.AddCounts(json, report);
            return json["guards"]!.AsArray().Select(guard => (long?)guard!["pixels"]);
        }

        string Row(string guard) => document.Descendants("tr").Single(row => row.Elements("td").FirstOrDefault()?.Value == guard).Value;
    }

    [Fact]
    public void White_ink_that_is_laid_is_shown_alone_on_the_cloth()
    {
        // Columns of no white, half of it and a solid, under art of one color. Half of white over the cloth is the mean of both, by
        // source-over compositing (W3C, Compositing and Blending Level 1, from memory).
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(90, 40, new Rgba8(200, 60, 40)));
        var ink = Plane<byte>.FromContiguous(90, 40, Enumerable.Range(0, 90 * 40).Select(i => (byte)(i % 90 / 30 * 127.5)).ToArray());
        var laid = art.WithLayer(Layer.Separation("underbase", LayerIntent.Underbase, ink));
        var setup = Light with { Garment = new Rgba8(20, 40, 61) };
        var white = Shown(laid).ShouldHaveSingleItem();
        white[75, 20].ShouldBe(Rgba8.White);
        var half = white[45, 20];
        (Math.Abs(half.R - 137.5) <= 1 && Math.Abs(half.G - 147.5) <= 1 && Math.Abs(half.B - 158) <= 1).ShouldBeTrue(half.ToString());
        Enumerable.Range(0, 30).Select(x => white[x, 20]).ShouldContain(new Rgba8(20, 40, 61));
        Enumerable.Range(0, 30).Select(x => white[x, 20]).ShouldAllBe(pixel => pixel.R < 100);
        Shown(laid.WithLayer(Layer.Separation("second", LayerIntent.SecondPass, ink))).Count.ShouldBe(2);
        Shown(null).ShouldBeEmpty();

        // A heading of zeros would say that nothing happens.
        var report = HarborArt.Report(art.Flat, art.Flat, setup);
        report = report with { Change = ArtChange.Between(art, laid, setup.Ink) };
        var page = XDocument.Parse(Written(stream => ReportPage.Write(stream, report, new RunPictures(art.Flat, art.Flat, art.Flat, laid), StoredPng.Encode)));
        page.Descendants("dl").First().Elements("div").First().Value.ShouldBe("pixels get white ink2,400");
        page.Root!.Value.ShouldNotContain("Nothing changed.");

        // The pictures of the section, in order: what was encoded stands in the page at its place.
        List<Plane<Rgba8>> Shown(Artwork? planes)
        {
            var encoded = new Dictionary<string, Plane<Rgba8>>();
            string page = Written(stream => ReportPage.Write(stream, HarborArt.Report(art.Flat, art.Flat, setup), new RunPictures(art.Flat, art.Flat, art.Flat, planes), picture =>
            {
                byte[] png = StoredPng.Encode(picture);
                encoded["data:image/png;base64," + Convert.ToBase64String(png)] = picture;
                return png;
            }));
            return [.. XDocument.Parse(page).Descendants("section").Where(section => (string?)section.Attribute("id") == "white").Descendants("img").Select(image => encoded[(string)image.Attribute("src")!])];
        }
    }

    [Fact]
    public void A_tick_off_sheet_has_a_box_for_each_piece_and_keeps_hostile_text_in_its_place()
    {
        Order Order(int number, int quantity) => new()
        {
            Number = number, Art = Hostile, Recipe = Hostile, Quantity = quantity, Label = Hostile, Stem = "a",
            Places = System.Collections.Immutable.ImmutableDictionary<string, Problems.Place>.Empty,
        };
        var small = TickOffPage.Small(Artwork.FromPixels(Plane<Rgba8>.OneValue(400, 300, new Rgba8(80, 90, 100))), Light);
        (small.Width, small.Height).ShouldBe((80, 60));
        string text = Written(stream => TickOffPage.Write(stream, "../" + Hostile + ".csv",
            [new(Order(1, 3), Hostile, small, Hostile, [], [], null),
                new(Order(2, 40), "light-garment", small, "b.png", [new Finding("low-resolution", "72 pixels < 150", 4, null, null)], [], null),
                new(Order(3, 5), "light-garment", null, null, [], [], Hostile)], StoredPng.Encode));
        var document = XDocument.Parse(text);
        var rows = document.Descendants("tbody").Elements("tr").ToList();
        rows.Select(row => row.Descendants("span").Count(span => (string?)span.Attribute("class") == "box")).ShouldBe([3, 1, 0]);
        rows[1].Value.ShouldContain("all 40");
        rows.Select(row => row.Elements("td").ElementAt(3).Value).ShouldBe(["", "72 pixels < 150", Hostile.Replace('\u0007', '\uFFFD').Replace('\u202E', '\uFFFD')]);
        rows[2].Value.ShouldContain("Don't print.");
        document.Descendants("dd").Select(fact => fact.Value).ShouldBe(["43", "2", "1"]);
        document.Descendants("script").ShouldBeEmpty();
        document.Descendants().Attributes().ShouldAllBe(attribute => !attribute.Name.LocalName.StartsWith("on") && attribute.Name != "style");
        Policy(text).ShouldContain("script-src 'none'");
        // Four texts of the first row, label and recipe of the second, four of the third.
        document.Descendants("bdi").Count(shown => shown.Value == Hostile.Replace('\u0007', '\uFFFD').Replace('\u202E', '\uFFFD')).ShouldBe(10);
    }

    [Fact]
    public void A_sheet_knows_the_list_it_was_made_from()
    {
        string folder = Directory.CreateTempSubdirectory("recipes-page-").FullName, sheet = Path.Combine(folder, "orders.html");
        try
        {
            File.WriteAllText(sheet, Written(stream => TickOffPage.Write(stream, "../orders.csv", [], StoredPng.Encode)));
            TickOffPage.IsOf(sheet, Path.Combine(folder, "..", "orders.csv")).ShouldBeTrue();
            TickOffPage.IsOf(sheet, Path.Combine(folder, "orders.csv")).ShouldBeFalse();
            foreach (string other in (string[])["", "<html><header/></html>", "<!DOCTYPE a [<!ENTITY x SYSTEM \"file:///etc/passwd\">]><a>&x;</a>", "my notes"])
            {
                File.WriteAllText(sheet, other);
                TickOffPage.IsOf(sheet, Path.Combine(folder, "..", "orders.csv")).ShouldBeFalse();
            }
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [Fact]
    public void A_browser_runs_the_script_under_the_policy()
    {
        string browser = Browser.Needed();
        var folder = Directory.CreateTempSubdirectory("recipes-page-");
        try
        {
            foreach (string html in new[] { Report(), Check() })
            {
                string file = Path.Combine(folder.FullName, "page.html"), picture = Path.Combine(folder.FullName, "page.png");
                File.WriteAllText(file, html);
                string dom = Browser.Run(browser, folder.FullName, "--dump-dom", file);
                // The script sets this class first thing; a hash that didn't fit would leave it out.
                dom.ShouldContain("class=\"js\"");
                Browser.Run(browser, folder.FullName, $"--screenshot={picture}", file);
                new FileInfo(picture).Length.ShouldBeGreaterThan(10_000);
            }
        }
        finally
        {
            try
            {
                folder.Delete(recursive: true);
            }
            catch (IOException)
            {
                // A helper of the browser's may still write its profile there after the browser itself has ended.
            }
        }
    }

    private static string Policy(string page) => XDocument.Parse(page).Descendants("meta")
        .Single(meta => (string?)meta.Attribute("http-equiv") == "Content-Security-Policy").Attribute("content")!.Value;

    private static string Report(string title = "Make enclosed whites printable", (Plane<Rgba8> Before, Plane<Rgba8> After)? pictures = null)
    {
        var (before, after) = pictures ?? HarborArt.Draw(300, 342, black: false);
        var report = HarborArt.Report(before, after, Light, title);
        report = report with { Art = report.Art with { Path = title } };
        var boxes = report.Regions[0].Regions.Select(region => new NumberedBox(region.Number, region.Box, region.Chosen)).ToArray();
        var diff = DiffPicture.Render(before, after, Light.Ink, boxes);
        return Written(stream => ReportPage.Write(stream, report, new RunPictures(before, after, diff), StoredPng.Encode));
    }

    private static string Check(string message = "2,345 px around the art would print as dust.")
    {
        var (before, _) = HarborArt.Draw(300, 342, black: false);
        var report = HarborArt.Report(before, before, Light);
        ImmutableArray<Finding> findings = [new("near-white-background", message, 2345, new Box(3, 4, 50, 60), "clean-background")];
        return Written(stream => CheckPage.Write(
            stream, report.Art, new ChosenSetup(Light, true), Checked(report, findings, report.Regions[0].Regions), before, StoredPng.Encode));
    }

    private static ArtCheck Checked(RunReport report, ImmutableArray<Finding> findings, ImmutableArray<ReportedRegion> whites) =>
        new(report.Ink.Before, 300, findings, new ReportedRegions("enclosed white", whites), null)
        {
            PrintPpi = 300, PlatenPpi = 40, Ground = report.Ground, EnclosedWhiteCount = whites.Length,
        };

    private static string Written(Action<Stream> write)
    {
        using var stream = new MemoryStream();
        write(stream);
        return Encoding.UTF8.GetString(stream.ToArray());
    }
}
