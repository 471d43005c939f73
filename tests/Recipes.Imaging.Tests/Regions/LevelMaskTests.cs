namespace Recipes.Imaging.Tests.Regions;

/// <summary>The masks that are made of sixteen pixels at once against the definitions, said here once more of one pixel.</summary>
public sealed class LevelMaskTests
{
    // Levels at and beside every bound.
    private static readonly byte[] Levels = [0, 1, 2, 127, 200, 230, 231, 232, 254, 255];

    [Fact]
    public void Each_question_is_answered_as_it_is_defined()
    {
        var pixels = (from r in Levels from g in Levels from b in Levels from a in Levels select new Rgba8(r, g, b, a)).ToArray();
        ShouldBe(LevelTest.PureWhite, pixels, p => p is { R: 255, G: 255, B: 255, A: > 0 });
        ShouldBe(LevelTest.PureBlack, pixels, p => p is { R: 0, G: 0, B: 0, A: > 0 });
        ShouldBe(LevelTest.Transparent, pixels, p => p.A == 0);
        ShouldBe(LevelTest.AtLeast(231), pixels, p => p.R >= 231 && p.G >= 231 && p.B >= 231);
        ShouldBe(LevelTest.AtLeast(0), pixels, _ => true);
        ShouldBe(new LevelTest(new Rgba8(1, 127, 200, 2), new Rgba8(230, 254, 231, 254)), pixels,
            p => p.R is >= 1 and <= 230 && p.G is >= 127 and <= 254 && p.B is >= 200 and <= 231 && p.A is >= 2 and <= 254);
    }

    // What prints and what is seen, as one pixel's ink state and its distance from the cloth say it.
    [Fact]
    public void What_prints_and_what_is_seen_is_what_each_pixel_says()
    {
        var pixels = (from r in Levels from g in Levels from b in Levels from a in Levels select new Rgba8(r, g, b, a)).ToArray();
        foreach (var rules in from white in Either from black in Either from clear in Either
            select new InkRules { WhiteBare = white, BlackBare = black, TransparentBare = clear })
        {
            ShouldBe(LevelTests.Prints(rules).Mask, pixels, p => rules.StateOf(p) == InkState.Prints);
            Find.Printing(Plane<Rgba8>.FromContiguous(100, 100, pixels), rules).Coverage.ToContiguous()
                .ShouldBe(pixels.Select(p => rules.StateOf(p) == InkState.Prints ? (byte)255 : (byte)0));
            foreach (var cloth in (Rgba8[])[new(22, 22, 24), Rgba8.White, new(128, 0, 254)])
            {
                ShouldBe(LevelTests.Seen(rules, cloth, 23).Mask, pixels,
                    p => p.A >= 128 && rules.StateOf(p) == InkState.Prints && p.LargestDifference(cloth) > 23);
            }
        }
    }

    // The shades beside paper, by their definitions.
    [Fact]
    public void Each_pixel_has_the_shade_that_its_distance_from_the_paper_says()
    {
        var pixels = (from r in Levels from g in Levels from b in Levels from a in Levels select new Rgba8(r, g, b, a)).ToArray();
        foreach (var (paper, background, nearArt) in (ReadOnlySpan<(Rgba8, int, int)>)
            [(Rgba8.White, 8, 23), (new(231, 230, 200), 30, 60), (new(128, 127, 126), 127, 127), (new(200, 201, 1), 0, 3), (new(127, 2, 254), 140, 200),
                (Rgba8.White, 9, 2)])
        {
            var shades = new PaperShades(Plane<Rgba8>.FromContiguous(100, 100, pixels), paper, new PaperTolerance(background, nearArt, 0));
            foreach (var shade in Enum.GetValues<PaperShade>())
            {
                shades.Of(shade).Coverage.ToContiguous().ShouldBe(pixels.Select(p => Of(p) == shade ? (byte)255 : (byte)0), $"{paper} {background} {shade}");
            }

            PaperShade Of(Rgba8 p)
            {
                int[] off = [p.R - paper.R, p.G - paper.G, p.B - paper.B];
                int far = off.Max(Math.Abs);
                return p.A == 0 ? PaperShade.Clear : far == 0 ? PaperShade.Exact
                    : far <= background && (off.Max() - off.Min()) * 2 <= background ? PaperShade.Paper
                    : far <= nearArt ? PaperShade.Pale : far <= 2 * nearArt ? PaperShade.LightArt : PaperShade.Art;
            }
        }
    }

    [Fact]
    public void Any_number_of_pixels_is_answered_and_nothing_behind_them()
    {
        for (int count = 0; count <= 50; count++)
        {
            var pixels = Enumerable.Range(0, count).Select(i => i % 3 == 0 ? Rgba8.White : Rgba8.Black).ToArray();
            byte[] mask = [.. Enumerable.Repeat((byte)7, 60)];
            LevelTest.PureWhite.Mask(pixels, mask);
            mask.ShouldBe(Enumerable.Range(0, 60).Select(i => (byte)(i >= count ? 7 : i % 3 == 0 ? 255 : 0)));
        }
    }

    private static readonly bool[] Either = [false, true];

    private delegate void Fill(ReadOnlySpan<Rgba8> pixels, Span<byte> mask);

    private static void ShouldBe(Fill fill, Rgba8[] pixels, Func<Rgba8, bool> defined)
    {
        var mask = new byte[pixels.Length];
        fill(pixels, mask);
        mask.ShouldBe(pixels.Select(pixel => defined(pixel) ? (byte)255 : (byte)0));
    }

    private static void ShouldBe(LevelTest test, Rgba8[] pixels, Func<Rgba8, bool> defined)
    {
        ShouldBe(test.Mask, pixels, defined);
        byte[] left = [.. Enumerable.Repeat((byte)7, pixels.Length)];
        test.Clear(pixels, left);
        left.ShouldBe(pixels.Select(pixel => defined(pixel) ? (byte)0 : (byte)7));
        pixels.Where(test.Holds).ShouldBe(pixels.Where(defined));
    }
}
