namespace Recipes.Imaging.Tests;

// What is a hole and what is art is common practice, no source: the drawings say which is which.
public class WhiteHolesTests
{
    private const double Ppi = 300;
    private static readonly Rgba8 Ink = new(20, 40, 90);

    [Fact]
    public void A_life_rings_hole_is_asked_about_and_prints_unless_answered()
    {
        var (whites, holes) = Holes(Pictures.Art(300, 300, (x, y) => Radius(x, y, 150, 150) is >= 60 and < 120 ? Ink : Rgba8.White));
        whites.ShouldHaveSingleItem();
        holes.Rings.ShouldBe([1]);
        holes.Counters.ShouldBeEmpty();
        var question = WhiteQuestions.Of(whites, holes, Black, Ppi).ShouldHaveSingleItem();
        (question.Code, question.Proposal, question.Answer).ShouldBe(("enclosed-white", "it prints", "except=1"));
        // White under white cloth shows as little as the cloth.
        WhiteQuestions.Of(whites, holes, Black with { Garment = Rgba8.White }, Ppi).ShouldBeEmpty();
        WhiteQuestions.Of(whites, holes, Black with { Ink = new InkRules { WhiteBare = false } }, Ppi).ShouldBeEmpty();
    }

    /// <summary>A badge with a figure in its hole: how far that stands from the ring says nothing about the ring.</summary>
    [Fact]
    public void A_rings_hole_is_asked_about_whatever_lies_in_it()
    {
        var (whites, holes) = Holes(Pictures.Art(300, 300, (x, y) =>
            Radius(x, y, 150, 150) is >= 90 and < 130 || (Math.Abs(x - 150) < 8 && Math.Abs(y - 150) < 70) || (Math.Abs(y - 130) < 8 && Math.Abs(x - 150) < 50)
                ? Ink : Rgba8.White));
        whites.ShouldHaveSingleItem();
        holes.Rings.ShouldBe([1]);
    }

    [Fact]
    public void A_belly_in_a_body_and_a_sail_in_outline_are_no_holes()
    {
        // A body with its belly below the middle: thick above, thin below.
        var (belly, bellies) = Holes(Pictures.Art(300, 300, (x, y) => Radius(x, y, 150, 150) < 130 && Radius(x, y, 150, 200) >= 60 ? Ink : Rgba8.White));
        belly.ShouldHaveSingleItem();
        bellies.Rings.Concat(bellies.Counters).ShouldBeEmpty();
        // A triangle of 240 px with a line of 6 px.
        var (sail, sails) = Holes(Pictures.Art(300, 300, (x, y) => Triangle(x, y, 120) && !Triangle(x, y, 105) ? Ink : Rgba8.White));
        sail.ShouldHaveSingleItem();
        sails.Rings.Concat(sails.Counters).ShouldBeEmpty();
    }

    /// <summary>
    /// No picture on white paper tells a belly from a hole of its form; on cream paper it was drawn, and of what a cut-out holds nobody is asked.
    /// </summary>
    [Fact]
    public void White_that_prints_on_white_paper_is_asked_about_in_one_question_with_rings_named_first()
    {
        bool Belly(int x, int y) => Radius(x, y, 150, 150) < 130 && Radius(x, y, 150, 200) >= 60;
        var (whites, holes) = Holes(Pictures.Art(600, 300, (x, y) => Belly(x, y) || Radius(x, y, 450, 150) is >= 30 and < 60 ? Ink : Rgba8.White));
        whites.Count.ShouldBe(2);
        var both = WhiteQuestions.Of(whites, holes, Black, Ppi).ShouldHaveSingleItem();
        (both.Code, both.Proposal, both.Answer).ShouldBe(("enclosed-white", "it prints", $"except={holes.Rings.ShouldHaveSingleItem()}"));
        both.Regions.Length.ShouldBe(2);
        (whites, holes) = Holes(Pictures.Art(300, 300, (x, y) => Belly(x, y) ? Ink : Rgba8.White));
        WhiteQuestions.Of(whites, holes, Black, Ppi).ShouldHaveSingleItem().Answer.ShouldBe("except=1");
        var cream = Artwork.FromPixels(Pictures.Art(300, 300,
            (x, y) => Belly(x, y) ? Ink : Radius(x, y, 150, 200) < 60 ? Rgba8.White : new Rgba8(250, 244, 226)));
        whites = Find.NumberedWhites(cream.Flat, cream.Ground, 24);
        whites.ShouldHaveSingleItem();
        WhiteQuestions.Of(whites, Find.HolesAmong(cream.Flat, whites, 24, Ppi), Black, Ppi).ShouldBeEmpty();
        var cut = Artwork.FromPixels(Pictures.Art(300, 300, (x, y) => Belly(x, y) ? Ink : Radius(x, y, 150, 200) < 60 ? Rgba8.White : default));
        whites = Find.NumberedWhites(cut.Flat, cut.Ground, 24);
        WhiteQuestions.Of(whites, Find.HolesAmong(cut.Flat, whites, 24, Ppi), Black, Ppi).ShouldBeEmpty();
    }

    /// <summary>As a JPEG leaves paper: nearly white, with crumbs of pure white, which are one hole and one place.</summary>
    [Fact]
    public void A_hole_that_noise_has_split_is_one_place()
    {
        var (whites, holes) = Holes(Pictures.Art(300, 300, (x, y) => Radius(x, y, 150, 150) < 130 && Radius(x, y, 150, 200) >= 60 ? Ink
            : x % 6 < 2 && y % 6 < 2 || Radius(x, y, 150, 150) >= 130 ? Rgba8.White : new Rgba8(251, 251, 251)));
        whites.Count.ShouldBeGreaterThan(100);
        var place = WhiteQuestions.Of(whites, holes, Black, Ppi).ShouldHaveSingleItem().Regions.ShouldHaveSingleItem();
        // A disc of 60 px, less the pixels that its edge cuts.
        ((double)place.Count).ShouldBe(Math.PI * 60 * 60, 100);
    }

    /// <summary>A round letter of two colors, and beside it one of its height whose pen swells, as a G's or an R's does around its hole.</summary>
    [Fact]
    public void A_hole_is_asked_about_beside_a_ring_of_its_height()
    {
        var other = new Rgba8(200, 150, 30);
        Rgba8 Pen(int y) => y < 110 ? Ink : other;
        bool Swells(int x, int y) => Radius(x, y, 340, 110) < 90 && Radius(x, y, 370, 110) >= 42;
        Holes(Pictures.Art(460, 220, (x, y) => Swells(x, y) ? Pen(y) : Rgba8.White)).Holes.Rings.ShouldBeEmpty();
        Holes(Pictures.Art(460, 220, (x, y) => Radius(x, y, 110, 110) is >= 45 and < 90 || Swells(x, y) ? Pen(y) : Rgba8.White))
            .Holes.Rings.Count.ShouldBe(2);
    }

    [Theory]
    [InlineData(4, 100)]
    [InlineData(15, 20)]
    public void White_between_the_lines_of_a_net_is_asked_about(int meshes, int mesh)
    {
        // More meshes than are looked at one by one, and few; a line is 3 px wide.
        int side = (meshes * mesh) + 3;
        var (whites, holes) = Holes(Pictures.Art(side + 20, side + 20, (x, y) => (x - 10, y - 10) is var (u, v) && u >= 0 && v >= 0 && u < side && v < side
            && (u % mesh < 3 || v % mesh < 3) ? Ink : Rgba8.White));
        whites.Count.ShouldBe(meshes * meshes);
        holes.Counters.ShouldBeEmpty();
        holes.Rings.Concat(holes.BetweenDots).Order().ShouldBe(Enumerable.Range(1, meshes * meshes));
    }

    [Fact]
    public void Loops_of_script_are_asked_about_though_its_pen_swells()
    {
        // Four loops of one line, whose pen is 4 px at the left of each and 14 px at the right.
        var (whites, holes) = Holes(Pictures.Art(520, 200, (x, y) => Enumerable.Range(0, 4).Any(k =>
            Radius(x, y, 80 + (k * 118), 100) < 62 && Radius(x, y, 77 + (k * 118), 100) >= 54) ? Ink : Rgba8.White));
        whites.Count.ShouldBe(4);
        holes.Rings.ShouldBe([1, 2, 3, 4]);
    }

    [Fact]
    public void Holes_of_a_word_are_one_question_and_stay_bare_unless_answered()
    {
        // Five letters of 80 x 100 px with strokes of 20: O I O I O.
        var art = Pictures.Art(600, 160, (x, y) =>
        {
            int letter = (x - 20) / 110, u = (x - 20) % 110, v = y - 30;
            bool inside = x >= 20 && letter < 5 && u is >= 0 and < 80 && v is >= 0 and < 100;
            return inside && (letter % 2 == 0 ? u is < 20 or >= 60 || v is < 20 or >= 80 : u is >= 30 and < 50) ? Ink : Rgba8.White;
        });
        var (whites, holes) = Holes(art);
        whites.Count.ShouldBe(3);
        holes.Counters.ShouldBe([1, 2, 3]);
        holes.Rings.ShouldBeEmpty();
        var question = WhiteQuestions.Of(whites, holes, Black, Ppi).ShouldHaveSingleItem();
        (question.Proposal, question.Answer).ShouldBe(("they stay bare", "also=1-3"));
        question.AnsweredBy([], [], [2]).Decided.ShouldBeTrue();
        question.AnsweredBy([], [4], []).Decided.ShouldBeFalse();
        question.AnsweredBy([1], [], []).Decided.ShouldBeTrue();
    }

    [Fact]
    public void Small_counters_go_with_their_word_and_the_white_of_an_outlined_letter_stays()
    {
        // O I O I O as above, and a last O whose hole is 4 x 60 px, long and thin: what fills an outlined I.
        var (whites, holes) = Holes(Pictures.Art(710, 160, (x, y) =>
        {
            int letter = (x - 20) / 110, u = (x - 20) % 110, v = y - 30;
            bool inside = x >= 20 && letter < 6 && u is >= 0 and < 80 && v is >= 0 and < 100;
            bool ink = letter switch
            {
                5 => u is < 38 or >= 42 || v is < 20 or >= 80,
                4 => u is < 36 or >= 41 || v is < 48 or >= 53,
                _ => letter % 2 == 0 ? u is < 20 or >= 60 || v is < 20 or >= 80 : u is >= 30 and < 50,
            };
            return inside && ink ? Ink : Rgba8.White;
        }));
        whites.Count.ShouldBe(4);
        var thin = whites.Single(white => white.Bounds.Width == 4);
        var small = whites.Single(white => white.Bounds.Width == 5);
        holes.Counters.ShouldBe([.. whites.Select(white => white.Number).Except([thin.Number])]);
        holes.Counters.ShouldContain(small.Number);
        holes.Region!.Contains(small.FirstX, small.FirstY).ShouldBeTrue();
        holes.Region!.Contains(thin.FirstX, thin.FirstY).ShouldBeFalse();
    }

    [Fact]
    public void A_strip_between_two_colors_is_asked_about_and_one_within_a_color_is_art()
    {
        // A frame around two panels with 20 px of white between them.
        Islands whites;
        WhiteHoles holes;
        (whites, holes) = Holes(Panels(Ink, new Rgba8(150, 20, 30)));
        holes.Strips.ShouldBe([whites.ShouldHaveSingleItem().Number]);
        WhiteQuestions.Of(whites, holes, Black, Ppi).ShouldHaveSingleItem().Answer.ShouldBe("except=1");
        (_, holes) = Holes(Panels(Ink, Ink));
        holes.Strips.ShouldBeEmpty();

        static Plane<Rgba8> Panels(Rgba8 left, Rgba8 right) => Pictures.Art(400, 300, (x, y) =>
            x < 20 || x >= 380 || y < 20 || y >= 280 ? Rgba8.White : x is >= 190 and < 210 && y is >= 30 and < 270 ? Rgba8.White : x < 200 ? left : right);
    }

    [Fact]
    public void White_between_the_dots_of_a_raster_stays_bare_and_small_letters_do_not()
    {
        // Holes of 5 x 5 px every 9 px in ink.
        var (whites, holes) = Holes(Pictures.Art(200, 200, (x, y) =>
            x is < 10 or >= 190 || y is < 10 or >= 190 || (x % 9 < 5 && y % 9 < 5 && x is >= 18 and < 180 && y is >= 18 and < 180) ? Rgba8.White : Ink));
        whites.Count.ShouldBe(18 * 18);
        holes.BetweenDots.Count.ShouldBe(18 * 18);
        WhiteQuestions.Of(whites, holes, Black, Ppi).ShouldHaveSingleItem().Proposal.ShouldBe("they stay bare");
        // The same holes strewn, as stars are.
        (_, holes) = Holes(Pictures.Art(400, 400, (x, y) =>
            x is < 10 or >= 390 || y is < 10 or >= 390 || (x is >= 18 and < 378 && y is >= 18 and < 378 && IsStar(x, y)) ? Rgba8.White : Ink));
        holes.BetweenDots.ShouldBeEmpty();

        // One star of 5 x 5 px somewhere in each square of 20 px.
        static bool IsStar(int x, int y)
        {
            int seed = ((x / 20) * 7919) + ((y / 20) * 104729), left = seed % 14, top = seed / 14 % 14;
            return x % 20 >= left && x % 20 < left + 5 && y % 20 >= top && y % 20 < top + 5;
        }
    }

    [Fact]
    public void A_hole_that_stays_bare_loses_its_mixes_with_the_paper()
    {
        // A ring whose edges are half paper.
        var mixed = new Rgba8((byte)((Ink.R + 255) / 2), (byte)((Ink.G + 255) / 2), (byte)((Ink.B + 255) / 2));
        var art = Pictures.Art(200, 200, (x, y) => Radius(x, y, 100, 100) switch { < 40 or > 81 => Rgba8.White, < 41 or > 80 => mixed, _ => Ink });
        var white = Find.NumberedWhites(art, Ground.Of(art), 24).ShouldHaveSingleItem();
        var hole = Find.PureWhite(art).Enclosed();
        var rim = Rims.OfHoles(hole, hole.Except(hole), 24, RimSearch.At(Ppi));
        white.Count.ShouldBe(hole.Count);
        for (int y = 0; y < 200; y++)
        {
            for (int x = 0; x < 200; x++)
            {
                bool isEdge = art[x, y] == mixed && Radius(x, y, 100, 100) < 60;
                // Half of it, to a level of color.
                rim.Mixed.Coverage[x, y].ShouldBeInRange((byte)(isEdge ? 125 : 0), (byte)(isEdge ? 130 : 0), $"{x},{y}");
            }
        }

        Rims.OfHoles(hole, hole, 24, RimSearch.At(Ppi)).IsEmpty.ShouldBeTrue("it prints");
    }

    [Fact]
    public void Numbers_are_written_as_a_parameter_takes_them() =>
        WhiteQuestions.Numbers(new[] { 9, 1, 2, 5, 7, 8, 20 }.Select(number => new Island(number, default, 1, 0, 0))).ShouldBe("1,2,5,7-9,20");

    private static readonly GarmentSetup Black = new() { Name = "black", PlatenWidth = 14, PlatenHeight = 16, Garment = Rgba8.Black };

    private static (Islands Whites, WhiteHoles Holes) Holes(Plane<Rgba8> art)
    {
        var whites = Find.NumberedWhites(art, Ground.Of(art), 24);
        return (whites, Find.HolesAmong(art, whites, 24, Ppi));
    }

    private static double Radius(int x, int y, int centerX, int centerY) => Math.Sqrt(((x - centerX) * (x - centerX)) + ((y - centerY) * (y - centerY)));

    private static bool Triangle(int x, int y, int size)
    {
        double v = y - 160 + (size / 2.0);
        return v >= 0 && v < size && Math.Abs(x - 150) < v * 0.9;
    }
}
