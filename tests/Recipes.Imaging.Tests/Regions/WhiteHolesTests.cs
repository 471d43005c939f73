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

    [Fact]
    public void A_belly_in_a_body_and_a_sail_in_outline_are_art_and_nobody_is_asked()
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
