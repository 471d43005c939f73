using CsCheck;

namespace Recipes.Imaging.Tests;

public class FlatTests
{
    private static Rgba8 Gray(double v) => new((byte)Math.Clamp(Math.Round(v), 0, 255), (byte)Math.Clamp(Math.Round(v), 0, 255), (byte)Math.Clamp(Math.Round(v), 0, 255));

    private static bool Wing(int x, int y) => ((x - 150) * (x - 150)) + ((y - 110) * (y - 110)) <= 90 * 90;

    private static Plane<Rgba8> Drawn(byte black) => Pictures.Art(300, 220, (x, y) => Wing(x, y) ? Gray(black) : Rgba8.White);

    private static double Share(Plane<Rgba8> art)
    {
        var dark = Find.NearBlack(art, 13, 3);
        dark.Count.ShouldBeGreaterThan(1000);
        return (double)dark.Flat().Count / dark.Count;
    }

    [Fact]
    public void A_drawn_black_is_flat_whole()
    {
        var dark = Find.NearBlack(Drawn(8), 13, 3);
        dark.Flat().ShouldBeSameAs(dark);
    }

    // Real compression noise: OpenCV's encoder. What a flat wing keeps beyond nine tenths is noise in its rim.
    [Theory]
    [InlineData(0, 50)]
    [InlineData(8, 50)]
    [InlineData(8, 75)]
    [InlineData(20, 75)]
    [InlineData(20, 92)]
    public void A_drawn_black_stays_flat_through_JPEG(byte black, int quality)
    {
        OpenCv.OrSkip();
        Share(Pictures.ThroughJpeg(Drawn(black), quality)).ShouldBeGreaterThan(0.9);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(50)]
    [InlineData(75)]
    [InlineData(92)]
    public void Slow_gradients_are_left_alone(int quality)
    {
        Plane<Rgba8>[] shadows =
        [
            Pictures.Art(300, 220, (x, _) => Gray(x * 60 / 300)),
            Pictures.Art(300, 220, (x, y) => Gray((x + (2 * y)) * 35 / 740)),
            Pictures.Art(300, 220, (x, y) => Gray(Math.Sqrt(((x - 150) * (x - 150)) + ((y - 110) * (y - 110))) * 0.2)),
        ];
        if (quality != 0)
        {
            OpenCv.OrSkip();
        }

        foreach (var shadow in shadows)
        {
            Share(quality == 0 ? shadow : Pictures.ThroughJpeg(shadow, quality)).ShouldBeLessThan(0.02);
        }
    }

    [Theory]
    [InlineData(1.5)]
    [InlineData(3)]
    public void Photographic_noise_is_left_alone(double deviation)
    {
        var random = new Random(20260101);
        double Noise() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        Share(Pictures.Art(300, 220, (x, _) => Gray(12 + (x / 50.0) + (deviation * Noise())))).ShouldBeLessThan(0.01);
    }

    // The rule's own figures: 16 px, two thirds of one color, three quarters of the neighbors.
    [Theory]
    [InlineData(4, 4, 16)]
    [InlineData(5, 3, 0)]
    public void Sixteen_pixels_make_a_flat_part(int width, int height, int kept)
    {
        var art = Pictures.Art(40, 40, (x, y) => x < width && y < height ? Gray(8) : Rgba8.White);
        Find.NearBlack(art, 13, 3).Flat().Count.ShouldBe(kept);
    }

    [Theory]
    [InlineData(20, 30)]
    [InlineData(19, 0)]
    public void Two_thirds_of_one_color_make_a_flat_part(int alike, int kept)
    {
        var art = Pictures.Art(30, 1, (x, _) => Gray(x < alike ? 8 : 9 + (x % 2)));
        Pictures.All(art).Flat().Count.ShouldBe(kept);
    }

    [Fact]
    public void Specks_in_a_flat_shape_join_it_and_a_lone_speck_does_not()
    {
        var art = Pictures.Art(60, 60, (x, y) => (x, y) is (30, 30) or (31, 31) ? Gray(15) : x is > 9 and < 50 && y is > 9 and < 50 ? Gray(5) : (x, y) == (2, 2) ? Gray(15) : Rgba8.White);
        var dark = Find.NearBlack(art, 13, 3);
        dark.Count.ShouldBe(1601);
        var flat = dark.Flat();
        flat.Count.ShouldBe(1600);
        flat.Contains(30, 30).ShouldBeTrue();
        flat.Contains(2, 2).ShouldBeFalse();
    }

    // The rule written again without runs or running sums.
    [Fact]
    public void The_rule_is_followed_to_the_pixel() => Gen.Select(Gen.Int[1, 140], Gen.Int[1, 30]).SelectMany((w, h) =>
        Gen.Select(Pictures.OneOf<byte>(5, 5, 5, 5, 6, 7, 9, 12).Array[w * h], Pictures.OneOf<byte>(255, 255, 255, 200, 0).Array[w * h],
            (grays, coverage) => (w, h, grays, coverage))).Holds(t =>
    {
        var (w, h, grays, coverage) = t;
        var art = Pictures.Art(w, h, (x, y) => Gray(grays[(y * w) + x]));
        var flat = new Region(Plane<byte>.FromContiguous(w, h, coverage), art).Flat();
        bool In(int x, int y) => x >= 0 && y >= 0 && x < w && y < h && coverage[(y * w) + x] != 0;
        var part = new int[w * h];
        var good = new HashSet<int>();
        for (int i = 0, number = 0; i < part.Length; i++)
        {
            if (coverage[i] == 0 || part[i] != 0)
            {
                continue;
            }

            part[i] = ++number;
            var members = new List<int> { i };
            for (int m = 0; m < members.Count; m++)
            {
                int x = members[m] % w, y = members[m] / w;
                foreach (var (u, v) in new[] { (x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1) })
                {
                    if (In(u, v) && part[(v * w) + u] == 0 && Math.Abs(grays[(v * w) + u] - grays[members[m]]) <= 2)
                    {
                        part[(v * w) + u] = number;
                        members.Add((v * w) + u);
                    }
                }
            }

            if (members.Count >= 16 && members.GroupBy(m => grays[m]).Max(g => g.Count()) * 3 >= members.Count * 2)
            {
                good.Add(number);
            }
        }

        for (int i = 0; i < part.Length; i++)
        {
            int all = 0, near = 0;
            for (int v = (i / w) - 8; v <= (i / w) + 8; v++)
            {
                for (int u = (i % w) - 8; u <= (i % w) + 8; u++)
                {
                    all += In(u, v) ? 1 : 0;
                    near += In(u, v) && good.Contains(part[(v * w) + u]) ? 1 : 0;
                }
            }

            bool kept = coverage[i] != 0 && (good.Contains(part[i]) || near * 4 >= all * 3);
            flat.Coverage[i % w, i / w].ShouldBe(kept ? coverage[i] : (byte)0);
        }
    }, iter: 30);
}
