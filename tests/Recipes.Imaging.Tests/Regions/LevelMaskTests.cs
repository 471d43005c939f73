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

    private static void ShouldBe(LevelTest test, Rgba8[] pixels, Func<Rgba8, bool> defined)
    {
        var mask = new byte[pixels.Length];
        test.Mask(pixels, mask);
        mask.ShouldBe(pixels.Select(pixel => defined(pixel) ? (byte)255 : (byte)0));
        pixels.Where(test.Holds).ShouldBe(pixels.Where(defined));
    }
}
