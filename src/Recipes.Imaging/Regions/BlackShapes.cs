namespace Recipes.Imaging;

/// <summary>Which connected near-black shapes of an art are drawn, and which run into a fade; see <see cref="Find.DrawnBlack"/>.</summary>
internal sealed partial class BlackShapes
{
    // Levels by which noise takes a black at the limits from its color. Ours.
    private const int LikeInk = 10;

    // Noise is bridged over so many px; a shape is flat where so many px around a pixel are in it; both ours.
    private const int Noise = 2, Deep = 8;

    // Shares in percent, from drawings and photographs whose truth is known.
    private const int LeastWithin = 20, LeastCrisp = 70, LeastSlow = 15;
    private const int Even = 6, Noisy = 12, LeastSize = 8, LeastDeep = 64, LeastFade = 2000;

    private readonly Plane<Rgba8> art;
    private readonly DarkPixels dark;
    private readonly double lightness, chroma;
    private readonly int width, height, top;

    // Masks that one part of the work after another writes over: new memory costs more than most of these parts.
    private readonly byte[] near, between, made;

    private BlackShapes(Plane<Rgba8> art, int top, DarkPixels dark, double lightness, double chroma)
    {
        (this.art, this.top, this.dark, this.lightness, this.chroma) = (art, top, dark, lightness, chroma);
        (width, height) = (art.Width, art.Height);
        (near, between, made) = (new byte[dark.Kinds.Length], new byte[dark.Kinds.Length], new byte[dark.Kinds.Length]);
    }

    private enum Verdict : byte
    {
        Left,
        Drawn,
        Fade,
    }

    public static DrawnBlack Judge(Plane<Rgba8> art, double lightness, double chroma)
    {
        // Edges and specks reach no further than into the tiles beside those that hold something dark.
        var window = DarkPixels.Around(art, lightness);
        var dark = window is null ? null : DarkPixels.Of(window.Of(art), lightness, chroma);
        if (dark is not { Any: true })
        {
            var none = new Region(Plane<byte>.OneValue(art.Width, art.Height, 0), art);
            return new DrawnBlack(none, none, none, none) { Tinted = none };
        }

        return new BlackShapes(window!.Of(art), window.Top, dark, lightness, chroma).Judge(mask => new Region(window.Back(mask), art));
    }

    private DrawnBlack Judge(Func<Plane<byte>, Region> found)
    {
        var within = new byte[dark.Kinds.Length];
        Rows((from, to) =>
        {
            within.AsSpan(from, to - from).Fill(255);
            dark.Keep(Dark.Within, from, within.AsSpan(from, to - from));
        });
        var core = within;
        var shapes = new Shapes(this, core);
        var ink = shapes.Any(Verdict.Drawn) ? InkAtTheLimits(shapes) : null;
        if (ink is { } atTheLimits)
        {
            core = (byte[])within.Clone();
            AddLike(core, atTheLimits);
            shapes = new Shapes(this, core);
        }

        var drawn = shapes.Mask(Verdict.Drawn);
        if (shapes.Any(Verdict.Drawn))
        {
            Rows((from, to) => SetOperations.InVectors<IntersectOperation>(drawn.AsSpan(from, to - from), core.AsSpan(from, to - from)));
            TakeNoise(drawn, ink);
        }

        var fades = shapes.Mask(Verdict.Fade);
        if (shapes.Any(Verdict.Fade))
        {
            Rows((from, to) => dark.DropExact(from, fades.AsSpan(from, to - from)));
        }

        return new DrawnBlack(Of(within), Of(drawn), Of(fades), Of(Scattered(drawn))) { Tinted = Of(TintedLines(drawn, fades)) };

        Region Of(byte[] mask) => found(Plane<byte>.FromContiguous(width, height, mask));
    }

    // On all cores, so many rows at a time; the work gets the first index and the one after the last.
    private void Rows(Action<int, int> work) => Parallel.For(0, (height + 15) / 16, band => work(band * 16 * width, Math.Min(height, (band + 1) * 16) * width));

    // Adds what is at least of a kind of other pixels, which are changed.
    private void Add(byte[] mask, byte[] others, Dark least) => Rows((from, to) =>
    {
        dark.Keep(least, from, others.AsSpan(from, to - from));
        SetOperations.InVectors<UnionOperation>(mask.AsSpan(from, to - from), others.AsSpan(from, to - from));
    });

    // A black such as office files have, 35,31,32, lies so near the limits that noise takes half of its pixels across: what is
    // drawn with it is told by its color, once some of it has been found. Null where the art's black lies well inside.
    private Rgba8? InkAtTheLimits(Shapes shapes)
    {
        var sums = shapes.DrawnColors();
        long r = 0, g = 0, b = 0, n = 0;
        foreach (var sum in sums)
        {
            if (sum.N == 0)
            {
                continue;
            }

            var lab = LabSpace.D50.Of(sum.Mean);
            if (Math.Round(lab.L, 6) > lightness - 4 || Math.Round(lab.Chroma, 6) > chroma - 1.5)
            {
                (r, g, b, n) = (r + sum.R, g + sum.G, b + sum.B, n + sum.N);
            }
        }

        return n < LeastDeep ? null : new ColorSum(r, g, b, n).Mean;
    }

    private void AddLike(byte[] core, Rgba8 ink)
    {
        Parallel.For(0, height, () => new Rgba8[width], (y, _, row) =>
        {
            var kinds = dark.Kinds.AsSpan(y * width, width);
            if (kinds.IndexOf(Dark.Near) < 0)
            {
                return row;
            }

            art.CopyRowTo(y, row);
            for (int x = 0; x < width; x++)
            {
                if (kinds[x] == Dark.Near && row[x].WithAlpha(255).LargestDifference(ink) <= LikeInk)
                {
                    core[(y * width) + x] = 255;
                }
            }

            return row;
        }, _ => { });
    }

    // Exact black that stays bare while most of what is around it prints nearly black.
    private byte[] Scattered(byte[] drawn)
    {
        var found = new byte[drawn.Length];
        Parallel.For(1, Math.Max(1, height - 1), y =>
        {
            int last = ((y + 1) * width) - 2, next = 0;
            for (int i = (y * width) + 1; i <= last && (next = dark.Levels.AsSpan(i, last - i + 1).IndexOf((byte)0)) >= 0; i++)
            {
                i += next;
                if (dark.Kinds[i] == Dark.Within && drawn[i] == 0)
                {
                    int printing = 0;
                    for (int v = -width; v <= width; v += width)
                    {
                        for (int u = -1; u <= 1; u++)
                        {
                            printing += dark.Levels[i + v + u] > 0 && dark.Kinds[i + v + u] >= Dark.Near && drawn[i + v + u] == 0 ? 1 : 0;
                        }
                    }

                    found[i] = printing >= 5 ? (byte)255 : (byte)0;
                }
            }
        });
        return found;
    }

    private readonly record struct ColorSum(long R, long G, long B, long N)
    {
        public Rgba8 Mean => new((byte)((R + (N / 2)) / N), (byte)((G + (N / 2)) / N), (byte)((B + (N / 2)) / N));

        public static ColorSum[] Of(ConnectedRegions parts, Plane<Rgba8> art, bool[]? wanted = null)
        {
            var sums = new ColorSum[parts.Count + 1];
            parts.Visit(art, (pixels, number) =>
            {
                if (wanted?[number] != false)
                {
                    ref var sum = ref sums[number];
                    foreach (var p in pixels)
                    {
                        sum = new ColorSum(sum.R + p.R, sum.G + p.G, sum.B + p.B, sum.N + 1);
                    }
                }
            });
            return sums;
        }
    }

    // The connected parts of what is nearly black around a core of black, and what each of them is.
    private sealed class Shapes
    {
        private readonly BlackShapes of;
        private readonly byte[] near;
        private readonly ConnectedRegions parts;
        private readonly Shape[] shapes;
        private readonly Verdict[] verdicts;

        public Shapes(BlackShapes of, byte[] core)
        {
            this.of = of;
            int width = of.width;
            near = of.near;
            Squares.Grow(core, width, Noise, near);
            of.Rows((from, to) => of.dark.Keep(Dark.Near, from, near.AsSpan(from, to - from)));
            Squares.Close(near, width, Noise, of.between, of.made);
            of.Add(near, of.made, Dark.Tinted);
            parts = ConnectedRegions.Of(Plane<byte>.FromContiguous(width, of.height, near), diagonal: true);
            shapes = new Shape[parts.Count + 1];
            parts.VisitRuns((y, start, end, number) => Look(core, y, start, end, ref shapes[number]));
            verdicts = new Verdict[shapes.Length];
            int large = 0;
            for (int number = 1; number < shapes.Length; number++)
            {
                shapes[number].Place = parts.Size(number) >= 4 * LeastDeep ? ++large : 0;
            }

            var levels = Depths(large + 1);
            for (int number = 1; number < verdicts.Length; number++)
            {
                verdicts[number] = Judge(parts.Size(number), shapes[number], levels[shapes[number].Place]);
            }
        }

        public bool Any(Verdict verdict) => verdicts.Contains(verdict);

        public byte[] Mask(Verdict verdict) => Any(verdict)
            ? parts.Mask(of.width, of.height, [.. verdicts.Select(v => v == verdict)]).ToContiguous()
            : new byte[of.dark.Kinds.Length];

        public ColorSum[] DrawnColors() => ColorSum.Of(parts, of.art, [.. verdicts.Select(verdict => verdict == Verdict.Drawn)]);

        private static Verdict Judge(int size, Shape shape, int[] levels)
        {
            int edges = shape.Crisp + shape.Slow + shape.Vague, deep = levels.Sum();
            int spread = Spread(levels, deep);
            if (size < LeastSize || shape.Core * 100L < size * (long)LeastWithin)
            {
                return Verdict.Left;
            }

            bool slow = shape.Slow >= 40 && shape.Slow * 100L >= edges * (long)LeastSlow;
            bool crisp = shape.Crisp > 0 && (shape.Crisp * 100L >= edges * (long)LeastCrisp
                || (shape.Crisp * 2L >= edges && shape.Slow * 200L < edges * (long)LeastSlow));
            bool thin = deep < LeastDeep || deep * 10L < size;
            if (crisp && !slow && (thin || spread <= Noisy))
            {
                return Verdict.Drawn;
            }

            // Exact black needs no answer: it is bare already.
            return spread <= Even && deep >= LeastDeep && size >= LeastFade && shape.Exact * 2L < size ? Verdict.Fade : Verdict.Left;
        }

        // Between the tenth and the ninetieth of a hundred.
        private static int Spread(int[] levels, int count)
        {
            int low = -1, high = -1;
            for (int level = 0, sum = 0; level < levels.Length && high < 0; level++)
            {
                sum += levels[level];
                low = low < 0 && sum * 10L >= count ? level : low;
                high = sum * 10L >= count * 9L ? level : high;
            }

            return high - low;
        }

        private void Look(byte[] core, int y, int start, int end, ref Shape shape)
        {
            var edges = new BlackEdges(of.dark);
            var seen = default(Shape);
            int width = of.width, row = (y * width) + start, length = end - start;
            seen.Core = length - core.AsSpan(row, length).Count((byte)0);
            seen.Exact = of.dark.Levels.AsSpan(row, length).Count((byte)0);
            foreach (int down in (ReadOnlySpan<int>)[-1, 1])
            {
                if (y + down < 0 || y + down >= of.height)
                {
                    continue;
                }

                var beside = near.AsSpan(row + (down * width), length);
                for (int x = beside.IndexOf((byte)0); x >= 0;)
                {
                    seen.Count(edges.At(start + x, y, 0, down));
                    int next = beside[(x + 1)..].IndexOf((byte)0);
                    x = next < 0 ? -1 : x + 1 + next;
                }
            }

            if (start > 0)
            {
                seen.Count(edges.At(start, y, -1, 0));
            }

            if (end < width)
            {
                seen.Count(edges.At(end - 1, y, 1, 0));
            }

            shape.Add(seen);
        }

        // How light large shapes are deep inside, where an edge's noise doesn't reach: so many pixels of each level.
        private int[][] Depths(int count)
        {
            var levels = Enumerable.Range(0, count).Select(_ => new int[256]).ToArray();
            int width = of.width, far = Deep * width;
            parts.VisitRuns((y, start, end, number) =>
            {
                if (shapes[number].Place == 0 || y < Deep || y >= of.height - Deep)
                {
                    return;
                }

                // Neighbors are alike more often than not.
                var counts = levels[shapes[number].Place];
                int level = 0, count = 0;
                for (int x = start + Deep, i = (y * width) + x; x < end - Deep; x++, i++)
                {
                    if (near[i - far] == 0 || near[i + far] == 0)
                    {
                        continue;
                    }

                    if (of.dark.Levels[i] != level)
                    {
                        Interlocked.Add(ref counts[level], count);
                        (level, count) = (of.dark.Levels[i], 0);
                    }

                    count++;
                }

                Interlocked.Add(ref counts[level], count);
            });
            return levels;
        }
    }

    private struct Shape
    {
        public int Core, Exact, Crisp, Slow, Vague, Place;

        public void Count(BlackEdge edge)
        {
            Crisp += edge == BlackEdge.Crisp ? 1 : 0;
            Slow += edge == BlackEdge.Slow ? 1 : 0;
            Vague += edge == BlackEdge.Vague ? 1 : 0;
        }

        // Sums don't depend on the order of threads.
        public void Add(Shape other)
        {
            Interlocked.Add(ref Core, other.Core);
            Interlocked.Add(ref Exact, other.Exact);
            Interlocked.Add(ref Crisp, other.Crisp);
            Interlocked.Add(ref Slow, other.Slow);
            Interlocked.Add(ref Vague, other.Vague);
        }
    }
}
