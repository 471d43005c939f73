using CsCheck;
using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>remove-halo: what was composited over a background and cut out comes back.</summary>
public class RemoveHaloTests
{
    private const int Side = 96;
    private static readonly Rgba8 Sea = new(34, 92, 140);

    private static Plane<Rgba8> Of(Func<int, int, Rgba8> rule) =>
        Plane<Rgba8>.FromContiguous(Side, Side, Enumerable.Range(0, Side * Side).Select(i => rule(i % Side, i / Side)).ToArray());

    // A disc with an edge of one px, colored by a slow ramp around a color.
    private static double Coverage(int x, int y) => Math.Clamp(30.5 - Math.Sqrt(((x - 47.3) * (x - 47.3)) + ((y - 48.1) * (y - 48.1))), 0, 1);

    private static byte Level(double value) => (byte)Math.Round(value, MidpointRounding.AwayFromZero);

    // Source-over (W3C Compositing and Blending Level 1) on an opaque backdrop.
    private static Rgba8 Over(Rgba8 art, double alpha, Rgba8 ground) => new(
        Level((art.R * alpha) + (ground.R * (1 - alpha))), Level((art.G * alpha) + (ground.G * (1 - alpha))), Level((art.B * alpha) + (ground.B * (1 - alpha))));

    [Fact]
    public void Art_with_known_alpha_over_any_background_gives_back_its_colors()
    {
        var colors = Gen.Select(Gen.Byte, Gen.Byte, Gen.Byte, (r, g, b) => new Rgba8(r, g, b));
        Gen.Select(colors, colors, Gen.Bool).Holds((color, ground, black) =>
        {
            // Where art and background are nearly alike nothing shows, and nothing can be told.
            if (color.LargestDifference(ground) < 60)
            {
                return;
            }

            var setup = black ? Shelf.Black : Shelf.Light;
            Rgba8 True(int x, int y) => color.WithAlpha(Level(Coverage(x, y) * 255));
            var cut = Of((x, y) => True(x, y) is { A: > 0 } art ? Over(art, art.A / 255.0, ground).WithAlpha(art.A) : Rgba8.ClearWhite);
            var made = Shelf.Run("remove-halo", cut, setup, ("background", $"{ground}"));
            made.ShouldBeClear();
            var pixels = made.Pixels;
            for (int i = 0; i < pixels.Length; i++)
            {
                var art = True(i % Side, i / Side);
                pixels[i].A.ShouldBe(art.A);
                if (art.A > 0)
                {
                    // Half a level of the seen color by 1/a, half a level for rounding the result, one for a nudge to what prints.
                    double bound = (0.5 * 255 / art.A) + 1.5;
                    ((double)pixels[i].LargestDifference(art)).ShouldBeLessThanOrEqualTo(bound, $"{color} on {ground} at {i % Side},{i / Side}: {cut[i % Side, i / Side]}");
                }
            }
        }, iter: 60);
    }

    // A figure on paper whose belly the lower edge cuts off: answered with also, it prints whatever runs after.
    [Theory]
    [InlineData("printable-whites", "clean-background", "remove-halo")]
    [InlineData("clean-background", "printable-whites", "remove-halo")]
    [InlineData("printable-whites", "remove-halo", "clean-background")]
    public void Whites_that_were_answered_are_never_taken_for_paper(params string[] recipes)
    {
        var art = Artwork.FromPixels(Of((x, y) => x is >= 20 and < 76 && y >= 16 && !(x is >= 32 and < 64 && y >= 40) ? Sea : Rgba8.White), 300);
        foreach (string recipe in recipes)
        {
            art = Shelf.Run(recipe, art, Shelf.Black, recipe == "printable-whites" ? [("also", "1")] : []).Guarded.Art;
        }

        var pixels = art.Flat.ToContiguous();
        // A px at the belly's edge is the halo's matter.
        Enumerable.Range(0, pixels.Length).Where(i => i % Side is >= 34 and < 62 && i / Side >= 42 && Shelf.Black.Ink.StateOf(pixels[i]) != InkState.Prints)
            .ShouldBeEmpty();
        Shelf.Black.Ink.StateOf(pixels[0]).ShouldNotBe(InkState.Prints);
    }

    // White letters on gray and cream paper are drawn: the paper goes, they print.
    [Theory]
    [InlineData("#f0f0f0")]
    [InlineData("#faf3e6")]
    [InlineData("#d8d8d8")]
    public void White_lettering_on_colored_paper_prints(string color)
    {
        Rgba8.TryParse(color, out var paper).ShouldBeTrue();
        var art = Artwork.FromPixels(
            Of((x, y) => x is >= 20 and < 44 && y is >= 20 and < 60 ? Rgba8.White : x is >= 56 and < 76 && y is >= 20 and < 60 ? Sea : paper), 300);
        foreach (string recipe in (string[])["clean-background", "remove-halo", "printable-whites"])
        {
            art = Shelf.Run(recipe, art, Shelf.Black).Guarded.Art;
        }

        var pixels = art.Flat.ToContiguous();
        Enumerable.Range(0, pixels.Length)
            .Where(i => i % Side is >= 22 and < 42 && i / Side is >= 22 and < 58 && Shelf.Black.Ink.StateOf(pixels[i]) != InkState.Prints).ShouldBeEmpty();
        Shelf.Black.Ink.StateOf(pixels[0]).ShouldNotBe(InkState.Prints);
    }

    [Theory]
    [InlineData("#ffffff")]
    [InlineData("#f0dc32")]
    [InlineData("#141414")]
    public void Art_on_a_flat_background_gets_the_alpha_it_was_drawn_with(string background)
    {
        Rgba8.TryParse(background, out var ground).ShouldBeTrue();
        var flat = Of((x, y) => Over(Sea, Coverage(x, y), ground));
        foreach (var setup in new[] { Shelf.Light, Shelf.Black })
        {
            var made = Shelf.Run("remove-halo", flat, setup, ("background", background));
            if (background == "#ffffff")
            {
                made.ShouldBeClear();
            }
            else
            {
                // A dark or strongly colored ground is no paper that the host can tell from art, so somebody has to say that it goes.
                made.ShouldBeClearBut(Guardrails.InkMostlyLost, GuardOutcome.Refused);
            }

            var pixels = made.Pixels;
            for (int i = 0; i < pixels.Length; i++)
            {
                double coverage = Coverage(i % Side, i / Side);
                // Within 4 levels of the background counts as background.
                if (flat[i % Side, i / Side].LargestDifference(ground) <= 4)
                {
                    pixels[i].A.ShouldBe((byte)0);
                }
                else
                {
                    // A rounded pixel lies within half a level of its place on a line of over 70 levels; 0.98 and more counts as full.
                    (pixels[i].A / 255.0).ShouldBe(coverage, 0.021);
                    ((double)pixels[i].WithAlpha(255).LargestDifference(Sea)).ShouldBeLessThanOrEqualTo(coverage > 0.97 ? 5 : (1 / coverage) + 2, $"at {i % Side},{i / Side}");
                }
            }
        }
    }

    [Fact]
    public void A_hard_cut_loses_its_rim_and_keeps_everything_further_in()
    {
        // Cut out at half coverage, so the rim is opaque and pale; a white shape inside and a pale pixel further in stay.
        var cut = Of((x, y) => Coverage(x, y) is var c && c < 0.3 ? Rgba8.ClearWhite : (x, y) == (47, 30) ? new Rgba8(144, 174, 198) : x is > 40 and < 50 && y is > 40 and < 50 ? Rgba8.White : Over(Sea, c, Rgba8.White));
        var made = Shelf.Run("remove-halo", cut, Shelf.Black);
        made.ShouldBeClear();
        var pixels = made.Pixels;
        for (int i = 0; i < pixels.Length; i++)
        {
            int x = i % Side, y = i / Side;
            var was = cut[x, y];
            if (Coverage(x, y) is >= 0.3 and < 0.97)
            {
                pixels[i].WithAlpha(255).LargestDifference(Sea).ShouldBeLessThanOrEqualTo(5, $"at {x},{y}: {was} became {pixels[i]}");
                (pixels[i].A / 255.0).ShouldBe(Coverage(x, y), 0.02);
            }
            else if (Coverage(x, y) == 1)
            {
                pixels[i].ShouldBe(was);
            }
        }
    }

    [Fact]
    public void A_clean_edge_stays_as_it_is()
    {
        var clean = Of((x, y) => Coverage(x, y) > 0 ? Sea.WithAlpha(Level(Coverage(x, y) * 255)) : Rgba8.ClearWhite);
        var made = Shelf.Run("remove-halo", clean, Shelf.Black);
        made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
    }

    [Fact]
    public void Art_with_neither_transparency_nor_that_background_is_declined()
    {
        var thrown = Should.Throw<Recipes.Problems.ProblemException>(() =>
            Shelf.Run("remove-halo", Plane<Rgba8>.OneValue(Side, Side, Sea), Shelf.Light, ("background", "#f0dc32")));
        thrown.Problems[0].Code.ShouldBe(Recipes.Problems.Codes.RecipeDeclined);
    }

    [Fact]
    public void White_art_trimmed_on_transparency_is_no_background()
    {
        // A white block that touches the border; most of the border is transparent.
        var trimmed = Of((x, y) => x < 20 && y is > 30 and < 60 ? new Rgba8(254, 254, 254) : Rgba8.ClearWhite);
        var made = Shelf.Run("remove-halo", trimmed, Shelf.Light);
        made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
    }

    // Rims whose truth is known, each with how many px deep it is.
    private static (RimDrawing Truth, Rgba8[] Pixels) Rimmed(string how, int px)
    {
        RimDrawing sharp = RimDrawing.Draw(RimDrawing.PuffinAndWave), plain = RimDrawing.Draw(RimDrawing.Puffin);
        switch (how)
        {
            case "hard":
                return (sharp, sharp.CutHard(px, Rgba8.White));
            case "soft":
                return (sharp, sharp.CutSoft(px, Rgba8.White));
            case "matte":
                return (sharp, sharp.Matte(Rgba8.White));
            case "faded":
                var faded = plain.Soft(px);
                return (faded, faded.CutWhole(Rgba8.White));
            case "faded matte":
                faded = plain.Soft(px);
                return (faded, faded.Matte(Rgba8.White));
            default:
                var small = RimDrawing.Draw(RimDrawing.Puffin, 1.0 / px);
                return (small.Enlarged(px), small.Enlarged(how == "enlarged hard" ? small.CutHard(2, Rgba8.White) : small.Matte(Rgba8.White), px));
        }
    }

    [Theory]
    [InlineData("hard", 0)]
    [InlineData("hard", 1)]
    [InlineData("hard", 3)]
    [InlineData("hard", 8)]
    [InlineData("hard", 12)]
    [InlineData("hard", 24)]
    [InlineData("soft", 1)]
    [InlineData("soft", 4)]
    [InlineData("soft", 10)]
    [InlineData("matte", 1)]
    [InlineData("faded", 2)]
    [InlineData("faded", 4)]
    [InlineData("faded", 8)]
    [InlineData("faded", 12)]
    [InlineData("faded", 16)]
    [InlineData("faded matte", 8)]
    [InlineData("faded matte", 16)]
    [InlineData("enlarged hard", 2)]
    [InlineData("enlarged hard", 3)]
    [InlineData("enlarged hard", 4)]
    [InlineData("enlarged hard", 6)]
    [InlineData("enlarged hard", 8)]
    [InlineData("enlarged matte", 4)]
    [InlineData("enlarged matte", 6)]
    [InlineData("enlarged matte", 8)]
    public void A_rim_of_old_paper_goes_as_deep_as_it_is(string how, int px)
    {
        var (truth, pixels) = Rimmed(how, px);
        foreach (var setup in new[] { Shelf.Black, Shelf.Black with { Ink = new InkRules { WhiteBare = false } } })
        {
            int before = truth.Pale(pixels, setup.Ink, Rgba8.Black);
            (before / RimDrawing.PxPerSquareMillimeter).ShouldBeGreaterThan(2, "there is a rim to see");
            var made = Shelf.Run("remove-halo", Plane<Rgba8>.FromContiguous(truth.Width, truth.Height, pixels), setup);
            made.ShouldBeClear();
            // Half a square millimeter for each order: common practice, no source.
            (truth.Pale(made.Pixels, setup.Ink, Rgba8.Black) / RimDrawing.PxPerSquareMillimeter).ShouldBeLessThanOrEqualTo(0.5);
            truth.Lost(pixels, made.Pixels).ShouldBe(0);
            made.Run.Reporter.Notes.ShouldContain(note => note.Contains(" mm deep", StringComparison.Ordinal));
        }
    }

    // Light from drawing alone: a ball with a pale edge and its own alpha.
    private static Rgba8 Ball(double x, double y)
    {
        double far = Math.Sqrt(((x - 200) * (x - 200)) + ((y - 180) * (y - 180))), pale = Math.Clamp((far - 120) / 30, 0, 1);
        return far > 150 ? default : new Rgba8((byte)(200 + (50 * pale)), (byte)(30 + (190 * pale)), (byte)(40 + (180 * pale)));
    }

    // White shapes in outlines of 1 to 2 px.
    private static Rgba8 Outlines(double x, double y)
    {
        foreach (var (left, top, radius, pen) in new[] { (100, 100, 70, 1.0), (300, 100, 80, 1.5), (120, 260, 60, 2.0), (310, 270, 70, 1.25) })
        {
            double far = Math.Sqrt(((x - left) * (x - left)) + ((y - top) * (y - top)));
            if (far < radius)
            {
                return far > radius - pen ? new Rgba8(200, 30, 40) : Rgba8.White;
            }
        }

        return default;
    }

    // White strokes with a navy shadow to one side, and cream with a dark bar inside.
    private static Rgba8 Lettering(double x, double y)
    {
        bool stroke = x % 90 is > 20 and < 44 && y is > 40 and < 160, shadow = x % 90 is > 26 and < 50 && y is > 46 and < 166;
        return stroke ? Rgba8.White : shadow ? new Rgba8(20, 32, 74)
            : y is > 200 and < 300 && x is > 40 and < 380 ? (y is > 224 and < 276 && x is > 64 and < 356 ? new Rgba8(8, 8, 15) : new Rgba8(255, 248, 231))
                : default;
    }

    private static Rgba8 ClearShadow(double x, double y)
    {
        double far = Math.Sqrt(((x - 200) * (x - 200)) + ((y - 180) * (y - 180)));
        return far < 100 ? new Rgba8(200, 30, 40) : Rgba8.Black.WithAlpha((byte)(150 * Math.Clamp((120 - far) / 20, 0, 1)));
    }

    public static TheoryData<string> CleanArt => ["puffin", "soft", "ball", "outlines", "lettering", "shadow", "hard ball"];

    [Theory]
    [MemberData(nameof(CleanArt))]
    public void A_clean_cut_out_stays_as_it_is(string name)
    {
        var drawing = name switch
        {
            "puffin" => RimDrawing.Draw(RimDrawing.PuffinAndWave),
            "soft" => RimDrawing.Draw(RimDrawing.Puffin).Soft(6),
            "outlines" => RimDrawing.Draw(Outlines),
            "lettering" => RimDrawing.Draw(Lettering),
            "shadow" => RimDrawing.Draw(ClearShadow),
            _ => RimDrawing.Draw(Ball),
        };
        // A ball that was cut hard keeps its pale edge, too: as pale everywhere, it was drawn.
        Rgba8[] pixels = name == "hard ball" ? [.. drawing.Ideal.Select(pixel => pixel.A < 128 ? default : pixel.WithAlpha(255))] : drawing.Ideal;
        foreach (var setup in new[] { Shelf.Light, Shelf.Black, Shelf.Black with { Ink = new InkRules { WhiteBare = false } } })
        {
            var made = Shelf.Run("remove-halo", Plane<Rgba8>.FromContiguous(drawing.Width, drawing.Height, pixels), setup);
            made.Pixels.Zip(pixels).Count(pair => pair.First != pair.Second && (pair.First.A | pair.Second.A) != 0).ShouldBe(0);
            made.Run.Reporter.Questions.ShouldBeEmpty();
        }
    }

    // A ball with a white band round it.
    private static Rgba8 Sticker(double x, double y, int px)
    {
        double far = Math.Sqrt(((x - 200) * (x - 200)) + ((y - 180) * (y - 180)));
        return far > 120 + px ? default : far > 120 ? Rgba8.White : new Rgba8(200, 30, 40);
    }

    [Theory]
    [InlineData(5)]
    [InlineData(6)]
    [InlineData(8)]
    [InlineData(14)]
    public void A_band_of_even_width_is_asked_about_and_stays_until_told(int px)
    {
        Rgba8 Sticker(double x, double y) => RemoveHaloTests.Sticker(x, y, px);
        var drawing = RimDrawing.Draw(Sticker);
        var art = Plane<Rgba8>.FromContiguous(drawing.Width, drawing.Height, drawing.Ideal);
        var setup = Shelf.Black with { Ink = new InkRules { WhiteBare = false } };
        var made = Shelf.Run("remove-halo", art, setup);
        made.Pixels.Zip(drawing.Ideal).Count(pair => pair.First != pair.Second && (pair.First.A | pair.Second.A) != 0).ShouldBe(0);
        var question = made.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Code, question.Proposal, question.Answer, question.Decided).ShouldBe(("halo", "it stays", "band=remove", false));
        string width = question.Message.Split(' ').SkipWhile(word => word != "of").Skip(4).First();
        double.Parse(width, System.Globalization.CultureInfo.InvariantCulture).ShouldBe(px / 300.0 * 25.4, 0.1);

        var taken = Shelf.Run("remove-halo", art, setup, ("band", "remove"));
        taken.ShouldBeClear();
        taken.Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();
        var bare = RimDrawing.Draw((x, y) => Sticker(x, y) == Rgba8.White ? default : Sticker(x, y));
        bare.Pale(taken.Pixels, setup.Ink, Rgba8.Black).ShouldBe(0);
        bare.Lost(drawing.Ideal, taken.Pixels).ShouldBe(0);

        Shelf.Run("remove-halo", art, setup, ("band", "keep")).Run.Reporter.Questions.ShouldHaveSingleItem().Decided.ShouldBeTrue();
        Shelf.Run("remove-halo", art, Shelf.Light).Run.Reporter.Questions.ShouldBeEmpty("white on white shows nothing");
    }

    [Theory]
    [InlineData(8)]
    [InlineData(14)]
    public void Old_paper_of_half_a_millimeter_and_more_goes_and_is_asked_about(int px)
    {
        var drawing = RimDrawing.Draw(RimDrawing.Puffin);
        var made = Shelf.Run("remove-halo", Plane<Rgba8>.FromContiguous(drawing.Width, drawing.Height, drawing.CutHard(px, Rgba8.White)), Shelf.Black);
        var question = made.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Proposal, question.Answer).ShouldBe(("it goes", "band=keep"));
    }

    [Fact]
    public void A_picture_that_fills_its_frame_stays_as_it_is()
    {
        // A pale sky, whose light reaches pure white at a part of the border.
        var photo = Of((x, y) =>
            Math.Abs(x - 48) + (3 * y) < 12 ? Rgba8.White : new Rgba8((byte)(30 + y + (x / 16)), (byte)(80 + y), (byte)(140 + y + ((x * 7) % 5))));
        var made = Shelf.Run("remove-halo", photo, Shelf.Black);
        made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
        made.Run.Reporter.Notes.ShouldHaveSingleItem().ShouldContain("fills its frame");
    }

    [Theory]
    [InlineData(250, 244, 226)]
    [InlineData(200, 200, 200)]
    public void A_rim_of_another_color_is_asked_about_with_the_parameter_that_names_it(byte red, byte green, byte blue)
    {
        var old = new Rgba8(red, green, blue);
        var drawing = RimDrawing.Draw(RimDrawing.Puffin);
        var art = Plane<Rgba8>.FromContiguous(drawing.Width, drawing.Height, drawing.CutHard(5, old));
        var question = Shelf.Run("remove-halo", art, Shelf.Black).Run.Reporter.Questions.ShouldHaveSingleItem();
        question.Answer.ShouldStartWith("background=#");
        Rgba8.TryParse(question.Answer["background=".Length..], out var named).ShouldBeTrue();
        named.LargestDifference(old).ShouldBeLessThanOrEqualTo(8);

        var made = Shelf.Run("remove-halo", art, Shelf.Black, ("background", $"{named}"));
        made.ShouldBeClear();
        made.Run.Reporter.Questions.ShouldBeEmpty();
        (drawing.Pale(made.Pixels, Shelf.Black.Ink, Rgba8.Black) / RimDrawing.PxPerSquareMillimeter).ShouldBeLessThanOrEqualTo(0.5);
        ShouldHaveNoTintedEdge(drawing, made.Pixels);
    }

    [Fact]
    public void Colors_that_a_file_multiplied_by_their_alpha_come_back_and_nobody_is_asked()
    {
        var drawing = RimDrawing.Draw(RimDrawing.Puffin);
        var art = Plane<Rgba8>.FromContiguous(drawing.Width, drawing.Height, drawing.Matte(Rgba8.Black));
        var made = Shelf.Run("remove-halo", art, Shelf.Light);
        made.ShouldBeClear();
        made.Run.Reporter.Questions.ShouldBeEmpty();
        made.Run.Reporter.Notes.ShouldHaveSingleItem().ShouldContain("multiplied by their alpha");
        ShouldHaveNoTintedEdge(drawing, made.Pixels);
    }

    // No edge of the orange beak or the red ring keeps its dark or pale tint.
    private static void ShouldHaveNoTintedEdge(RimDrawing drawing, Rgba8[] pixels)
    {
        for (int i = 0; i < pixels.Length; i++)
        {
            var (pixel, truth) = (pixels[i], drawing.Ideal[i]);
            if (truth is { A: >= 128, R: > 150, G: < 150 } && truth.LargestDifference(new Rgba8(200, 30, 40, truth.A)) <= 2)
            {
                pixel.WithAlpha(255).LargestDifference(truth.WithAlpha(255)).ShouldBeLessThanOrEqualTo(12, $"at {i % drawing.Width},{i / drawing.Width}");
            }
        }
    }

    /// <summary>White that lies between dark feathers everywhere is no rim, though all of it lies near ink.</summary>
    [Fact]
    public void White_plumage_stays_and_is_asked_about()
    {
        var drawing = RimDrawing.Draw(Plumage);
        var art = Plane<Rgba8>.FromContiguous(drawing.Width, drawing.Height, drawing.Ideal);
        var made = Shelf.Run("remove-halo", art, Shelf.Black);
        made.Pixels.Where((pixel, i) => pixel != drawing.Ideal[i] && !(pixel.IsTransparent && drawing.Ideal[i].IsTransparent)).ShouldBeEmpty();
        var question = made.Run.Reporter.Questions.ShouldHaveSingleItem();
        (question.Code, question.Answer).ShouldBe(("halo", "band=remove"));
        question.Message.ShouldContain("goes on inside");
    }

    // A white disc with a rim of 12 px, full of dark strokes that leave as much white between them.
    private static Rgba8 Plumage(double x, double y) =>
        Math.Sqrt(((x - 200) * (x - 200)) + ((y - 200) * (y - 200))) is var far && far > 160 ? default
        : far < 148 && y % 24 < 12 && (x + (y > 200 ? 30 : 0)) % 60 < 48 ? new Rgba8(20, 20, 20) : Rgba8.White;

    // The guardrail takes white for paper only where it lies around something else.
    [Theory]
    [InlineData("lettering")]
    [InlineData("outline")]
    [InlineData("plumage")]
    public void White_art_that_goes_is_lost_ink(string what)
    {
        var drawing = RimDrawing.Draw((x, y) => what == "outline" ? Sticker(x, y, 22) : what == "plumage" ? Plumage(x, y)
            : x % 60 is > 10 and < 30 && y is > 40 and < 320 ? Rgba8.White : default);
        var before = Artwork.FromPixels(Plane<Rgba8>.FromContiguous(drawing.Width, drawing.Height, drawing.Ideal), 300);
        Rgba8[] left = [.. drawing.Ideal.Select(pixel => pixel.WithAlpha(255) == Rgba8.White ? default : pixel)];
        var gone = Plane<Rgba8>.FromContiguous(drawing.Width, drawing.Height, left, before.Flat);
        var setup = Shelf.Black with { Ink = new InkRules { WhiteBare = false } };
        Guardrails.Default.JudgeLoss(before, Artwork.FromPixels(gone, 300), "", setup.Ink, 300).Outcome.ShouldBe(GuardOutcome.Refused);
    }
}
