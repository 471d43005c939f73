using System.Collections.Concurrent;
using System.Collections.Immutable;

namespace Recipes.Imaging.Pictures;

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
    public static ImmutableArray<(Rgba8 From, Rgba8 To, long Pixels)> Of(Plane<Rgba8> before, Plane<Rgba8> after, int most = 12)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        if (before.Grid != after.Grid)
        {
            throw new ArgumentException("The two states differ in size.", nameof(after));
        }

        var changed = Enumerable.Range(0, before.Tiles.Length).Where(i => !ReferenceEquals(before.Tiles[i], after.Tiles[i])).ToArray();
        var buckets = new long[1 << BucketBits];
        var gate = new Lock();
        Each(changed, before, after, () => new long[buckets.Length], (counts, pair, n) => counts[BucketOf(pair)] += n, counts =>
        {
            lock (gate)
            {
                for (int i = 0; i < counts.Length; i++)
                {
                    buckets[i] += counts[i];
                }
            }
        });

        var full = new bool[buckets.Length];
        foreach (int bucket in Enumerable.Range(0, buckets.Length).Where(i => buckets[i] > 0).OrderByDescending(i => buckets[i]).Take(Counted))
        {
            full[bucket] = true;
        }

        var sums = new Dictionary<(Rgba8 From, Rgba8 To), long>();
        Each(changed, before, after, () => new Dictionary<(Rgba8, Rgba8), long>(), (counts, pair, n) =>
        {
            if (full[BucketOf(pair)])
            {
                counts[pair] = counts.GetValueOrDefault(pair) + n;
            }
        }, counts =>
        {
            lock (gate)
            {
                foreach (var (pair, n) in counts)
                {
                    sums[pair] = sums.GetValueOrDefault(pair) + n;
                }
            }
        });

        return
        [
            .. sums.OrderByDescending(move => move.Value)
                .ThenBy(move => Order(move.Key.From)).ThenBy(move => Order(move.Key.To))
                .Take(most).Select(move => (move.Key.From, move.Key.To, move.Value)),
        ];
    }

    // Runs of one move are counted at once.
    private static void Each<TCounts>(
        int[] tiles, Plane<Rgba8> before, Plane<Rgba8> after,
        Func<TCounts> start, Action<TCounts, (Rgba8, Rgba8), int> add, Action<TCounts> end) =>
        Parallel.ForEach(Partitioner.Create(tiles, loadBalance: true), start, (i, _, counts) =>
        {
            Tile<Rgba8> old = before.Tiles[i], fresh = after.Tiles[i];
            (Rgba8, Rgba8) last = default;
            int run = 0;
            for (int y = 0; y < old.Height; y++)
            {
                for (int x = 0; x < old.Width; x++)
                {
                    var pair = (old[x, y], fresh[x, y]);
                    if (!ArtworkDiff.Differs(pair.Item1, pair.Item2))
                    {
                        continue;
                    }

                    if (run > 0 && pair != last)
                    {
                        add(counts, last, run);
                        run = 0;
                    }

                    last = pair;
                    run++;
                }
            }

            if (run > 0)
            {
                add(counts, last, run);
            }

            return counts;
        }, end);

    private static int BucketOf((Rgba8 From, Rgba8 To) pair)
    {
        ulong key = ((ulong)Order(pair.From) << 32) | Order(pair.To);
        // Fibonacci hashing: the golden ratio spreads neighboring keys.
        return (int)((key * 0x9E3779B97F4A7C15) >> (64 - BucketBits));
    }

    private static uint Order(Rgba8 color) => ((uint)color.R << 24) | ((uint)color.G << 16) | ((uint)color.B << 8) | color.A;
}
