namespace Recipes.Imaging.Tests;

// The definition of cut-out is the command-line contract's; the drawings are worked out by hand.
public class GroundTests
{
    private static readonly Rgba8 Ink = new(20, 40, 90);

    [Fact]
    public void Two_clear_corners_make_a_cut_out_and_one_does_not()
    {
        Kind(40, 40, (x, y) => y == 0 && x is 0 or 39 ? default : Ink).ShouldBe(ArtKind.CutOut);
        Kind(40, 40, (x, y) => (x, y) == (0, 0) ? default : Ink).ShouldBe(ArtKind.FullFrame);
    }

    [Fact]
    public void A_clear_hole_inside_opaque_art_makes_no_cut_out()
    {
        Kind(40, 40, (x, y) => x is > 0 and < 39 && y is > 0 and < 39 ? default : Ink).ShouldBe(ArtKind.FullFrame);
        // The same hole open at one pixel of the edge reaches it, with 1,445 of 1,600 px.
        Kind(40, 40, (x, y) => (x, y) == (20, 0) || (x is > 0 and < 39 && y is > 0 and < 39) ? default : Ink).ShouldBe(ArtKind.CutOut);
    }

    [Theory]
    [InlineData(255, 255, 255)]
    [InlineData(255, 248, 231)] // cream
    [InlineData(214, 214, 214)] // gray
    public void A_figure_on_paper_lies_on_the_paper_that_is_there(byte r, byte g, byte b)
    {
        var paper = new Rgba8(r, g, b);
        var ground = Ground.Of(Pictures.Art(60, 60, (x, y) => x is > 15 and < 40 && y is > 15 and < 40 ? Ink : paper));
        ground.ShouldBe(new Ground(ArtKind.OnPaper, paper, new Box(0, 0, 60, 60)));
    }

    [Fact]
    public void A_figure_that_one_side_cuts_off_lies_on_paper_all_the_same() =>
        Kind(60, 60, (x, y) => x is > 5 and < 55 && y > 20 ? Ink : Rgba8.White).ShouldBe(ArtKind.OnPaper);

    [Fact]
    public void Noisy_paper_is_white_where_white_is_meant()
    {
        var random = new Random(7);
        var noise = Enumerable.Range(0, 3600).Select(_ => (byte)random.Next(251, 256)).ToArray();
        var ground = Ground.Of(Pictures.Art(60, 60, (x, y) =>
            x is > 15 and < 40 && y is > 15 and < 40 ? Ink : new Rgba8(noise[(y * 60) + x], noise[(y * 60) + x], noise[(y * 60) + x])));
        (ground.Kind, ground.Paper).ShouldBe((ArtKind.OnPaper, Rgba8.White));
    }

    [Fact]
    public void A_picture_without_paper_is_full_frame_and_one_with_some_is_mixed()
    {
        Kind(60, 60, (x, y) => new Rgba8((byte)(x * 4), (byte)(y * 4), 90)).ShouldBe(ArtKind.FullFrame);
        // Sky of pure white over a third of the height: two corners and some 43 of 100 border pixels.
        Kind(60, 60, (x, y) => y < 20 ? Rgba8.White : Ink).ShouldBe(ArtKind.Mixed);
    }

    [Fact]
    public void What_is_pale_at_the_edge_of_a_photograph_drifts_and_is_no_paper()
    {
        // A sky from 250 at the left to 205 at the right, over sea: more than a quarter of the border, with a corner.
        static byte Sky(int level, int x) => (byte)(level - (x * 3 / 8));
        Kind(120, 90, (x, y) => y < 40 ? new Rgba8(Sky(250, x), Sky(252, x), Sky(255, x)) : Ink).ShouldBe(ArtKind.FullFrame);
        Kind(120, 90, (x, y) => y < 40 ? new Rgba8(250, 252, 255) : Ink).ShouldBe(ArtKind.Mixed);
    }

    /// <summary>A lamp at one side shades a sheet by some levels; planks and walls run over all of the levels that are near their own color.</summary>
    [Fact]
    public void A_shaded_sheet_is_paper_and_a_wall_of_planks_is_not()
    {
        Kind(120, 90, (x, y) => Figure(x, y) ? Ink : Gray(228 - (x * 12 / 120))).ShouldBe(ArtKind.OnPaper);
        Kind(120, 90, (x, y) => Figure(x, y) ? Ink : Gray(200 + ((x / 6) + (y / 20)) % 5 * 9)).ShouldBe(ArtKind.FullFrame);

        static bool Figure(int x, int y) => x is > 40 and < 80 && y is > 30 and < 60;
        static Rgba8 Gray(int level) => new((byte)level, (byte)level, (byte)level);
    }

    [Fact]
    public void The_ground_goes_with_the_art()
    {
        var art = Artwork.FromPixels(Pictures.Art(60, 60, (x, y) => x is > 15 and < 40 && y is > 15 and < 40 ? Ink : Rgba8.White), 30);
        art.WithGround(art.Ground).ShouldBeSameAs(art);
        // Cleaned away, the paper still was there.
        var clear = Plane<Rgba8>.OneValue(60, 60, Rgba8.ClearWhite);
        var cleaned = art.WithLayer(Layer.Replace("bare", LayerIntent.LeaveBare, clear, Find.PureWhite(art.Flat).Coverage));
        Ground.Of(cleaned.Flat).Kind.ShouldBe(ArtKind.CutOut);
        cleaned.Ground.ShouldBe(art.Ground);
        // On a platen of 120 x 160 px, in a box of twice the size.
        var setup = new GarmentSetup { Name = "s", PlatenWidth = 2, PlatenHeight = 3 };
        Platen.Place(cleaned, new Box(0, 20, 120, 120), setup, 60).Ground.ShouldBe(art.Ground with { Edge = new Box(0, 20, 120, 120), Scale = 0.5 });
    }

    // A quarter of the picture, in a box that reaches beyond the platen by half of itself each way: what is kept, and where the picture's edge is then.
    [Fact]
    public void Beyond_the_platen_the_art_is_cut_off_and_its_edge_with_it()
    {
        var art = Artwork.FromPixels(Pictures.Art(60, 60, (x, y) => x is >= 30 and < 40 && y is >= 30 and < 40 ? Ink : Rgba8.White), 30);
        var setup = new GarmentSetup { Name = "s", PlatenWidth = 2, PlatenHeight = 3 };
        var placed = Platen.Place(art, new Box(-60, -60, 120, 120), setup, 60);
        placed.Grid.ShouldBe(new TileGrid(120, 180));
        placed.Ground.ShouldBe(art.Ground with { Edge = new Box(0, 0, 60, 60), Scale = 0.5, Whole = new Box(-60, -60, 120, 120) });
        // Back to its own size it has its own pixels again, as far as its word goes.
        var shrunk = Platen.Place(placed, new Box(0, 0, 60, 90), setup, 60);
        shrunk.Ground.Scale.ShouldBe(1);
        // What shrinking took away doesn't come back.
        var tiny = Platen.Place(shrunk, new Box(0, 0, 12, 18), setup, 60);
        tiny.Ground.Scale.ShouldBe(1);
        Platen.Place(tiny, new Box(0, 0, 60, 90), setup, 60).Ground.Scale.ShouldBe(1);
        Platen.Place(tiny, new Box(0, 0, 600, 900), setup, 60).Ground.Scale.ShouldBe(0.2, 1e-9);
        // What is drawn is cut off by nobody.
        Should.Throw<ArgumentException>(() => Platen.Place(art, new Box(60, -60, 120, 120), setup, 60)).Message.ShouldContain("drawn");
        // 10 px of 60 across make 20 of 120, from the corner on; mixed px lie at its sides.
        (placed.Flat[2, 2], placed.Flat[17, 17], placed.Flat[22, 0], placed.Flat[119, 179]).ShouldBe((Ink, Ink, Rgba8.White, Rgba8.White));
        foreach (var box in (Box[])[new(120, 0, 10, 10), new(-10, 0, 10, 10), new(0, 180, 10, 10), new(0, 0, 0, 10)])
        {
            Should.Throw<ArgumentException>(() => Platen.Place(art, box, setup, 60), $"{box}");
        }
    }

    [Fact]
    public void What_a_region_counts_as_outside_follows_the_ground_that_was_said()
    {
        // Alone it looks cut out, and its white is enclosed; known to have lain on paper, the white at the edge was paper.
        var flat = Pictures.Art(10, 10, (x, y) => y < 5 ? Rgba8.ClearWhite : Rgba8.White);
        Find.PureWhite(flat).Enclosed().Count.ShouldBe(50);
        Find.PureWhite(flat).On(new Ground(ArtKind.OnPaper, Rgba8.White, new Box(0, 0, 10, 10))).Enclosed().Count.ShouldBe(0);
    }

    private static ArtKind Kind(int width, int height, Func<int, int, Rgba8> pixel) => Ground.Of(Pictures.Art(width, height, pixel)).Kind;
}
