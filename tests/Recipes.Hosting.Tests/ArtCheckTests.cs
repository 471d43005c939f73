using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Imaging;

namespace Recipes.Hosting.Tests;

/// <summary>What <c>check</c> finds in drawings of which every count is known by how they are made.</summary>
public class ArtCheckTests
{
    // 300 ppi: 0.3 mm are 3.54 px, so lines and gaps of 1 and 2 px are certainly thinner; 0.06 mm2 are 8.4 px2.
    private const double Ppi = 300;
    private static readonly Rgba8 Ink = new(20, 60, 140), Paper = Rgba8.White;
    private static readonly GarmentSetup Light = SetupStore.Shipped.Single(setup => setup.Name == "light-garment");
    private static readonly GarmentSetup Black = SetupStore.Shipped.Single(setup => setup.Name == "black-garment");

    [Fact]
    public void A_clean_drawing_has_no_finding()
    {
        // Blocks, a stroke of 4 px, a gap of 4 px, a pointed sail.
        var art = Draw(300, 200, (x, y) =>
            (x is >= 20 and < 80 && y is >= 20 and < 80) || (x is >= 84 and < 140 && y is >= 20 and < 80) || (x is >= 20 and < 280 && y is >= 120 and < 124)
            || (x - 160 is >= 0 and < 60 && y - 20 is >= 0 and < 80 && x - 160 <= (y - 20) * 0.7));
        foreach (var setup in (GarmentSetup[])[Light, Black])
        {
            ArtCheck.Of(art, setup).Findings.ShouldBeEmpty();
        }
    }

    [Fact]
    public void Near_white_background_is_counted_and_boxed()
    {
        // Paper that is one level off from x = 150 on, 100 px high; the block of 60 x 60 px in it prints.
        var art = Made(300, 100, (x, y) => x is >= 200 and < 260 && y is >= 20 and < 80 ? Ink : x >= 150 ? new Rgba8(254, 254, 254) : Paper);
        foreach (var setup in (GarmentSetup[])[Light, Black])
        {
            var finding = ArtCheck.Of(art, setup).Findings.ShouldHaveSingleItem();
            (finding.Code, finding.Pixels, finding.Box, finding.Recipe).ShouldBe(("near-white-background", (150 * 100) - (60 * 60), new Box(150, 0, 150, 100), "clean-background"));
        }
    }

    [Fact]
    public void Paper_of_another_color_is_one_rectangle_on_cloth_that_contrasts()
    {
        // Cream is CIEDE2000 7.6 from white, so on a white shirt its rectangle hardly shows.
        var art = Made(300, 100, (x, y) => x is >= 200 and < 260 && y is >= 20 and < 80 ? Ink : new Rgba8(255, 248, 231));
        foreach (var (setup, code, asked) in ((GarmentSetup, string, int)[])[(Black, "printed-rectangle", 1), (Light, "near-white-background", 0)])
        {
            var check = ArtCheck.Of(art, setup);
            var finding = check.Findings.ShouldHaveSingleItem();
            (finding.Code, finding.Pixels, finding.Box, finding.Recipe).ShouldBe((code, (300 * 100) - (60 * 60), new Box(0, 0, 300, 100), "clean-background"));
            check.Questions.Count(question => question.Answer == "clean-background.paper=keep").ShouldBe(asked);
        }
    }

    [Fact]
    public void A_picture_that_fills_its_frame_is_a_rectangle_where_its_border_contrasts()
    {
        var art = Made(300, 200, (x, y) => x is >= 100 and < 200 && y is >= 60 and < 140 ? new Rgba8(240, 120, 20) : Ink);
        var check = ArtCheck.Of(art, Light);
        var finding = check.Findings.ShouldHaveSingleItem();
        (finding.Code, finding.Box, finding.Recipe).ShouldBe(("printed-rectangle", new Box(0, 0, 300, 200), null));
        check.Questions.ShouldHaveSingleItem().Answer.ShouldBe("clean-background.paper=keep");
        // On cloth of about its border's color there is none.
        ArtCheck.Of(art, Light with { Garment = new Rgba8(22, 62, 138) }).Findings.Select(other => other.Code).ShouldNotContain("printed-rectangle");
    }

    [Fact]
    public void Near_black_and_bare_black_are_counted_and_boxed_on_black_only()
    {
        // 24,24,24 is L* 8.3, within the trade's 5 to 13 (common practice); navy is as dark and has its chroma.
        var art = Made(300, 100, (x, y) => y is < 20 or >= 80 ? Paper
            : x is >= 20 and < 80 ? new Rgba8(24, 24, 24) : x is >= 120 and < 180 ? Rgba8.Black : x is >= 220 and < 280 ? new Rgba8(10, 20, 60) : Paper);
        ArtCheck.Of(art, Light).Findings.ShouldBeEmpty();
        ArtCheck.Of(art, Black).Findings.Select(finding => (finding.Code, finding.Pixels, finding.Box, finding.Recipe)).ShouldBe(
            [("near-black", 3600, new Box(20, 20, 60, 60), "pure-black"), ("bare-black", 3600, new Box(120, 20, 60, 60), "print-black")]);
    }

    [Fact]
    public void Nobody_is_sent_to_drop_all_that_prints()
    {
        var (clear, black) = (default(Rgba8), Rgba8.Black);
        var art = Made(300, 100, (x, y) => y is < 20 or >= 80 ? clear : x is >= 20 and < 80 ? new Rgba8(24, 24, 24) : x is >= 120 and < 180 ? black : clear);
        ArtCheck.Of(art, Black).Findings.Select(finding => (finding.Code, finding.Recipe)).ShouldBe([("near-black", null), ("bare-black", "print-black")]);
    }

    [Fact]
    public void Near_black_tells_what_the_recipe_would_take_and_what_it_would_leave_and_why()
    {
        // A drawn block of 60 x 60 px, a slow ramp from 8 to 33 levels, of which the last is L* 12.7 (IEC 61966-2-1), and even black that runs into a glow.
        var art = Made(400, 300, (x, y) => x is >= 20 and < 80 && y is >= 20 and < 80 ? new Rgba8(24, 24, 24)
            : y >= 110 ? Gray(12 + Math.Max(0, (x - 250) * 3 / 2)) : x >= 100 && y < 90 ? Gray(8 + ((x - 100) / 5)) : Paper);
        var check = ArtCheck.Of(art, Black);
        var finding = check.Findings.First(found => found.Code == "near-black");
        (finding.Pixels, finding.Box, finding.Recipe).ShouldBe((3600, new Box(20, 20, 60, 60), "pure-black"));
        finding.Message.ShouldContain("pure-black takes 3,600 and leaves");
        finding.Message.ShouldContain("of even black that runs into a fade");
        finding.Message.ShouldContain("of shadow, texture or soft edges");
        // What is pale of its edge is a ramp, and no paper.
        check.Questions.Select(question => (question.Code, question.Answer)).ShouldBe([("near-black", "pure-black.fade=drop")]);
        ArtCheck.Of(art, Light).Questions.ShouldNotContain(question => question.Code == "near-black");

        static Rgba8 Gray(int level) => new((byte)Math.Min(255, level), (byte)Math.Min(255, level), (byte)Math.Min(255, level));
    }

    [Fact]
    public void Exact_black_scattered_in_a_shadow_is_told()
    {
        // Each 0,0,0 stands alone among levels of 3 to 12, as in the noise of a night photograph.
        var art = Made(200, 200, (x, y) =>
            x % 7 == 3 && y % 5 == 2 ? Rgba8.Black
            : new Rgba8((byte)(3 + (((x * 5) + (y * 3)) % 10)), (byte)(3 + (((x * 5) + (y * 3)) % 10)), (byte)(3 + (((x * 5) + (y * 3)) % 10))));
        int scattered = Enumerable.Range(1, 198).Sum(y => Enumerable.Range(1, 198).Count(x => x % 7 == 3 && y % 5 == 2));
        ArtCheck.Of(art, Black).Findings.First(finding => finding.Code == "bare-black")
            .Message.ShouldContain($"{scattered:N0} of them, scattered in a shadow");
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void A_thin_line_is_counted_and_boxed(int width)
    {
        var check = ArtCheck.Of(Draw(200, 100, (x, y) => (x is >= 10 and < 190 && y >= 30 && y < 30 + width) || (x is >= 10 and < 60 && y is >= 50 and < 90)), Light);
        var finding = check.Findings.ShouldHaveSingleItem();
        (finding.Code, finding.Pixels, finding.Box, finding.Recipe).ShouldBe(("thin-lines", 180L * width, new Box(10, 30, 180, width), null));
        check.InkBox.ShouldBe(new Box(10, 30, 180, 60));
    }

    [Fact]
    public void A_thin_gap_is_counted_and_boxed()
    {
        // Two blocks 2 px apart, 60 px high.
        var finding = ArtCheck.Of(Draw(200, 100, (x, y) => y is >= 20 and < 80 && x is >= 20 and < 180 && x is not (100 or 101)), Light).Findings.ShouldHaveSingleItem();
        finding.Code.ShouldBe("thin-gaps");
        // The ends widen to the open background, so a px or so at each isn't counted.
        finding.Pixels.ShouldBeInRange(2 * 52, 2 * 60);
        finding.Box!.Value.X.ShouldBe(100);
        finding.Box.Value.Width.ShouldBe(2);
    }

    [Fact]
    public void The_resolution_is_told_at_the_stated_size_and_at_the_platens()
    {
        // The ink is 500 of 600 px wide; 14 in less twice 0.25 in of margin are 13.5 in, so 500 px give 37 ppi there.
        var check = ArtCheck.Of(Draw(600, 400, (x, y) => x is >= 50 and < 550 && y is >= 50 and < 350), Light);
        check.EffectivePpi.ShouldBe(Ppi);
        check.PlatenPpi.ShouldBe(500 / 13.5, 1e-9);
        check.Findings.ShouldBeEmpty();
        // Taller than the platen's shape: 15.5 in of height bind.
        ArtCheck.Of(Draw(100, 310, (x, y) => x is >= 20 and < 80 && y is >= 20 and < 290), Light).PlatenPpi.ShouldBe(270 / 15.5, 1e-9);
    }

    [Fact]
    public void A_stated_size_below_the_floor_or_larger_than_the_platen_is_found()
    {
        // 72 ppi: the page of a picture from the web. 1,100 px are 15.3 in, and the platen has 14; the ink has 6.
        var art = Draw(1100, 400, (x, y) => x is >= 100 and < 532 && y is >= 50 and < 350);
        var findings = ArtCheck.Of(new Artwork(art.Width, art.Height, 72, art.Layers), Light).Findings;
        findings.Select(finding => finding.Code).ShouldBe(["off-platen", "low-resolution"]);
        findings[1].Message.ShouldContain("below the floor of 150");
        // 432 x 300 px of ink, at 200.
        findings[1].Message.ShouldContain("Its ink has 200 at 2.16 x 1.50 in.");
        // Its 432 px of ink fill the platen at 32 ppi; 150, the floor, they have at 2.88 in.
        (findings[0].Recipe, findings[0].Box, findings[0].Set).ShouldBe(("fit-to-platen", null, "width=2.88in"));
        findings[0].Message.ShouldContain("15.28 x 5.56 in");
        // A file that is the platen has no such finding, however its resolution was rounded on the way (300 ppi are 11811 px per meter).
        var whole = Draw(4200, 300, (x, y) => x is >= 400 and < 900 && y is >= 50 and < 250);
        ArtCheck.Of(new Artwork(whole.Width, whole.Height, 11811 * 0.0254, whole.Layers), Light).Findings.ShouldBeEmpty();
        // Nor has one that is a px larger; 14 in at 300 ppi are 4200 px.
        ArtCheck.Of(Draw(4201, 300, (x, y) => x is >= 400 and < 900 && y is >= 50 and < 250), Light).Findings.ShouldBeEmpty();
        ArtCheck.Of(Draw(4202, 300, (x, y) => x is >= 400 and < 900 && y is >= 50 and < 250), Light).Findings.ShouldHaveSingleItem().Code.ShouldBe("off-platen");
    }

    [Fact]
    public void Art_that_states_no_resolution_is_measured_as_everywhere_and_never_off_the_platen()
    {
        // 5,400 px of ink from edge to edge would be 18 in at the setup's 300 ppi; inside the margin the platen has 13.5 in.
        var wide = Unstated(Draw(5400, 60, (_, _) => true));
        var check = ArtCheck.Of(wide, Light);
        check.EffectivePpi.ShouldBe(400, 1e-9);
        check.Findings.ShouldNotContain(finding => finding.Code == "off-platen" || finding.Code == "low-resolution");
        // Margins whose double isn't exact.
        ArtCheck.Of(wide, Light with { SafeMargin = 0.3 }).Findings.ShouldNotContain(finding => finding.Code == "off-platen");

        // Nor is a picture of the platen's own size in px, which would reach into the margin: nobody has said that it shall be printed as large.
        ArtCheck.Of(Unstated(Draw(4200, 4800, (_, _) => true)), Light).Findings.Select(finding => finding.Code).ShouldBe(["printed-rectangle"]);
        ArtCheck.Of(Draw(4200, 4800, (_, _) => true), Light).Findings.Select(finding => finding.Code).ShouldBe(["off-platen", "printed-rectangle"]);

        // A house that takes such art at 150 ppi is told so, in its own words.
        var low = ArtCheck.Of(Unstated(Draw(600, 400, (x, y) => x is >= 50 and < 550 && y is >= 50 and < 350)), Light with { PixelsPerInch = 150 });
        low.EffectivePpi.ShouldBe(150);
        low.Findings.ShouldHaveSingleItem().Message.ShouldStartWith("150 pixels per printed inch (none stated; the setup's): below 200");

        static Artwork Unstated(Artwork art) => new(art.Width, art.Height, null, art.Layers);
    }

    // 252 px were enlarged to 600, which print 2 in wide at 300 ppi: 252 / 2 = 126. Their 500 x 300 px of ink would have 200 at 1.05 in,
    // and fill 13.5 in of platen with 210 px of ink at 15.6.
    [Fact]
    public void New_pixels_are_no_resolution()
    {
        var drawn = Draw(600, 400, (x, y) => x is >= 50 and < 550 && y is >= 50 and < 350);
        var check = ArtCheck.Of(drawn.WithGround(drawn.Ground with { Scale = 0.42 }), Light);
        (check.EffectivePpi, check.PrintPpi).ShouldBe((126, 300));
        check.PlatenPpi.ShouldBe(210 / 13.5, 1e-9);
        var finding = check.Findings.ShouldHaveSingleItem();
        finding.Code.ShouldBe("low-resolution");
        finding.Message.ShouldStartWith(
            "126 pixels per printed inch (as it came, resampled to 300): below the floor of 150. Its ink has 200 at 1.05 x 0.63 in.");
    }

    // A ring with a hole of 60 x 60 px, and a bay that runs off to the left: on navy cloth two questions, and without white ink one thing to know.
    [Fact]
    public void Without_white_ink_all_whites_are_one_finding_and_no_question()
    {
        var art = Made(300, 300, (x, y) => (x is >= 100 and < 160 && y is >= 100 and < 160) || (x < 40 && y is >= 200 and < 240) ? Paper : Ink);
        var navy = Light with { Garment = new Rgba8(0x1b, 0x24, 0x40) };
        ArtCheck.Of(art, navy).Findings.Select(finding => finding.Code).ShouldContain("edge-white");
        ArtCheck.Of(art, navy).Questions.ShouldContain(question => question.Code == "edge-white");
        var check = ArtCheck.Of(art, navy with { Underbase = Underbase.None });
        var finding = check.Findings.Where(found => found.Code is "edge-white" or "enclosed-white").ShouldHaveSingleItem();
        (finding.Code, finding.Pixels, finding.Recipe).ShouldBe(("enclosed-white", (60 * 60) + (40 * 40), null));
        finding.Message.ShouldContain("in 2 regions");
        check.Questions.ShouldNotContain(question => question.Code == "edge-white" || question.Code == "enclosed-white");
        ArtCheck.Of(Draw(300, 300, (_, _) => true), navy with { Underbase = Underbase.None })
            .Findings.ShouldNotContain(found => found.Code == "enclosed-white");

        // Where white would print if there were any, and where a recipe has made it print, it is the cloth's as well.
        var opaque = navy with { Underbase = Underbase.None, Ink = new InkRules { WhiteBare = false } };
        ArtCheck.Of(art, opaque).Findings.Where(found => found.Code == "enclosed-white").ShouldHaveSingleItem().Pixels.ShouldBe((60 * 60) + (40 * 40));
        var brightest = Plane<Rgba8>.OneValue(300, 300, navy.Ink.BrightestWhite);
        var printable = art.WithLayer(Layer.Replace("printable", LayerIntent.MakePrintable, brightest, Find.PureWhite(art.Flat).Coverage));
        ArtCheck.Of(printable, navy with { Underbase = Underbase.None })
            .Findings.Where(found => found.Code == "enclosed-white").ShouldHaveSingleItem().Pixels.ShouldBe((60 * 60) + (40 * 40));
    }

    [Fact]
    public void A_sheet_of_our_own_is_no_question()
    {
        foreach (var sheet in (TestSheet[])[TestSheet.Gang, TestSheet.Strip, TestSheet.TestPrint])
        {
            TestSheet.Read(sheet.ToJson("light-garment", ["tee-1"])).ShouldBe(sheet);
            sheet.InWords().ShouldContain("made by recipes");
        }

        foreach (string? text in (string?[])[null, "", "{}", "[]", "{\"sheet\":7}", "{\"sheet\":\"other\"}", "{\"sheet\":\"gang\"", new string('x', 70_000)])
        {
            TestSheet.Read(text).ShouldBeNull();
        }
    }

    [Fact]
    public void Specks_and_pinholes_are_counted()
    {
        var findings = ArtCheck.Of(Draw(300, 200, (x, y) =>
            (x is >= 20 and < 120 && y is >= 20 and < 120 && !(x is 70 or 71 && y is 70 or 71)) || (x is 250 && y is 150 or 151)), Light).Findings;
        // A hole is a question before it is a pinhole.
        findings.Select(other => other.Code).ShouldBe(["enclosed-white", "specks"]);
        var finding = findings[1];
        (finding.Code, finding.Pixels, finding.Recipe).ShouldBe(("specks", 6, "remove-specks"));
        finding.Message.ShouldContain("1 speck and 1 pinhole");
    }

    [Fact]
    public void Specks_of_art_without_a_resolution_are_those_that_the_recipe_takes()
    {
        // 300 px at the platen's full width would be 21 ppi, where no px is a speck; the recipe runs at the setup's 300 ppi.
        var art = Draw(300, 200, (x, y) => (x is >= 20 and < 120 && y is >= 20 and < 120) || (x is 250 && y is 150 or 151));
        var finding = ArtCheck.Of(new Artwork(art.Width, art.Height, null, art.Layers), Light).Findings.Single(other => other.Code == "specks");
        (finding.Pixels, finding.Box, finding.Recipe).ShouldBe((2, new Box(250, 150, 1, 2), "remove-specks"));
    }

    [Fact]
    public void A_pattern_of_specks_is_asked_about_and_no_recipe_is_advised_for_it()
    {
        // 10 x 8 dots of 4 px2, 12 px apart.
        var check = ArtCheck.Of(Draw(300, 200, (x, y) => x is >= 40 and < 160 && y is >= 40 and < 136 && (x - 40) % 12 < 2 && (y - 40) % 12 < 2), Light);
        check.Findings.ShouldNotContain(finding => finding.Code == "specks");
        var question = check.Questions.ShouldHaveSingleItem();
        (question.Code, question.Recipe, question.Answer, question.Pixels, question.Box)
            .ShouldBe(("specks", "remove-specks", "remove-specks.pattern=dirt", 320, new Box(40, 40, 110, 86)));
    }

    [Fact]
    public void Soft_zones_are_told_from_edges_and_are_the_authors_word()
    {
        // An opaque block with a soft edge of 2 px at the left, and a fade of 20 px at the right.
        var art = Artwork.FromPixels(Plane<Rgba8>.FromContiguous(100, 100, (Rgba8[])[.. Enumerable.Range(0, 10_000).Select(i =>
            (X: i % 100, Y: i / 100) is (>= 20 and < 80, >= 20 and < 80) at
                ? Ink.WithAlpha((byte)(at.X < 22 ? 120 : at.X >= 60 ? 245 - ((at.X - 60) * 12) : 255)) : default)]), Ppi);
        var check = ArtCheck.Of(art, Light);
        var finding = check.Findings.ShouldHaveSingleItem();
        (finding.Code, finding.Pixels).ShouldBe(("partly-transparent", 60 * 22));
        finding.Message.ShouldContain("120 px at soft edges, 1,200 px in wide soft zones");
        finding.Recipe.ShouldBe("harden-edges");
        check.Questions.ShouldBeEmpty();
    }

    [Fact]
    public void Colors_multiplied_by_their_alpha_are_found_where_they_show_and_nobody_is_asked()
    {
        // An orange block whose edge of 4 px fades, its colors times alpha: a fifth, two, three and four fifths.
        var orange = new Rgba8(240, 124, 28);
        var art = Artwork.FromPixels(Plane<Rgba8>.FromContiguous(100, 100, (Rgba8[])[.. Enumerable.Range(0, 10_000).Select(i =>
        {
            int deep = Math.Min(Math.Min(i % 100, 99 - (i % 100)), Math.Min(i / 100, 99 - (i / 100))) - 19, alpha = Math.Clamp(51 * deep, 0, 255);
            byte Times(byte level) => (byte)(level * alpha / 255);
            return alpha == 0 ? default : new Rgba8(Times(orange.R), Times(orange.G), Times(orange.B), (byte)alpha);
        })]), Ppi);
        var check = ArtCheck.Of(art, Light);
        var halo = check.Findings.Single(finding => finding.Code == "halo");
        halo.Recipe.ShouldBe("remove-halo");
        halo.Message.ShouldContain("multiplied by their alpha");
        check.Questions.ShouldBeEmpty();
        ArtCheck.Of(art, Black).Findings.ShouldNotContain(finding => finding.Code == "halo");
    }

    [Fact]
    public void Checkers_are_one_finding()
    {
        var art = Made(160, 160, (x, y) => Math.Abs(x - 80) < 30 && Math.Abs(y - 80) < 30 ? Ink
            : ((x / 8) + (y / 8)) % 2 == 0 ? Rgba8.White : new Rgba8(204, 204, 204));
        foreach (var setup in new[] { Light, Black })
        {
            var check = ArtCheck.Of(art, setup);
            check.Findings.ShouldHaveSingleItem().Code.ShouldBe("checkers");
            check.Questions.ShouldHaveSingleItem().Code.ShouldBe("checkers");
            check.EnclosedWhiteCount.ShouldBe(0);
        }
    }

    [Fact]
    public void Partly_transparent_pixels_are_counted_with_their_share()
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.FromContiguous(100, 100, (Rgba8[])[.. Enumerable.Range(0, 10_000).Select(i =>
            (X: i % 100, Y: i / 100) is (>= 20 and < 80, >= 20 and < 80) at ? Ink.WithAlpha((byte)(at.X < 23 ? 120 : 255)) : default)]), Ppi);
        var finding = ArtCheck.Of(art, Light).Findings.ShouldHaveSingleItem();
        (finding.Code, finding.Pixels, finding.Box, finding.Recipe).ShouldBe(("partly-transparent", 180, new Box(20, 20, 3, 60), "harden-edges"));
        finding.Message.ShouldContain("5.0%");
    }

    [Fact]
    public void A_white_rim_is_found_for_a_dark_garment_only()
    {
        // A square with a rim of half ink, half paper.
        var mixed = new Rgba8((byte)((Ink.R + 255) / 2), (byte)((Ink.G + 255) / 2), (byte)((Ink.B + 255) / 2));
        var art = Artwork.FromPixels(Plane<Rgba8>.FromContiguous(100, 100, (Rgba8[])[.. Enumerable.Range(0, 10_000).Select(i => (i % 100, i / 100) switch
        {
            ( >= 21 and < 79, >= 21 and < 79) => Ink,
            ( >= 20 and < 80, >= 20 and < 80) => mixed,
            _ => Paper,
        })]), Ppi);
        ArtCheck.Of(art, Light).Findings.ShouldBeEmpty();
        var finding = ArtCheck.Of(art, Black).Findings.ShouldHaveSingleItem();
        (finding.Code, finding.Pixels, finding.Box, finding.Recipe).ShouldBe(("halo", (60 * 60) - (58 * 58), new Box(20, 20, 60, 60), "remove-halo"));
    }

    [Theory]
    [InlineData(1000, 700, null)]
    [InlineData(1060, 700, "less its safe margin (4 x 3 in, margin 0.25 in)")]
    [InlineData(1000, 760, "less its safe margin (4 x 3 in, margin 0.25 in)")]
    [InlineData(1210, 700, "4.03 x 2.33 in, larger than the platen (4 x 3 in")]
    [InlineData(1000, 910, "3.33 x 3.03 in, larger than the platen (4 x 3 in")]
    public void Ink_beyond_the_platen_is_found(int width, int height, string? words)
    {
        var platen = Light with { PlatenWidth = 4, PlatenHeight = 3, SafeMargin = 0.25 };
        var findings = ArtCheck.Of(Draw(width + 40, height + 40, (x, y) => x >= 20 && x < 20 + width && y >= 20 && y < 20 + height), platen).Findings;
        if (words is null)
        {
            findings.ShouldBeEmpty();
            return;
        }

        var finding = findings.ShouldHaveSingleItem();
        (finding.Code, finding.Pixels, finding.Box, finding.Recipe).ShouldBe(("off-platen", (long)width * height, new Box(20, 20, width, height), "fit-to-platen"));
        finding.Message.ShouldContain(words);
    }

    private static Artwork Draw(int width, int height, Func<int, int, bool> ink) => Made(width, height, (x, y) => ink(x, y) ? Ink : Paper);

    private static Artwork Made(int width, int height, Func<int, int, Rgba8> color) =>
        Artwork.FromPixels(Plane<Rgba8>.FromContiguous(width, height, (Rgba8[])[.. Enumerable.Range(0, width * height).Select(i => color(i % width, i / width))]), Ppi);
}
