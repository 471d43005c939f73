using System.Collections.Immutable;
using System.Text;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tests.Work;
using Recipes.Hosting.Tickets;
using Recipes.Imaging;
using Recipes.Work;

namespace Recipes.Hosting.Tests.Pages;

/// <summary>The ticket's page: text stays text, nothing comes from outside, and one sheet of either paper holds the fullest one.</summary>
public class TicketPageTests
{
    private const string Hostile = "<script>alert(1)</script> \"' ]]> --> &amp; \u0007 \u202Egnp.exe";

    // As long and as wide as what a shop or a customer writes may come, and longer than the sheet has room for.
    private static readonly string Wide = string.Concat(Enumerable.Repeat("WWWWWWWWW ", 60));

    [Fact]
    public void It_is_well_formed_needs_nothing_from_outside_and_has_no_script()
    {
        var document = XDocument.Parse(Written(Simple()));
        document.Descendants().Attributes("src").ShouldAllBe(source => source.Value.StartsWith("data:image/png;base64,"));
        document.Descendants("img").Count().ShouldBe(2);
        document.Descendants().Attributes("href").ShouldBeEmpty();
        document.Descendants().Attributes("style").ShouldBeEmpty();
        document.Descendants("script").ShouldBeEmpty();
        Policy(document).ShouldContain("script-src 'none'");
        Policy(document).ShouldStartWith("default-src 'none'; img-src data:; style-src 'sha256-");
        string text = document.Root!.Value;
        foreach (string word in (string[])["a simulation on a screen, not a proof", "local rules apply", "safety data sheets", "Sign-off", "none noted", "Not printed before", "#f07820", "not estimated, since the setup has no ink constants"])
        {
            text.ShouldContain(word);
        }
    }

    [Fact]
    public void The_same_ticket_is_the_same_bytes() => Written(Simple()).ShouldBe(Written(Simple()));

    [Fact]
    public void Hostile_text_stays_text()
    {
        string page = Written(Fullest(Hostile, tall: false));
        Regex.Count(page, "<script").ShouldBe(0);
        page.ShouldNotContain('\u202E');
        page.ShouldNotContain('\u0007');
        XDocument.Parse(page).Descendants("bdi").Count(text => text.Value.StartsWith("<script>alert(1)", StringComparison.Ordinal)).ShouldBeGreaterThan(6);
    }

    [Fact]
    public void What_does_not_fit_is_counted()
    {
        string text = XDocument.Parse(Written(Fullest(Wide, tall: false))).Root!.Value;
        text.ShouldContain("TEST FIRST");
        text.ShouldContain("The last 5 of 30; 'recipes history' lists all.");
        text.ShouldContain("And 5 more: 'recipes check' lists all.");
        text.ShouldContain("And 10 more: 'recipes ticket' tells all.");
        // The ink as a range in milliliters, its white, and what staying bare saves.
        Regex.IsMatch(text, @"Ink: \d+\.\d+ to \d+\.\d+ mL of ink, \d+\.\d+ to \d+\.\d+ mL of it white underbase; what stays bare saves \d+\.\d+ to \d+\.\d+ mL").ShouldBeTrue();
        text.ShouldContain("Brackets around the colors that may have shifted");
    }

    // Read back by a library that shares no code with the one that made it; every module is drawn 4 px wide, as a printer of 300 dpi would at 28 mm.
    [Theory]
    [InlineData(null, "state=HASH")]
    [InlineData("H-1042", "state=HASH order=H-1042")]
    [InlineData("<b> \"Möwe\" 港 1/2 & 3", "state=HASH order=<b> \"Möwe\" 港 1/2 & 3")]
    [InlineData("WIDE", "state=HASH order=WIDE")]
    public void Its_code_is_read_by_another_library_and_tells_the_order_and_the_hash(string? order, string expected)
    {
        // The longest value that a field takes, in characters of three bytes.
        string wide = new('港', TicketField.Longest);
        string? said = order?.Replace("WIDE", wide, StringComparison.Ordinal);
        var ticket = Simple() with { Fields = said is null ? [] : TicketField.Read(["quantity=24", $"order={said}"]) };
        Read(Written(ticket)).ShouldBe(expected.Replace("HASH", new string('b', 64), StringComparison.Ordinal).Replace("WIDE", wide, StringComparison.Ordinal));
    }

    [Fact]
    public void The_code_holds_the_hash_of_the_file_that_was_exported_last_from_this_state()
    {
        string folder = Sample.Folder();
        try
        {
            var art = Sample.Noise(3, 60, 40);
            using var work = WorkFile.Create(Path.Combine(folder, "a.work"), Sample.Original, art);
            work.Commit("light-garment", 0, Sample.Record(), Sample.Edited(art, new Box(0, 0, 9, 9), Rgba8.Black));
            var state = State(art.Flat, SetupStore.Shipped[0], "a.png") with { File = new ArtFile("a.png", [], work.Original.Sha256), Work = work, Step = 1 };
            TicketCode.Of(state, []).ShouldBe(new TicketCode($"state={new string('b', 64)}", null));
            // Of another step, an earlier one, the picture, and beside it its plane of white ink.
            foreach (var (path, hash, step, minute) in ((string, char, int, int)[])
                [("zero.png", '0', 0, 9), ("old.png", '1', 1, 1), ("new.png", '2', 1, 5), ("new-underbase.png", '3', 1, 5)])
            {
                work.RecordExport("light-garment", new ExportRecord(path, new string(hash, 64), step, Sample.Noon.AddMinutes(minute)));
            }

            // Another file of that name, sent since, was never exported.
            TicketCode.Of(state with { File = new ArtFile("a.png", [], new string('c', 64)) }, []).Export.ShouldBeNull();
            var ticket = Simple() with { State = state };
            ticket.Code.ShouldBe(new TicketCode($"export={new string('2', 64)}", new string('2', 64)));
            string page = Written(ticket);
            Read(page).ShouldBe(ticket.Code.Text);
            XDocument.Parse(page).Descendants("p").Single(text => (string?)text.Attribute("class") == "hashes").Elements("code").Select(code => code.Value)
                .ShouldBe([work.Original.Sha256, new string('b', 64), new string('2', 64)]);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    /// <summary>However many steps were kept since: the press has nothing else to go by.</summary>
    [Theory]
    [InlineData("place", "collar", "left-chest", "left-chest, adult; platen's top edge 1.5in below the collar")]
    [InlineData("fit-to-platen.place", "fit-to-platen.collar", "back", "back, adult; platen's top edge 1.5in below the collar")]
    [InlineData("place", "collar", "platen", null)]
    public void The_place_on_the_garment_is_told(string place, string collar, string value, string? told)
    {
        var sized = Sample.Record("fit-to-platen") with { Parameters = System.Collections.Immutable.ImmutableSortedDictionary<string, string>.Empty
            .Add(place, value).Add(collar, "1.5in") };
        var since = Enumerable.Range(2, 8).Select(number => new WorkStep(number, number - 1, StepState.Done, Sample.Record()));
        var ticket = Simple() with { Steps = [new WorkStep(1, 0, StepState.Done, sized), .. since] };
        var rows = XDocument.Parse(Written(ticket)).Descendants("tr").Where(row => row.Element("th")?.Value == "Place").Select(row => row.Element("td")!.Value);
        rows.ShouldBe(told is null ? [] : [told]);
    }

    [Fact]
    public void The_order_stands_large_and_the_art_lies_on_cloth()
    {
        var encoded = new List<Plane<Rgba8>>();
        using var stream = new MemoryStream();
        var ticket = Simple() with { Fields = TicketField.Read(["sizes=S 4, M 12", "order=H-1042"]) };
        TicketPage.Write(stream, ticket, [], picture =>
        {
            encoded.Add(picture);
            return StoredPng.Encode(picture);
        });
        var page = XDocument.Parse(Encoding.UTF8.GetString(stream.ToArray()));
        page.Descendants("dl").Single().Elements("div").Select(field => $"{field.Element("dt")!.Value}: {field.Element("dd")!.Value}")
            .ShouldBe(["Order number: H-1042", "Garment sizes: S 4, M 12"]);
        // Cloth on all four sides: the garment's color and its weave, and nothing else.
        var (art, cloth) = (encoded[0], ticket.State.Setup.Garment);
        Enumerable.Range(0, art.Width).SelectMany(x => (Rgba8[])[art[x, 3], art[x, art.Height - 4]])
            .Concat(Enumerable.Range(0, art.Height).SelectMany(y => (Rgba8[])[art[3, y], art[art.Width - 4, y]]))
            .Distinct().Count().ShouldBe(2);
        art[0, 0].ShouldBe(cloth.WithAlpha(255));
        (art.Width > 300 && art.Height > 342).ShouldBeTrue();
    }

    private static string Read(string page)
    {
        const int scale = 4;
        var symbol = XDocument.Parse(page).Descendants("svg").Single(svg => (string?)svg.Attribute("class") == "code");
        int side = int.Parse(((string)symbol.Attribute("viewBox")!).Split(' ')[2]);
        var light = Enumerable.Repeat((byte)255, side * scale * side * scale).ToArray();
        foreach (Match bar in Regex.Matches((string)symbol.Element("path")!.Attribute("d")!, @"M(\d+) (\d+)h(\d+)v1h-(\d+)z"))
        {
            int x = int.Parse(bar.Groups[1].Value), y = int.Parse(bar.Groups[2].Value), width = int.Parse(bar.Groups[3].Value);
            for (int row = y * scale; row < (y + 1) * scale; row++)
            {
                light.AsSpan((row * side * scale) + (x * scale), width * scale).Clear();
            }
        }

        var source = new ZXing.RGBLuminanceSource(light, side * scale, side * scale, ZXing.RGBLuminanceSource.BitmapFormat.Gray8);
        var found = new ZXing.QrCode.QRCodeReader().decode(new ZXing.BinaryBitmap(new ZXing.Common.HybridBinarizer(source)));
        return found.ShouldNotBeNull().Text;
    }

    // Letter is the shorter sheet, A4 the narrower one (ISO 216; ANSI/ASME Y14.1). Pages are counted as the PDF states them
    // (ISO 32000, 7.7.3: Count of the page tree).
    [Theory]
    [InlineData("A4")]
    [InlineData("Letter")]
    public void A_browser_prints_the_fullest_ticket_on_one_sheet(string paper)
    {
        string browser = Browser.Needed();
        var folder = Directory.CreateTempSubdirectory("recipes-ticket-");
        try
        {
            foreach (var ticket in Tickets())
            {
                string file = Path.Combine(folder.FullName, "ticket.html"), pdf = Path.Combine(folder.FullName, "ticket.pdf");
                // The browser's own default paper is set by its country; the page itself fits either.
                string page = Regex.Replace(Written(ticket), "<meta http-equiv[^>]*>", "").Replace("@page {", $"@page {{ size: {paper};", StringComparison.Ordinal);
                File.WriteAllText(file, page);
                Browser.Run(browser, folder.FullName, $"--print-to-pdf={pdf}", file, "--no-pdf-header-footer");
                Regex.Matches(Encoding.Latin1.GetString(File.ReadAllBytes(pdf)), @"/Count (\d+)").ShouldHaveSingleItem().Groups[1].Value
                    .ShouldBe("1", $"{ticket.Steps.Length} steps, {ticket.Check.Findings.Length} findings, {ticket.Notes.Length} notes");
            }
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private static Ticket Simple() => Ticket.Of(State(HarborArt.Draw(300, 342, black: false).Before, SetupStore.Shipped[0], "harbor-run.png"));

    // The fullest, and those just below the point from which everything is set smaller.
    private static IEnumerable<Ticket> Tickets()
    {
        yield return Simple();
        yield return Simple() with { Fields = TicketField.Read(["order=H-1042", "reference=harbor fun run", "quantity=24", "sizes=S 4, M 12, L 8"]) };
        var tall = Fullest(Wide, tall: true);
        yield return tall;
        yield return Fullest(Wide, tall: false);
        var few = tall with { Repeat = new Repeat(tall.Repeat.LastGood, tall.Repeat.BadSince, tall.Repeat.Changes[..2], []) };
        yield return few with { Steps = [], Check = tall.Check with { Findings = [] }, Notes = tall.Notes[..1] };
        few = few with { LastBad = null, Notes = [] };
        foreach (var (steps, findings) in ((int, int)[])[(0, 0), (0, 2), (0, 3), (2, 4)])
        {
            yield return few with { Fields = [], Steps = tall.Steps[..steps], Check = tall.Check with { Findings = tall.Check.Findings[..findings] } };
        }
    }

    // More of everything than any real ticket has.
    private static Ticket Fullest(string text, bool tall)
    {
        var setup = SetupStore.Shipped[1] with
        {
            InkLot = text, Pretreatment = text, Chart = new ChartReference(text, new string('c', 64), "2026-03-01"),
            InkConstants = new InkConstants(900, 1.1),
        };
        var state = State(HarborArt.Draw(tall ? 100 : 300, tall ? 900 : 342, black: false).Before, setup, text) with { Step = 30 };
        var earlier = new EarlierPrint(text, Sample.Print(29, note: text) with { By = text });
        return new Ticket(
            state,
            ArtCheck.Of(state.Art, setup) with { Findings = [.. Enumerable.Range(0, 12).Select(i => new Finding($"near-white-background-{i}", text, 5, null, null))] },
            [.. Enumerable.Range(1, 30).Select(i => new WorkStep(i, i - 1, StepState.Done, Sample.Record(text, text) with
            {
                Parameters = ImmutableSortedDictionary<string, string>.Empty.Add("except", text),
            }))],
            [.. Enumerable.Range(0, 8).Select(i => new MainColor(new Rgba8((byte)(i * 30), 120, 200), 100, 0.125))],
            new Repeat(earlier, earlier, [.. Enumerable.Range(0, 16).Select(i => new PrintChange("file's underbase", text, text))],
                [.. Enumerable.Range(0, 8).Select(i => new MainColor(new Rgba8((byte)(i * 30), 120, 200), 100, 0.125))]))
        {
            Fields = [.. Enumerable.Range(0, TicketField.Most).Select(i => new TicketField($"field-{i}", text[..Math.Min(text.Length, TicketField.Longest)]))],
            LastBad = earlier with { Print = earlier.Print with { IsGood = false, Cause = "mottled-black" } },
            Notes = [.. Enumerable.Range(0, 7).Select(i => new ArtNote(text, text, Sample.Noon))],
        };
    }

    [Fact]
    public void It_begins_with_the_last_print_where_that_was_bad_and_has_the_newest_notes()
    {
        var bad = new EarlierPrint("light-garment", Sample.Print(0, good: false, "left of the sail") with { Cause = "dust" });
        var notes = Enumerable.Range(1, 5).Select(i => new ArtNote($"note number {i}", null, Sample.Noon));
        string text = XDocument.Parse(Written(Simple() with { LastBad = bad, Notes = [.. notes] })).Descendants("main").Single().Value;
        text.IndexOf("The last print was bad: dust (", StringComparison.Ordinal).ShouldBeLessThan(text.IndexOf("harbor-run.png", StringComparison.Ordinal));
        text.ShouldContain("left of the sail");
        text.ShouldNotContain("note number 2");
        text.IndexOf("note number 3", StringComparison.Ordinal).ShouldBeLessThan(text.IndexOf("note number 5", StringComparison.Ordinal));
        text.ShouldContain("Note 3 of 5: ");
        XDocument.Parse(Written(Simple())).Descendants("strong")
            .ShouldAllBe(said => !Regex.IsMatch(said.Value, "^(Note|The last print)"));
    }

    private static ArtState State(Plane<Rgba8> pixels, GarmentSetup setup, string name)
    {
        var art = new Artwork(pixels.Width, pixels.Height, 300, Artwork.FromPixels(pixels).Layers);
        return new ArtState
        {
            File = new ArtFile(name, [], new string('a', 64)),
            Art = art,
            Identity = new ArtIdentity(name, new string('a', 64), art.Width, art.Height, 300, "PNG, 8-bit RGBA", []),
            Step = 0,
            StateSha256 = new string('b', 64),
            Setup = setup,
            SetupIsFallback = false,
            Work = null,
        };
    }

    private static string Written(Ticket ticket)
    {
        using var stream = new MemoryStream();
        TicketPage.Write(stream, ticket, ticket.Brackets("orders/of a long name/black-garment-with-lots.json"), StoredPng.Encode);
        return Encoding.UTF8.GetString(stream.ToArray());
    }

    private static string Policy(XDocument page) => page.Descendants("meta")
        .Single(meta => (string?)meta.Attribute("http-equiv") == "Content-Security-Policy").Attribute("content")!.Value;
}
