using CsCheck;
using OpenCvSharp;
using System.Text.Json;

namespace Recipes.Imaging.Tests;

public class DistanceTests
{
    private static JsonElement Cases() =>
        JsonDocument.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Values", "morphology_cases.json"))).RootElement;

    // Definitions: Serra 1982, Felzenszwalb and Huttenlocher 2012; values by brute force (Values/morphology_cases.json).
    [Fact]
    public void Squared_distances_of_the_worked_case_agree()
    {
        var region = Pictures.Of(Cases().GetProperty("pattern").Deserialize<string[]>()!);
        region.Count.ShouldBe(Cases().GetProperty("foreground").GetInt32());
        Distance.Squared(region.Coverage, toRegion: false)
            .ShouldBe(Cases().GetProperty("edt_squared").Deserialize<int[][]>()!.SelectMany(row => row));
    }

    [Theory]
    [InlineData("1")]
    [InlineData("2")]
    [InlineData("3")]
    public void Choke_of_the_worked_case_is_erosion_by_the_disc(string n)
    {
        var region = Pictures.Of(Cases().GetProperty("pattern").Deserialize<string[]>()!);
        var expected = Cases().GetProperty("erosions").GetProperty(n).GetProperty("disc_euclidean").Deserialize<string[]>()!;
        Pictures.Rows(region.Choke(int.Parse(n))).ShouldBe(expected);
    }

    [Fact]
    public void Squared_distances_equal_brute_force() => Pictures.SoftRegions.Where(r => r.Coverage.Width * r.Coverage.Height <= 1200).Holds(region =>
    {
        int w = region.Coverage.Width, h = region.Coverage.Height;
        int[] inward = Distance.Squared(region.Coverage, toRegion: false), outward = Distance.Squared(region.Coverage, toRegion: true);
        for (int y = 0; y < h; y++)
        {
            for (int x = 0; x < w; x++)
            {
                int toOut = int.MaxValue, toIn = int.MaxValue;
                for (int v = -1; v <= h; v++)
                {
                    for (int u = -1; u <= w; u++)
                    {
                        int d = ((u - x) * (u - x)) + ((v - y) * (v - y));
                        bool inside = u >= 0 && v >= 0 && u < w && v < h && region.Contains(u, v);
                        toIn = inside ? Math.Min(toIn, d) : toIn;
                        toOut = inside ? toOut : Math.Min(toOut, d);
                    }
                }

                inward[(y * w) + x].ShouldBe(toOut);
                outward[(y * w) + x].ShouldBe(toIn);
            }
        }
    }, iter: 60);

    // OpenCV's exact transform (DIST_MASK_PRECISE) gives the distance to the nearest pixel that is 0; a border of 0 is the outside,
    // which isn't in the region. Its distances are floats: squared, below 2^20, they are off by less than a half.
    [Fact]
    public void Squared_distances_are_OpenCvs()
    {
        OpenCv.OrSkip();
        int compared = 0;
        Pictures.HardRegions.Holds(region =>
        {
            int w = region.Coverage.Width, h = region.Coverage.Height;
            using var mask = Pictures.ToMat(region);
            using Mat framed = new(), distances = new(), reversed = new(), outward = new();
            Cv2.CopyMakeBorder(mask, framed, 1, 1, 1, 1, BorderTypes.Constant, Scalar.All(0));
            Cv2.DistanceTransform(framed, distances, DistanceTypes.L2, DistanceTransformMasks.Precise);
            Cv2.BitwiseNot(mask, reversed);
            Cv2.DistanceTransform(reversed, outward, DistanceTypes.L2, DistanceTransformMasks.Precise);
            int[] toOut = Distance.Squared(region.Coverage, toRegion: false), toIn = Distance.Squared(region.Coverage, toRegion: true);
            for (int i = 0; i < w * h; i++)
            {
                toOut[i].ShouldBe(Square(distances.At<float>((i / w) + 1, (i % w) + 1)));
                if (!region.IsEmpty)
                {
                    toIn[i].ShouldBe(Square(outward.At<float>(i / w, i % w)));
                    Interlocked.Increment(ref compared);
                }
            }
        }, iter: 100);
        compared.ShouldBeGreaterThan(1000);

        static int Square(float distance) => (int)Math.Round((double)distance * distance);
    }

    // Tile by tile, looking no further than the length, is the same as by exact distances over the whole picture, which the
    // tests around this one hold to their definitions.
    [Fact]
    public void Choke_and_spread_look_no_further_than_they_must()
    {
        var boxes = Gen.Select(Gen.Int[-20, 330], Gen.Int[-20, 280], Gen.Int[1, 200], Gen.Int[1, 200], Gen.Byte).Array[0, 5];
        Gen.Select(boxes, Gen.Int[1, 310], Gen.Int[1, 260], Gen.Double[1, 140]).Holds((boxes, width, height, px) =>
        {
            var samples = new byte[width * height];
            foreach (var (x, y, w, h, value) in boxes)
            {
                for (int v = Math.Max(0, y); v < Math.Min(height, y + h); v++)
                {
                    for (int u = Math.Max(0, x); u < Math.Min(width, x + w); u++)
                    {
                        samples[(v * width) + u] = value;
                    }
                }
            }

            var coverage = Plane<byte>.FromContiguous(width, height, samples);
            int reach = (int)Math.Floor(Math.Round(px * px, 6));
            foreach (bool toRegion in (bool[])[true, false])
            {
                Near.TileChange change = (near, target) => near.CopyTo(target);
                Near.Draw(coverage, toRegion, reach, change).SameSamples(Near.FromDistances(coverage, toRegion, reach, change)).ShouldBeTrue();
            }

            // Who asks about another region alone is told the same about that.
            var region = Pictures.Of(width, height, samples);
            var other = Pictures.Of(width, height, [.. Enumerable.Range(0, samples.Length).Select(i => i % width < width / 3 ? (byte)255 : (byte)0)]);
            region.Spread(px, where: other).Intersect(other).Coverage.SameSamples(region.Spread(px).Intersect(other).Coverage).ShouldBeTrue();
        }, iter: 60);
    }

    [Fact]
    public void Nothing_is_near_an_empty_region()
    {
        Distance.Squared(Pictures.Of("...", "...").Coverage, toRegion: true).ShouldAllBe(d => d == Distance.Unreachable);
        Pictures.Of("...").Spread(1000).IsEmpty.ShouldBeTrue();
    }

    // OpenCV's erode and dilate with the disc as structuring element; outside the image is not in the region.
    [Fact]
    public void Choke_and_spread_are_OpenCvs_erosion_and_dilation_by_a_disc()
    {
        OpenCv.OrSkip();
        Gen.Select(Pictures.HardRegions, Gen.Double[0, 6]).Holds((region, px) =>
        {
            px = Math.Round(px, 3);
            int reach = (int)px;
            using var disc = new Mat((2 * reach) + 1, (2 * reach) + 1, MatType.CV_8UC1, Scalar.All(0));
            for (int y = -reach; y <= reach; y++)
            {
                for (int x = -reach; x <= reach; x++)
                {
                    disc.Set(y + reach, x + reach, (x * x) + (y * y) <= px * px ? (byte)1 : (byte)0);
                }
            }

            using var mask = Pictures.ToMat(region);
            using Mat eroded = new(), dilated = new();
            Cv2.Erode(mask, eroded, disc, borderType: BorderTypes.Constant, borderValue: Scalar.All(0));
            Cv2.Dilate(mask, dilated, disc, borderType: BorderTypes.Constant, borderValue: Scalar.All(0));
            eroded.GetArray(out byte[] choked);
            dilated.GetArray(out byte[] spread);
            region.Choke(px).Coverage.ToContiguous().ShouldBe(choked);
            region.Spread(px).Coverage.ToContiguous().ShouldBe(spread);
        }, iter: 100);
    }

    [Fact]
    public void A_choke_works_at_the_border_of_the_image() =>
        Pictures.Rows(Pictures.Of("####", "####", "####").Choke(1)).ShouldBe(["....", ".##.", "...."]);

    [Fact]
    public void Laws_of_morphology_hold() => Gen.Select(Pictures.HardRegions, Gen.Double[0, 5]).Holds((region, px) =>
    {
        var opened = region.Choke(px).Spread(px);
        opened.Except(region).IsEmpty.ShouldBeTrue();
        Pictures.Same(opened.Choke(px).Spread(px), opened).ShouldBeTrue();
        region.Choke(px).Except(region).IsEmpty.ShouldBeTrue();
        region.Except(region.Spread(px)).IsEmpty.ShouldBeTrue();
    }, iter: 50);

    // Inside the image, choking a spread gives back at least the region (closing is extensive; Serra 1982).
    [Fact]
    public void Choke_of_spread_holds_the_region_away_from_the_border() => Gen.Select(Gen.Bool.Array[20 * 20], Gen.Double[0, 5]).Holds((cells, px) =>
    {
        var samples = new byte[40 * 40];
        for (int i = 0; i < cells.Length; i++)
        {
            samples[((10 + (i / 20)) * 40) + 10 + (i % 20)] = cells[i] ? (byte)255 : (byte)0;
        }

        var region = Pictures.Of(40, 40, samples);
        region.Except(region.Spread(px).Choke(px)).IsEmpty.ShouldBeTrue();
    }, iter: 50);

    [Fact]
    public void Lengths_below_one_pixel_change_nothing_and_rounding_decides_at_six_decimals()
    {
        var region = Pictures.Of(3, 3, [0, 255, 9, 255, 255, 255, 0, 255, 0]);
        region.Choke(0.999).ShouldBeSameAs(region);
        region.Spread(0.999).ShouldBeSameAs(region);
        region.Soften(1).ShouldBeSameAs(region);
        var line = Pictures.Of(".......", ".#####.", ".#####.", ".#####.", ".#####.", ".#####.", ".......");
        line.Choke(2 - 1e-9).Count.ShouldBe(1);
        line.Choke(2 - 1e-5).Count.ShouldBe(9);
        Should.Throw<ArgumentOutOfRangeException>(() => region.Choke(-0.1));
        Should.Throw<ArgumentOutOfRangeException>(() => region.Spread(double.NaN));
        Should.Throw<ArgumentOutOfRangeException>(() => region.Soften(double.NegativeInfinity));
    }

    [Fact]
    public void Soft_edges_count_as_in_and_are_kept_by_a_choke_and_filled_by_a_spread()
    {
        var region = Pictures.Of(7, 1, [0, 0, 0, 80, 0, 0, 0]);
        region.Spread(1).Coverage.ToContiguous().ShouldBe(new byte[] { 0, 0, 255, 255, 255, 0, 0 });
        var tall = Pictures.Of(3, 3, [255, 255, 255, 255, 40, 255, 255, 255, 255]);
        tall.Choke(1).Coverage.ToContiguous().ShouldBe(new byte[] { 0, 0, 0, 0, 40, 0, 0, 0, 0 });
    }

    // By hand, from the definition: an edge between columns 9 and 10, ramp of 4 px: 255 x (1/2 + d / 4).
    [Fact]
    public void Soften_ramps_linearly_across_the_edge()
    {
        var region = Pictures.Of(20, 41, [.. Enumerable.Range(0, 20 * 41).Select(i => i % 20 < 10 ? (byte)255 : (byte)0)]);
        var soft = region.Soften(4);
        Enumerable.Range(6, 8).Select(x => soft.Coverage[x, 20]).ShouldBe(new byte[] { 255, 255, 223, 159, 96, 32, 0, 0 });
        // At the border of the image, where the region ends as well.
        Enumerable.Range(0, 3).Select(x => soft.Coverage[x, 20]).ShouldBe(new byte[] { 159, 223, 255 });
    }
}
