namespace Recipes.Imaging.Tests;

public class BackgroundTests
{
    private const double Ring = 17.7; // 1.5 mm at 300 ppi
    private static readonly Rgba8 Navy = new(20, 30, 80);

    private static Region Background(Plane<Rgba8> art, Region? printed = null) => On(Rgba8.White, art, printed).Reached;

    private static PaperWalk On(Rgba8 paper, Plane<Rgba8> art, Region? printed = null, double ring = Ring) =>
        Find.Background(art, new Ground(ArtKind.OnPaper, paper, new Box(0, 0, art.Width, art.Height)), printed, new PaperTolerance(8, 23, ring));

    private static bool Body(int x, int y) => x is >= 61 and < 203 && y is >= 47 and < 181;

    // Body with a pale left half, on paper.
    private static Plane<Rgba8> Halves(Rgba8 pale, Rgba8 paper) =>
        Pictures.Art(270, 230, (x, y) => !Body(x, y) ? paper : x < 130 ? pale : Navy);

    private static void ShouldBeEverythingBut(Region background, Func<int, int, bool> art)
    {
        for (int y = 0; y < background.Coverage.Height; y++)
        {
            for (int x = 0; x < background.Coverage.Width; x++)
            {
                background.Contains(x, y).ShouldBe(!art(x, y), $"{x},{y}");
            }
        }
    }

    [Theory]
    [InlineData(255)]
    [InlineData(254)]
    [InlineData(247)]
    public void A_background_of_one_near_white_is_found_whole(byte paper) =>
        ShouldBeEverythingBut(Background(Halves(new Rgba8(240, 120, 20), new Rgba8(paper, paper, paper))), Body);

    [Theory]
    [InlineData(246, 246, 246)]
    [InlineData(255, 255, 250)]
    public void A_background_too_dark_or_too_tinted_is_not_found(byte r, byte g, byte b) =>
        Background(Halves(Navy, new Rgba8(r, g, b))).IsEmpty.ShouldBeTrue();

    // trade.md: cream and pink, 24 levels from white, survive whole; so do paler ones that a ring of 23 would eat.
    [Theory]
    [InlineData(255, 248, 231)]
    [InlineData(255, 231, 231)]
    [InlineData(245, 240, 255)]
    [InlineData(240, 250, 255)]
    public void A_flat_pale_shape_between_background_and_dark_art_survives_whole(byte r, byte g, byte b)
    {
        ShouldBeEverythingBut(Background(Halves(new Rgba8(r, g, b), Rgba8.White)), Body);
        ShouldBeEverythingBut(Background(Halves(new Rgba8(r, g, b), new Rgba8(254, 254, 254))), Body);
    }

    [Fact]
    public void A_pale_sky_that_runs_into_a_picture_is_its_fade_as_far_as_it_goes()
    {
        // A round picture: 250 and 251 above, from there to 120 further down.
        var walk = On(Rgba8.White, Pictures.Art(400, 400, (x, y) =>
        {
            int level = (x - 200) * (x - 200) + (y - 200) * (y - 200) > 150 * 150 ? 255 : Math.Clamp(250 - (y - 160), 120, 250 + ((x + y) % 2));
            return new Rgba8((byte)level, (byte)level, (byte)level);
        }));
        walk.Reached.Contains(5, 5).ShouldBeTrue();
        walk.Reached.Contains(200, 60).ShouldBeFalse();
        walk.Fade.Contains(200, 60).ShouldBeTrue();
    }

    [Fact]
    public void Highlights_inside_the_art_survive() => ShouldBeEverythingBut(
        Background(Pictures.Art(270, 230, (x, y) => !Body(x, y) ? Rgba8.White : x is > 100 and < 140 && y is > 80 and < 120 ? new Rgba8(254, 254, 254) : Navy)), Body);

    [Fact]
    public void Whites_made_printable_never_change_back_even_with_soft_edges()
    {
        var art = Pictures.Art(100, 80, (x, y) => x < 50 ? new Rgba8(254, 254, 254) : Rgba8.White);
        var printed = new Region(Plane<byte>.FromContiguous(100, 80, Enumerable.Range(0, 8000).Select(i => i % 100 is > 20 and < 40 ? (byte)(i % 100) : (byte)0).ToArray()), art);
        ShouldBeEverythingBut(Background(art, printed), (x, _) => x is > 20 and < 40);
    }

    [Fact]
    public void Transparent_background_is_part_of_it_whatever_its_color()
    {
        var art = Pictures.Art(60, 60, (x, y) => x is > 20 and < 40 && y is > 20 and < 40 ? Navy : x < 10 ? new Rgba8(90, 0, 0, 0) : Rgba8.White);
        ShouldBeEverythingBut(Background(art), (x, y) => x is > 20 and < 40 && y is > 20 and < 40);
    }

    // The larger tolerance holds in the ring only: the same tinted speck goes beside the art and stays far from it.
    [Fact]
    public void Tinted_dust_goes_in_the_ring_and_stays_outside_of_it()
    {
        var speck = new Rgba8(255, 250, 233);
        var art = Pictures.Art(120, 40, (x, y) => x >= 100 ? Navy : (x, y) is (90, 20) or (50, 20) or (82, 20) or (83, 10) ? speck : Rgba8.White);
        var found = Background(art);
        found.Contains(90, 20).ShouldBeTrue();
        found.Contains(83, 10).ShouldBeTrue();
        found.Contains(82, 20).ShouldBeFalse();
        found.Contains(50, 20).ShouldBeFalse();
        On(Rgba8.White, art, ring: 0).Reached.Contains(90, 20).ShouldBeFalse();
    }

    // Real compression dust. Most of an orange shape's chroma bleed beyond 23 levels stays; a dark one leaves next to none.
    [Theory]
    [InlineData(20, 30, 80, 0.998, 0.98)]
    [InlineData(0, 0, 0, 0.998, 0.98)]
    [InlineData(240, 120, 20, 0.97, 0.8)]
    public void JPEG_dust_of_a_flat_shape_is_found_nearly_completely(byte r, byte g, byte b, double ofBackground, double ofDust)
    {
        OpenCv.OrSkip();
        Func<int, int, bool>[] shapes = [Body, (x, y) => ((x - 131) * (x - 131)) + ((y - 113) * (y - 113)) <= 80 * 80];
        foreach (var shape in shapes)
        {
            var art = Pictures.ThroughJpeg(Pictures.Art(270, 230, (x, y) => shape(x, y) ? new Rgba8(r, g, b) : Rgba8.White), 75);
            var found = Background(art);
            var (paper, reached, dust, reachedDust) = (0, 0, 0, 0);
            for (int y = 0; y < 230; y++)
            {
                for (int x = 0; x < 270; x++)
                {
                    if (shape(x, y))
                    {
                        found.Contains(x, y).ShouldBeFalse();
                        continue;
                    }

                    bool clean = art[x, y] == Rgba8.White, here = found.Contains(x, y);
                    paper++;
                    reached += here ? 1 : 0;
                    dust += clean ? 0 : 1;
                    reachedDust += !clean && here ? 1 : 0;
                }
            }

            dust.ShouldBeGreaterThan(500);
            ((double)reached / paper).ShouldBeGreaterThan(ofBackground);
            ((double)reachedDust / dust).ShouldBeGreaterThan(ofDust);
        }
    }

    [Theory]
    [InlineData(255, 248, 231)]
    [InlineData(245, 240, 255)]
    public void A_pale_shape_survives_JPEG_but_for_crumbs_of_its_rim(byte r, byte g, byte b)
    {
        OpenCv.OrSkip();
        var found = Background(Pictures.ThroughJpeg(Halves(new Rgba8(r, g, b), Rgba8.White), 75));
        var body = new Region(Plane<byte>.FromContiguous(270, 230, Enumerable.Range(0, 270 * 230).Select(i => Body(i % 270, i / 270) ? (byte)255 : (byte)0).ToArray()), found.FoundIn);
        ((double)found.Intersect(body).Count / body.Count).ShouldBeLessThan(0.02);
        ((double)found.Except(body).Count / body.Complement().Count).ShouldBeGreaterThan(0.99);
    }

    [Theory]
    [InlineData(250, 244, 226)]
    [InlineData(232, 232, 232)]
    public void Paper_of_another_color_is_found_by_its_own(byte r, byte g, byte b)
    {
        var paper = new Rgba8(r, g, b);
        var art = Pictures.Art(270, 230, (x, y) => !Body(x, y) ? paper : x < 130 ? Rgba8.White : Navy);
        ShouldBeEverythingBut(On(paper, art).Reached, Body);
    }

    [Theory]
    [InlineData(ArtKind.CutOut)]
    [InlineData(ArtKind.FullFrame)]
    public void Without_paper_only_clear_pixels_that_reach_the_border_are_background(ArtKind kind)
    {
        var art = Pictures.Art(60, 60, (x, y) => x < 20 ? new Rgba8(90, 0, 0, 0) : x is > 30 and < 40 && y is > 30 and < 40 ? default : Rgba8.White);
        var found = Find.Background(art, new Ground(kind, Rgba8.White, new Box(0, 0, 60, 60)), null, new PaperTolerance(8, 23, Ring));
        ShouldBeEverythingBut(found.Reached, (x, _) => x >= 20);
        (found.Edge.IsEmpty, found.Fade.IsEmpty).ShouldBe((true, true));
    }

    // A picture that was placed on a platen: what touches its own edge, not the canvas's, and holds none of its corners.
    [Fact]
    public void White_at_the_edge_is_told_by_the_pictures_own_edge()
    {
        var picture = new Box(40, 30, 200, 160);
        bool Flag(int x, int y) => picture.Contains(x, y) && y is >= 80 and < 140;
        bool Stripe(int x, int y) => Flag(x, y) && y is >= 100 and < 120;
        var art = Pictures.Art(300, 240, (x, y) => !picture.Contains(x, y) ? default : Stripe(x, y) ? Rgba8.White : Flag(x, y) ? Navy : Rgba8.White);
        var found = Find.Background(art, new Ground(ArtKind.Mixed, Rgba8.White, picture), null, new PaperTolerance(8, 23, Ring));
        ShouldBeEverythingBut(found.Reached, (x, y) => Flag(x, y) && !Stripe(x, y));
        ShouldBeEverythingBut(found.Edge, (x, y) => !Stripe(x, y));
    }

    // Of a slow passage nothing goes, not even what is nearly paper; of a quick one all that is pale.
    [Fact]
    public void A_slow_passage_to_the_paper_is_kept_whole_and_told()
    {
        var art = Pictures.Art(400, 60, (x, _) =>
            x < 50 ? new Rgba8(0, 70, 140) : x < 305 ? new Rgba8((byte)(x - 50), (byte)Math.Max(x - 50, 70), (byte)Math.Max(x - 50, 140)) : Rgba8.White);
        var found = On(Rgba8.White, art);
        ShouldBeEverythingBut(found.Reached, (x, _) => x < 305);
        // Within 23 levels of white the red channel is from x = 282 on.
        ShouldBeEverythingBut(found.Fade, (x, _) => x is < 282 or >= 305);
    }

    /// <summary>Lettering whose color runs, in a JPEG: no two pixels are alike, and noise fills the box around it, but that is no photograph's.</summary>
    [Fact]
    public void Noise_around_lettering_whose_color_runs_is_no_photographs_sky()
    {
        var random = new Random(20260202);
        var art = Pictures.Art(320, 160, (x, y) =>
        {
            bool noise = random.Next(10) < 7;
            bool inLetter = Enumerable.Range(0, 3).Any(k => Math.Sqrt(Math.Pow(x - 70 - (k * 80), 2) + Math.Pow(y - 80, 2)) < 39);
            return inLetter ? new Rgba8((byte)(120 + y), (byte)(60 + (y / 2) + random.Next(8)), (byte)random.Next(40))
                : noise && x is >= 27 and < 273 && y is >= 37 and < 123 ? new Rgba8(254, 254, 254) : Rgba8.White;
        });
        Find.Background(art, Ground.Of(art), null, PaperTolerance.At(300)).Photograph.ShouldBeNull();
    }

    [Fact]
    public void Levels_and_sizes_out_of_range_are_refused()
    {
        var art = Plane<Rgba8>.OneValue(4, 4, Rgba8.White);
        var ground = new Ground(ArtKind.OnPaper, Rgba8.White, new Box(0, 0, 4, 4));
        Should.Throw<ArgumentOutOfRangeException>(() => Find.Background(art, ground, null, new PaperTolerance(-1, 23, 1)));
        Should.Throw<ArgumentOutOfRangeException>(() => Find.Background(art, ground, null, new PaperTolerance(8, 256, 1)));
        Should.Throw<ArgumentOutOfRangeException>(() => Find.Background(art, ground, null, new PaperTolerance(8, 23, double.NaN)));
        Should.Throw<ArgumentException>(() => Find.Background(art, ground, Pictures.Of("##"), new PaperTolerance(8, 23, 1)));
    }
}
