using CsCheck;
using OpenCvSharp;

namespace Recipes.Imaging.Tests;

public class StrokeTests
{
    // An independent reading of the two promises: what a choke keeps stays kept, and of every 8-connected part something stays.
    [Fact]
    public void A_choke_that_keeps_strokes_lies_between_choke_and_region_and_loses_no_part()
    {
        OpenCv.OrSkip();
        Pictures.HardRegions.Where(region => region.Coverage.Width * region.Coverage.Height <= 4000).Holds(region =>
        {
            foreach (double px in new[] { 1, 2.362, 5 })
            {
                var kept = region.ChokeKeepingStrokes(px);
                region.Choke(px).Except(kept).IsEmpty.ShouldBeTrue();
                kept.Except(region).IsEmpty.ShouldBeTrue();
                int w = region.Coverage.Width, h = region.Coverage.Height;
                using var mask = Mat.FromPixelData(h, w, MatType.CV_8UC1, region.Coverage.ToContiguous());
                using var labels = new Mat();
                int parts = Cv2.ConnectedComponents(mask, labels, PixelConnectivity.Connectivity8);
                var alive = new HashSet<int>();
                for (int y = 0; y < h; y++)
                {
                    for (int x = 0; x < w; x++)
                    {
                        if (kept.Contains(x, y))
                        {
                            alive.Add(labels.At<int>(y, x));
                        }
                    }
                }

                alive.Count.ShouldBe(parts - 1);
            }
        }, iter: 200);
    }

    // A square has corners and no strokes, so it is choked as by the disc alone; a hair beside it keeps its white.
    [Fact]
    public void Corners_are_choked_and_a_hair_is_kept()
    {
        var square = Region(40, 40, (x, y) => x is >= 5 and < 30 && y is >= 5 and < 30);
        square.ChokeKeepingStrokes(3).Coverage.SameSamples(square.Choke(3).Coverage).ShouldBeTrue();
        var hair = Region(40, 40, (x, y) => (x is >= 5 and < 30 && y is >= 5 and < 30) || (x == 31 && y is >= 2 and < 38));
        var kept = hair.ChokeKeepingStrokes(3);
        Enumerable.Range(2, 36).ShouldAllBe(y => kept.Contains(31, y));
        kept.Contains(5, 5).ShouldBeFalse();
    }

    private static Region Region(int w, int h, Func<int, int, bool> inside)
    {
        byte[] samples = [.. Enumerable.Range(0, w * h).Select(i => inside(i % w, i / w) ? (byte)255 : (byte)0)];
        return new Region(Plane<byte>.FromContiguous(w, h, samples), Plane<Rgba8>.OneValue(w, h, Rgba8.Black));
    }
}
