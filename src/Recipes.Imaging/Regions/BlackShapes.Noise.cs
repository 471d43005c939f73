using System.Runtime.InteropServices;

namespace Recipes.Imaging;

internal sealed partial class BlackShapes
{
    // Noise keeps within so many levels of luma of the black it lies in. What lies between black on all sides and is thin may be a stripe of
    // navy: then its channels are no further apart than that on the whole, and less where it is wider. Measured on drawings of ours.
    private const int LumaAbove = 20, ThinTint = 40, WideTint = 24;

    // Black with all its noise has less chroma on the whole (Lab D50): 8 at most in the orders, where navy beside yellow keeps 18.
    private const double MostTinted = 15;

    /// <summary>
    /// Adds what noise made of drawn black: pixels over the limits inside of it, and the rim into which a JPEG smears its neighbor's color. Art
    /// without noise has none, so its navy and its 8,8,15 are what they are.
    /// </summary>
    private void TakeNoise(byte[] drawn, Rgba8? ink)
    {
        if (!IsNoisy(drawn, out int luma))
        {
            return;
        }

        Squares.Close(drawn, width, Noise, between, made);
        Add(drawn, made, Dark.Near);
        TakeSpecks(drawn);
        foreach (var (radius, tint) in new[] { (Noise, ThinTint), (Noise + 1, WideTint) })
        {
            var loose = Loose(drawn, luma + LumaAbove);
            if (IsNone(loose))
            {
                break;
            }

            Squares.Open(loose, width, radius, between, made);
            var thin = between;
            Rows((from, to) =>
            {
                loose.AsSpan(from, to - from).CopyTo(thin.AsSpan(from));
                SetOperations.InVectors<ExceptOperation>(thin.AsSpan(from, to - from), made.AsSpan(from, to - from));
            });
            Take(drawn, (size, sides, tints) => (tints <= size * (long)tint || sides.Drawn * 4L <= sides.All * 3L) && sides.Drawn * 4L >= sides.All
                && sides.Beside * 10L <= sides.All, thin, loose);
        }

        TakeNeutral(drawn, luma + LumaAbove, IsBlack);
        // A block of a JPEG, 8 x 8 px, that took its neighbor's color whole.
        Take(drawn, (size, sides, _) => size <= 100 && sides.Drawn * 10L >= sides.All * 6L, Loose(drawn, luma + LumaAbove));
        TakeSpecks(drawn);
        LeaveColored(drawn);

        bool IsBlack(Rgba8 color)
        {
            var lab = LabSpace.D50.Of(color);
            return (Math.Round(lab.L, 6) <= lightness && Math.Round(lab.Chroma, 6) <= chroma)
                || (ink is { } known && color.LargestDifference(known) <= LikeInk / 2);
        }
    }

    // Where a yellow smears over navy, a JPEG has neutral pieces of it; all of it together has its color still.
    private void LeaveColored(byte[] drawn)
    {
        var parts = ConnectedRegions.Of(Plane<byte>.FromContiguous(width, height, drawn), diagonal: true);
        bool[] colored = [.. ColorSum.Of(parts, art).Select(sum => sum.N > 0 && Math.Round(LabSpace.D50.Of(sum.Mean).Chroma, 6) > MostTinted)];
        parts.VisitRuns((y, start, end, number) =>
        {
            if (colored[number])
            {
                drawn.AsSpan((y * width) + start, end - start).Clear();
            }
        });
    }

    // Specks in it, of any luma.
    private void TakeSpecks(byte[] drawn) => Take(drawn, (size, sides, _) => size <= 64 && sides.Open * 9L <= sides.Drawn, Loose(drawn, 255));

    // The tint of noise goes this way and that within a block of a JPEG's color, 16 x 16 px: what is black on the whole around a pixel is black
    // there too. Navy is navy on the whole.
    private void TakeNeutral(byte[] drawn, int lumaMost, Func<Rgba8, bool> isBlack)
    {
        var loose = Loose(drawn, lumaMost);
        if (IsNone(loose))
        {
            return;
        }

        var squares = new BlackSquares(art, dark, loose, WideTint);
        Rows((from, to) =>
        {
            int next = 0;
            for (int i = from; i < to && (next = loose.AsSpan(i, to - i).IndexOfAnyExcept((byte)0)) >= 0; i++)
            {
                i += next;
                loose[i] = dark.Tints[i] <= WideTint && squares.IsAround(i, isBlack) ? (byte)255 : (byte)0;
            }
        });
        Take(drawn, (_, sides, _) => sides.Drawn * 8L >= sides.All, loose);
    }

    // Until the next call.
    private byte[] Loose(byte[] drawn, int lumaMost)
    {
        Rows((from, to) => dark.Loose(drawn, lumaMost, from, near.AsSpan(from, to - from)));
        return near;
    }

    private static bool IsNone(byte[] mask) => mask.AsSpan().IndexOfAnyExcept((byte)0) < 0;

    // Drawn black without noise has a color or two, and those of its few anti-aliased pixels, none of them inside.
    private bool IsNoisy(byte[] drawn, out int luma)
    {
        const int FewColors = 24, Enough = 200_000;
        // Of much black every so many rows of the art say it as well.
        int every = 1 + (drawn.AsSpan().Count((byte)255) / Enough);
        var counts = new Dictionary<Rgba8, int>();
        var inside = new HashSet<Rgba8>();
        long sum = 0, count = 0;
        var row = new Rgba8[width];
        for (int y = (every - (top % every)) % every; y < height; y += every)
        {
            var mask = drawn.AsSpan(y * width, width);
            if (mask.IndexOfAnyExcept((byte)0) < 0)
            {
                continue;
            }

            art.CopyRowTo(y, row);
            for (int x = 0; x < width; x++)
            {
                if (mask[x] != 0)
                {
                    int i = (y * width) + x;
                    CollectionsMarshal.GetValueRefOrAddDefault(counts, row[x], out _)++;
                    sum += dark.Lumas[i];
                    count++;
                    if (inside.Count < FewColors && IsInside(i, x))
                    {
                        inside.Add(row[x]);
                    }
                }
            }
        }

        luma = (int)(sum / Math.Max(1, count));
        return inside.Count >= FewColors || (counts.Count >= FewColors && counts.Values.OrderDescending().Take(3).Sum() * 10L < count * 9);

        bool IsInside(int i, int x) => x >= Noise && x < width - Noise && i >= Noise * width && i < drawn.Length - (Noise * width)
            && drawn[i - Noise] != 0 && drawn[i + Noise] != 0 && drawn[i - (Noise * width)] != 0 && drawn[i + (Noise * width)] != 0;
    }

    private readonly record struct Sides(int Drawn, int Beside, int Open)
    {
        public int All => Drawn + Beside + Open;
    }

    // Adds those connected parts of a mask whose size, sides and sum of tints satisfy a test; a side is beside where it touches what
    // is alike but no candidate.
    private void Take(byte[] drawn, Func<int, Sides, long, bool> test, byte[] candidates, byte[]? alike = null)
    {
        if (IsNone(candidates))
        {
            return;
        }

        var parts = ConnectedRegions.Of(Plane<byte>.FromContiguous(width, height, candidates), diagonal: true);
        var sides = new (int Drawn, int Beside, int Open)[parts.Count + 1];
        var tints = new long[parts.Count + 1];
        parts.VisitRuns((y, start, end, number) =>
        {
            var seen = (Drawn: 0, Beside: 0, Open: 0);
            int from = (y * width) + start, length = end - start;
            long sum = 0;
            foreach (byte tint in dark.Tints.AsSpan(from, length))
            {
                sum += tint;
            }

            Side(y > 0 ? from - width : -1, length, ref seen);
            Side(y < height - 1 ? from + width : -1, length, ref seen);
            Side(start > 0 ? from - 1 : -1, 1, ref seen);
            Side(end < width ? from + length : -1, 1, ref seen);
            Interlocked.Add(ref sides[number].Drawn, seen.Drawn);
            Interlocked.Add(ref sides[number].Beside, seen.Beside);
            Interlocked.Add(ref sides[number].Open, seen.Open);
            Interlocked.Add(ref tints[number], sum);
        });
        var wanted = new bool[parts.Count + 1];
        for (int n = 1; n < wanted.Length; n++)
        {
            wanted[n] = test(parts.Size(n), new Sides(sides[n].Drawn, sides[n].Beside, sides[n].Open), tints[n]);
        }

        parts.VisitRuns((y, start, end, number) =>
        {
            if (wanted[number])
            {
                drawn.AsSpan((y * width) + start, end - start).Fill(255);
            }
        });

        // What lies beside a run, from one place on; -1 where the picture ends there.
        void Side(int from, int length, ref (int Drawn, int Beside, int Open) seen)
        {
            for (int i = from, end = from + length, next; i >= 0 && i < end && (next = candidates.AsSpan(i, end - i).IndexOf((byte)0)) >= 0; i++)
            {
                i += next;
                _ = drawn[i] != 0 ? seen.Drawn++ : alike is not null && alike[i] != 0 ? seen.Beside++ : seen.Open++;
            }
        }
    }
}
