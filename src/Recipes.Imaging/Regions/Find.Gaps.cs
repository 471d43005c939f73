namespace Recipes.Imaging;

public static partial class Find
{
    // Gaps are several, all that is drawn is about one color, in levels and its share, and it is letters: several, and about as high. Ours.
    private const int FewestGaps = 2, OneColor = 40, Strong = 46, FewestLetters = 3;
    private const double MostlyOne = 0.75, AsHigh = 0.6;

    /// <summary>
    /// Whether the white parts at the picture's edge look like the gaps between letters of a tightly cropped wordmark rather than
    /// white of a figure: there are several, and what is drawn is letters of one color.
    /// </summary>
    internal static bool AreGaps(PaperWalk walk)
    {
        if (walk.Edge.Islands().Count < FewestGaps)
        {
            return false;
        }

        // Beyond soft edges and noise.
        var drawn = Drawn(walk.Edge.FoundIn, Strong).Except(walk.Reached);
        var counts = new Dictionary<int, (long Count, long R, long G, long B)>();
        Each(drawn, pixel =>
        {
            int bin = ((pixel.R >> 4) << 8) | ((pixel.G >> 4) << 4) | (pixel.B >> 4);
            var (count, r, g, b) = counts.GetValueOrDefault(bin);
            counts[bin] = (count + 1, r + pixel.R, g + pixel.G, b + pixel.B);
        });
        if (counts.Count == 0)
        {
            return false;
        }

        var (bin, most) = counts.MaxBy(pair => (pair.Value.Count, -pair.Key));
        var color = Mean(most);
        long about = counts.Values.Where(each => Mean(each).LargestDifference(color) <= OneColor).Sum(each => each.Count);
        return about >= MostlyOne * drawn.Count && AreLetters(drawn);

        static Rgba8 Mean((long Count, long R, long G, long B) sum) => new((byte)(sum.R / sum.Count), (byte)(sum.G / sum.Count), (byte)(sum.B / sum.Count));
    }

    // A figure in one color is one shape, or one with small ones beside it.
    private static bool AreLetters(Region drawn)
    {
        int[] high = [.. drawn.Islands(diagonal: true).Select(letter => letter.Bounds.Height)];
        return high.Count(each => each >= AsHigh * high.Max()) >= FewestLetters;
    }

    // Every pixel of the art that a region covers, row by row.
    private static void Each(Region region, Action<Rgba8> see)
    {
        var art = region.FoundIn;
        var coverage = new byte[art.Width];
        var row = new Rgba8[art.Width];
        for (int y = 0; y < art.Height; y++)
        {
            region.Coverage.CopyRowTo(y, coverage);
            if (coverage.AsSpan().IndexOfAnyExcept((byte)0) < 0)
            {
                continue;
            }

            art.CopyRowTo(y, row);
            for (int x = 0; x < row.Length; x++)
            {
                if (coverage[x] != 0)
                {
                    see(row[x]);
                }
            }
        }
    }
}
