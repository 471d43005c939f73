namespace Recipes.Imaging;

/// <summary>Some rows of an art with those around them, and which of their pixels are like a color.</summary>
internal sealed class ShareBand
{
    /// <summary>The largest step between neighbors that tells of noise and not of an edge.</summary>
    public const int LargestStep = 16;

    // How far from the color noise is looked for.
    private const int Near = 6;

    /// <summary>Copies the rows and marks what is like the color.</summary>
    /// <param name="art">The art.</param>
    /// <param name="first">The first of the band's own rows.</param>
    /// <param name="rows">How many rows are its own.</param>
    /// <param name="around">How many rows above and below are looked at, too.</param>
    /// <param name="isLike">Whether a pixel at alpha above 0 is like the color.</param>
    public ShareBand(Plane<Rgba8> art, int first, int rows, int around, Func<Rgba8, bool> isLike)
    {
        int top = Math.Max(0, first - around);
        (Width, Height, Top, First, Rows) = (art.Width, Math.Min(art.Height, first + rows + around) - top, top, first - top, rows);
        Pixels = new Rgba8[Width * Height];
        Marks = new byte[Pixels.Length];
        Parallel.For(0, Height, y =>
        {
            art.CopyRowTo(top + y, Pixels.AsSpan(y * Width, Width));
            for (int i = y * Width; i < (y + 1) * Width; i++)
            {
                Marks[i] = Pixels[i].A != 0 && isLike(Pixels[i]) ? ColorShare.Like : (byte)0;
            }
        });
    }

    public int Width { get; }

    /// <summary>Its own rows and those around.</summary>
    public int Height { get; }

    /// <summary>The art's row that it begins with.</summary>
    public int Top { get; }

    /// <summary>Where its own rows begin, seen from there.</summary>
    public int First { get; }

    /// <summary>How many rows are its own.</summary>
    public int Rows { get; }

    public Rgba8[] Pixels { get; }

    public byte[] Marks { get; }

    /// <summary>Adds how often each color that is like the one looked for occurs in its own rows.</summary>
    public void Count(Dictionary<Rgba8, long> counts) => Each(() => new Dictionary<Rgba8, long>(), (i, end, mine) =>
    {
        for (; i < end; i++)
        {
            if (Marks[i] != 0)
            {
                mine[Pixels[i]] = mine.GetValueOrDefault(Pixels[i]) + 1;
            }
        }
    }, mine =>
    {
        foreach (var (pixel, count) in mine)
        {
            counts[pixel] = counts.GetValueOrDefault(pixel) + count;
        }
    });

    /// <summary>Adds how often each step between neighbors occurs near the color in its own rows.</summary>
    public void CountSteps(long[] counts)
    {
        var near = Spread(mark => (mark & ColorShare.Like) != 0, Near);
        Each(() => new long[counts.Length], (i, end, mine) =>
        {
            for (; i < end - 1; i++)
            {
                if (near[i] && Pixels[i].A == 255 && Pixels[i].LargestDifference(Pixels[i + 1]) is <= LargestStep and var step)
                {
                    mine[step]++;
                }
            }
        }, mine =>
        {
            for (int step = 0; step < counts.Length; step++)
            {
                counts[step] += mine[step];
            }
        });
    }

    /// <summary>Adds the colors that fill 3 x 3 px of its own rows and aren't like the one looked for.</summary>
    public void AddFull(HashSet<Rgba8> colors)
    {
        Each(() => new HashSet<Rgba8>(), (i, end, mine) =>
        {
            if (i < Width || end + Width > Pixels.Length)
            {
                return;
            }

            Rgba8? last = null;
            for (i++; i < end - 1; i++)
            {
                var here = Pixels[i];
                if (Marks[i] == 0 && here != last && Row(i) && Row(i - Width) && Row(i + Width))
                {
                    mine.Add(here);
                    last = here;
                }

                bool Row(int at) => Pixels[at - 1] == here && Pixels[at] == here && Pixels[at + 1] == here;
            }
        }, colors.UnionWith);
    }

    private void Each<T>(Func<T> start, Action<int, int, T> row, Action<T> add)
    {
        var gate = new Lock();
        Parallel.For(First, First + Rows, start, (y, _, mine) =>
        {
            row(y * Width, (y + 1) * Width, mine);
            return mine;
        }, mine =>
        {
            lock (gate)
            {
                add(mine);
            }
        });
    }

    /// <summary>Pixels whose mark satisfies a test, and those so many px around: a square, since it's only where to look.</summary>
    public bool[] Spread(Func<byte, bool> test, int reach)
    {
        var across = new bool[Pixels.Length];
        var spread = new bool[Pixels.Length];
        Parallel.For(0, Height, y =>
        {
            int last = int.MinValue / 2;
            for (int x = 0, i = y * Width; x < Width + reach; x++)
            {
                if (x < Width && test(Marks[i + x]))
                {
                    last = x;
                }

                if (x >= reach && x - reach < Width)
                {
                    across[i + x - reach] = last >= x - (2 * reach);
                }
            }
        });
        Parallel.For(0, (Width + 63) / 64, strip =>
        {
            int from = strip * 64, count = Math.Min(64, Width - from);
            Span<int> last = stackalloc int[count];
            last.Fill(int.MinValue / 2);
            for (int y = 0; y < Height + reach; y++)
            {
                for (int k = 0; k < count; k++)
                {
                    if (y < Height && across[(y * Width) + from + k])
                    {
                        last[k] = y;
                    }

                    if (y >= reach)
                    {
                        spread[((y - reach) * Width) + from + k] = last[k] >= y - (2 * reach);
                    }
                }
            }
        });
        return spread;
    }
}
