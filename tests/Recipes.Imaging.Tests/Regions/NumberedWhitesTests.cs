namespace Recipes.Imaging.Tests;

// The classes are the command-line contract's; the oracle is a plain flood of pixels, and drawings worked out by hand.
public class NumberedWhitesTests
{
    private static readonly Rgba8 Ink = new(20, 40, 90);

    // A bird of 40 x 40 in a frame of paper, its belly 20 px wide; cut by the canvas at the right, the belly runs off.
    private static Plane<Rgba8> Cropped(int width) => Pictures.Art(width, 60, (x, y) =>
        x is >= 10 and < 50 && y is >= 10 and < 50 && !(x is >= 20 and < 40 && y is >= 20 and < 40) ? Ink : Rgba8.White);

    [Fact]
    public void A_belly_that_the_edge_cuts_off_is_numbered_after_what_art_surrounds()
    {
        var whole = Find.NumberedWhites(Cropped(60), Ground.Of(Cropped(60)), 24);
        whole.ShouldBe([new Island(1, new Box(20, 20, 20, 20), 400, 20, 20) { Class = Find.EnclosedWhite }]);
        var art = Cropped(30);
        var white = Find.NumberedWhites(art, Ground.Of(art), 24);
        white.ShouldBe([new Island(1, new Box(20, 20, 10, 20), 200, 20, 20) { Class = Find.EdgeWhite }]);
        white.Pick(_ => true).Count.ShouldBe(200);
        white.NumberAt(25, 25).ShouldBe(1);
        white.NumberAt(0, 0).ShouldBe(0);
    }

    [Fact]
    public void On_a_cut_out_white_at_the_edge_is_art_and_surrounded()
    {
        var art = Pictures.Art(40, 40, (x, y) => y < 10 ? Rgba8.ClearWhite : Rgba8.White);
        Find.NumberedWhites(art, Ground.Of(art), 24).ShouldBe([new Island(1, new Box(0, 10, 40, 30), 1200, 0, 10) { Class = Find.EnclosedWhite }]);
    }

    [Fact]
    public void Checkers_that_were_saved_into_the_picture_are_no_whites_of_the_art()
    {
        // Squares of 8 px in white and 204, a ring of ink with a white middle on them.
        var art = Pictures.Art(160, 160, (x, y) => Math.Sqrt(((x - 80) * (x - 80)) + ((y - 80) * (y - 80))) switch
        {
            < 30 => Rgba8.White,
            < 45 => Ink,
            _ => ((x / 8) + (y / 8)) % 2 == 0 ? Rgba8.White : new Rgba8(204, 204, 204),
        });
        var white = Find.NumberedWhites(art, Ground.Of(art), 24).ShouldHaveSingleItem();
        (white.Class, white.Bounds).ShouldBe((Find.EnclosedWhite, new Box(51, 51, 59, 59)));
        Find.Outside(art, Rgba8.White).IsEmpty.ShouldBeTrue();
    }

    [Fact]
    public void The_edge_is_the_pictures_own_wherever_it_lies_on_a_larger_canvas()
    {
        var art = Artwork.FromPixels(Cropped(30), 60);
        var setup = new GarmentSetup { Name = "s", PlatenWidth = 2, PlatenHeight = 2 };
        var placed = Platen.Place(art, new Box(40, 20, 30, 60), setup, 60);
        var white = Find.NumberedWhites(placed.Flat, placed.Ground, 24);
        white.ShouldBe([new Island(1, new Box(60, 40, 10, 20), 200, 60, 40) { Class = Find.EdgeWhite }]);
    }

    [Fact]
    public void One_place_broken_by_near_white_is_one_number()
    {
        // Rings one level apart, as resampling leaves them; the near white between them is passed.
        var art = Pictures.Art(30, 60, (x, y) =>
            x is >= 10 and < 50 && y is >= 10 and < 50 && !(x >= 20 && y is >= 20 and < 40) ? Ink
            : x >= 20 && y is >= 20 and < 40 && y % 4 == 0 ? new Rgba8(254, 254, 254) : Rgba8.White);
        Find.NumberedWhites(art, Ground.Of(art), 24).ShouldHaveSingleItem().Count.ShouldBe(150);
    }

    // The figure's white takes the picture's last corner; the paper has the other three.
    [Fact]
    public void White_in_one_corner_runs_off_where_paper_holds_the_others()
    {
        var art = Pictures.Art(60, 50, (x, y) => x + y < 20 ? Rgba8.White : x + y < 30 ? Ink : Rgba8.White);
        var white = Find.NumberedWhites(art, new Ground(ArtKind.OnPaper, Rgba8.White, new Box(0, 0, 60, 50)), 24).ShouldHaveSingleItem();
        (white.Class, white.Bounds, white.Count).ShouldBe((Find.EdgeWhite, new Box(0, 0, 20, 20), 210));
        // Where nothing holds two corners, none is the figure's.
        var cross = Pictures.Art(60, 50, (x, y) => x is >= 25 and < 35 || y is >= 20 and < 30 ? Ink : Rgba8.White);
        Find.NumberedWhites(cross, new Ground(ArtKind.Mixed, Rgba8.White, new Box(0, 0, 60, 50)), 24).ShouldBeEmpty();
    }

    // A bust outlined in ink fills the lower side with both its corners; the paper has the upper two and more of the edge.
    [Fact]
    public void A_figure_that_fills_a_whole_side_runs_off()
    {
        var art = Pictures.Art(60, 50, (_, y) => y is >= 30 and < 34 ? Ink : Rgba8.White);
        Find.NumberedWhites(art, new Ground(ArtKind.OnPaper, Rgba8.White, new Box(0, 0, 60, 50)), 24)
            .ShouldBe([new Island(1, new Box(0, 34, 60, 16), 960, 0, 34) { Class = Find.EdgeWhite }]);
    }

    // Levels of the paper as scans have them; the letter touches clear ground once that is cleaned away.
    [Theory]
    [InlineData(240, false)]
    [InlineData(240, true)]
    [InlineData(200, true)]
    public void White_on_colored_paper_is_drawn(int level, bool cleaned)
    {
        var paper = new Rgba8((byte)level, (byte)level, (byte)level);
        var art = Pictures.Art(60, 50, (x, y) => x is >= 20 and < 40 && y is >= 20 and < 30 ? Rgba8.White : cleaned ? Rgba8.ClearWhite : paper);
        Find.NumberedWhites(art, new Ground(ArtKind.OnPaper, paper, new Box(0, 0, 60, 50)), 24)
            .ShouldBe([new Island(1, new Box(20, 20, 20, 10), 200, 20, 20) { Class = Find.EnclosedWhite }]);
    }

    [Fact]
    public void Generated_art_agrees_with_a_plain_flood()
    {
        var random = new Random(11);
        for (int round = 0; round < 300; round++)
        {
            int w = random.Next(4, 22), h = random.Next(4, 22);
            var art = Pictures.Art(w, h, (_, _) => random.Next(5) switch { 0 or 1 => Ink, 2 => new Rgba8(240, 240, 240), _ => Rgba8.White });
            var ground = new Ground(ArtKind.OnPaper, Rgba8.White, new Box(0, 0, w, h));
            var whites = Find.NumberedWhites(art, ground, 24);
            var parts = Parts(art);
            var enclosed = Find.PureWhite(art).On(ground).Enclosed(24);
            whites.Where(white => white.Class == Find.EnclosedWhite).Sum(white => white.Count).ShouldBe(enclosed.Count);
            var edge = whites.Where(white => white.Class == Find.EdgeWhite).ToList();
            var expected = parts.Select(part => part.Where(at => art[at.X, at.Y] == Rgba8.White).ToList()).Where(part => part.Count > 0)
                .OrderBy(part => part.Min(at => (at.Y * w) + at.X)).ToList();
            edge.Select(white => white.Count).ShouldBe(expected.Select(part => (long)part.Count));
            edge.Select(white => (white.FirstX, white.FirstY)).ShouldBe(expected.Select(part => part.MinBy(at => (at.Y * w) + at.X)));
            edge.Select(white => white.Number).ShouldBe(Enumerable.Range(whites.Count - edge.Count + 1, edge.Count));
        }
    }

    // 4-connected parts of near white that touch the edge: those that hold no corner, or where one holds several, all but that with most of the edge.
    private static List<List<(int X, int Y)>> Parts(Plane<Rgba8> art)
    {
        int w = art.Width, h = art.Height;
        var seen = new bool[w, h];
        var found = new List<List<(int X, int Y)>>();
        for (int i = 0; i < w * h; i++)
        {
            var part = new List<(int X, int Y)>();
            var queue = new Queue<(int X, int Y)>([(i % w, i / w)]);
            while (queue.TryDequeue(out var at))
            {
                var (x, y) = at;
                if (x >= 0 && y >= 0 && x < w && y < h && !seen[x, y] && art[x, y].R >= 231)
                {
                    seen[x, y] = true;
                    part.Add(at);
                    queue.Enqueue((x - 1, y));
                    queue.Enqueue((x + 1, y));
                    queue.Enqueue((x, y - 1));
                    queue.Enqueue((x, y + 1));
                }
            }

            bool edge = part.Exists(at => at.X == 0 || at.Y == 0 || at.X == w - 1 || at.Y == h - 1);
            if (edge)
            {
                found.Add(part);
            }
        }

        int Corners(List<(int X, int Y)> part) => part.Count(at => (at.X == 0 || at.X == w - 1) && (at.Y == 0 || at.Y == h - 1));
        int Edge(List<(int X, int Y)> part) => part.Count(at => at.X == 0 || at.Y == 0 || at.X == w - 1 || at.Y == h - 1);
        var papers = found.Where(part => Corners(part) >= 2).ToList();
        return papers.Count == 0 ? [.. found.Where(part => Corners(part) == 0)] : [.. found.Except([papers.MaxBy(Edge)!])];
    }
}
