using System.Collections.Immutable;

namespace Recipes.Imaging.Pictures;

/// <summary>One of the main color moves: so many pixels went from one color to another.</summary>
public sealed record ColorMove(Rgba8 From, Rgba8 To, long Pixels);

/// <summary>Counts which colors became which.</summary>
public static class ColorMoves
{
    // Pairs of colors fall into this many buckets; a bucket's sum bounds each of its pairs from above.
    private const int BucketBits = 18;
    // So many of the fullest buckets are counted pair by pair.
    private const int Counted = 4096;

    /// <summary>The main moves, most pixels first; of equal ones the lower color first.</summary>
    /// <remarks>
    /// Counts are exact. In art whose moves scatter over far more color pairs than that, a small move may be missing from the
    /// list, never a large one: first the fullest of 262,144 buckets are found, then the pairs in them are counted.
    /// </remarks>
    /// <param name="before">The flattened art before.</param>
    /// <param name="after">The flattened art after, of the same size.</param>
    /// <param name="most">The longest list.</param>
    public static ImmutableArray<ColorMove> Of(Plane<Rgba8> before, Plane<Rgba8> after, int most = 12)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        if (before.Grid != after.Grid)
        {
            throw new ArgumentException("The two states differ in size.", nameof(after));
        }

        long[] buckets = new long[1 << BucketBits];
        Each(before, after, () => new long[buckets.Length], (counts, pair, pixels) => counts[BucketOf(pair)] += pixels, counts =>
        {
            for (int i = 0; i < counts.Length; i++)
            {
                buckets[i] += counts[i];
            }
        });

        bool[] full = Fullest(buckets);
        var sums = new Dictionary<ulong, long>();
        Each(before, after, () => new Dictionary<ulong, long>(), (counts, pair, pixels) =>
        {
            if (full[BucketOf(pair)])
            {
                counts[pair] = counts.GetValueOrDefault(pair) + pixels;
            }
        }, counts =>
        {
            foreach (var (pair, pixels) in counts)
            {
                sums[pair] = sums.GetValueOrDefault(pair) + pixels;
            }
        });

        var moves = new List<ColorMove>();
        foreach (var (pair, pixels) in sums)
        {
            moves.Add(new ColorMove(Color((uint)(pair >> 32)), Color((uint)pair), pixels));
        }

        moves.Sort((a, b) => a.Pixels != b.Pixels ? b.Pixels.CompareTo(a.Pixels) : PairOf(a.From, a.To).CompareTo(PairOf(b.From, b.To)));
        return [.. moves.Take(most)];
    }

    private static void Each<TCounts>(
        Plane<Rgba8> before, Plane<Rgba8> after, Func<TCounts> start, Action<TCounts, ulong, int> add, Action<TCounts> end)
        where TCounts : class
    {
        var gate = new Lock();
        Parallel.For(0, before.Tiles.Length, start, (i, _, counts) =>
        {
            if (!ReferenceEquals(before.Tiles[i], after.Tiles[i]))
            {
                foreach (var run in new ChangedRuns(before.Tiles[i], after.Tiles[i]))
                {
                    if (run.Counts)
                    {
                        add(counts, PairOf(run.Before, run.After), run.Pixels);
                    }
                }
            }

            return counts;
        }, counts =>
        {
            lock (gate)
            {
                end(counts);
            }
        });
    }

    // The fullest buckets; of equal ones the first.
    private static bool[] Fullest(long[] buckets)
    {
        long[] sorted = Array.FindAll(buckets, count => count > 0);
        Array.Sort(sorted);
        // What is over the level of the last that has room is in; then the first of those on that level, as long as there is room.
        long level = sorted.Length > Counted ? sorted[^Counted] : 1;
        int room = Counted - sorted.Count(count => count > level);
        var full = new bool[buckets.Length];
        for (int i = 0; i < buckets.Length; i++)
        {
            full[i] = buckets[i] > level || (buckets[i] == level && room-- > 0);
        }

        return full;
    }

    // Fibonacci hashing: the golden ratio spreads neighboring pairs.
    private static int BucketOf(ulong pair) => (int)((pair * 0x9E3779B97F4A7C15) >> (64 - BucketBits));

    private static ulong PairOf(Rgba8 from, Rgba8 to) => ((ulong)Order(from) << 32) | Order(to);

    private static uint Order(Rgba8 color) => ((uint)color.R << 24) | ((uint)color.G << 16) | ((uint)color.B << 8) | color.A;

    private static Rgba8 Color(uint order) => new((byte)(order >> 24), (byte)(order >> 16), (byte)(order >> 8), (byte)order);
}
