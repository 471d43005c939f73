namespace Recipes.Imaging;

/// <summary>
/// Finds how much of each pixel is one color: solid pixels of it, and the mixes that anti-aliasing makes of it and its
/// neighbors.
/// </summary>
/// <remarks>
/// Pixels like the color and the middles of thin lines of it are seeds. Up to <see cref="Reach"/> px from a seed, a pixel
/// is a mix where it lies on the line between the color and another one nearby, unless two other colors nearer by explain
/// it. Shares don't rise with the distance from the seed. Each pass writes one array, its own pixel only, and reads those
/// of earlier passes, so the result doesn't depend on the order of threads. What a pixel is depends on those within <see cref="Halo"/> rows,
/// and on what the color and the noise of the whole art are: so a large picture is looked at band by band, which gives the same and holds one
/// band's working memory.
/// </remarks>
internal sealed partial class ColorShare
{
    // Edges of renderers are 1 to 2 px wide; JPEGs blur them and ring around them.
    private const int Reach = 3, LossyReach = 5;

    // How far the passes look, one after the other, with room to spare; and how many pixels are looked at together.
    private const int Halo = 64, BandPixels = 1 << 25;

    // Marks of a pixel. Like: within the difference. Solid, Thick: in a 2x2 or 3x3 block of one color; Inner: the middle of such.
    // OnLine, OffLine: the middle of what is, or can't be, a thin line of the color; PartOfLine: of what is where it goes on as one. Seed: the color
    // for sure.
    internal const byte Like = 1;
    private const byte Solid = 2, Seed = 4, Inner = 8, Thick = 16, OnLine = 32, OffLine = 64, PartOfLine = 128;

    // While lines are followed, in place of Like.
    private const byte Seen = 1;

    // The most different solid colors looked at around one pixel; where four shapes meet there are four.
    private const int MostColors = 6;

    // Rows of the art, those around them included.
    private readonly ShareBand band;
    private readonly int width, height;
    private readonly Rgba8[] pixels;
    private readonly byte[] marks;
    private readonly byte[] shares;
    private readonly Premultiplied color;
    private readonly Rgba8 exact;
    private readonly HashSet<Rgba8> paler;

    // Levels: how far pixels of one color lie apart (0 in lossless art), and how far a mix may lie from its line.
    private readonly int noise;
    private readonly double tolerance;

    // How far from a seed mixes are looked for, and the places to look at around one, near ones first.
    private readonly int reach;
    private readonly (int X, int Y, int Squared)[] window;

    private ColorShare(ShareBand band, Rgba8 exact, int noise, HashSet<Rgba8> paler)
    {
        this.band = band;
        (width, height, pixels, marks) = (band.Width, band.Height, band.Pixels, band.Marks);
        shares = new byte[pixels.Length];
        (this.exact, this.noise, this.paler) = (exact, noise, paler);
        color = Premultiplied.Of(exact);
        tolerance = 2 + (2 * noise);
        reach = noise > 0 ? LossyReach : Reach;
        window =
        [
            .. from y in Enumerable.Range(-reach, (2 * reach) + 1)
               from x in Enumerable.Range(-reach, (2 * reach) + 1)
               where (x, y) != (0, 0)
               orderby (x * x) + (y * y), y, x
               select (x, y, (x * x) + (y * y)),
        ];
    }

    /// <summary>The share of the color in every pixel's own color, 0 to 255.</summary>
    public static Plane<byte> Of(Plane<Rgba8> art, Rgba8 wanted, double within) => Of(art, wanted, within, Math.Max(1, BandPixels / art.Width));

    /// <param name="art">The art.</param>
    /// <param name="wanted">The color.</param>
    /// <param name="within">Largest difference.</param>
    /// <param name="bandRows">How many rows are looked at together.</param>
    internal static Plane<byte> Of(Plane<Rgba8> art, Rgba8 wanted, double within, int bandRows) => WithLines(art, wanted, within, bandRows).Shares;

    /// <summary>The shares, and the lines that are left whole because they cover less than a pixel of the color, as 255.</summary>
    public static (Plane<byte> Shares, Plane<byte> LinesLeft) WithLines(Plane<Rgba8> art, Rgba8 wanted, double within) =>
        WithLines(art, wanted, within, Math.Max(1, BandPixels / art.Width));

    private static (Plane<byte> Shares, Plane<byte> LinesLeft) WithLines(Plane<Rgba8> art, Rgba8 wanted, double within, int bandRows)
    {
        var lab = LabSpace.D50.Of(wanted);
        var alike = new MemoTest(pixel => Math.Round(Ciede2000.Difference(lab, LabSpace.D50.Of(pixel)), 6) <= within);
        int bands = (art.Height + bandRows - 1) / bandRows, width = art.Width;
        var only = bands == 1 ? Band(0) : null;
        var counts = new Dictionary<Rgba8, long>();
        var steps = new long[ShareBand.LargestStep + 1];
        var paler = new HashSet<Rgba8>();
        for (int i = 0; i < bands; i++)
        {
            var band = only ?? Band(i);
            band.Count(counts);
            band.CountSteps(steps);
            band.AddFull(paler);
        }

        var exact = counts.Count > 0 ? MostFrequent(counts, wanted) : wanted.WithAlpha(255);
        int noise = counts.Count > 0 ? Noise(steps) : 0;
        byte[] lines = new byte[width * art.Height], found = new byte[lines.Length];
        var whole = only is null ? null : Share(only);
        for (int i = 0; i < bands; i++)
        {
            var share = whole ?? Share(Band(i));
            int from = share.band.First * width, to = share.band.Top * width;
            for (int p = from; p < from + (share.band.Rows * width); p++)
            {
                lines[to + p] = (byte)(share.marks[p] & (OnLine | OffLine | PartOfLine));
            }
        }

        Agree(lines, width);
        for (int i = 0; i < bands; i++)
        {
            var share = whole ?? Share(Band(i));
            int from = share.band.First * width, to = share.band.Top * width;
            Array.Copy(share.Found(lines.AsSpan(to)), from, found, to + from, share.band.Rows * width);
        }

        return (Plane<byte>.FromContiguous(width, art.Height, found), Left(lines, found, art));

        ShareBand Band(int i) => new(
            art, i * bandRows, Math.Min(bandRows, art.Height - (i * bandRows)), Halo, pixel => alike.Holds(pixel) || IsFaint(pixel, wanted));

        ColorShare Share(ShareBand band)
        {
            var share = new ColorShare(band, exact, noise, paler);
            share.FindLines();
            return share;
        }
    }

    private byte[] Found(ReadOnlySpan<byte> lines)
    {
        for (int i = 0; i < marks.Length; i++)
        {
            marks[i] = (byte)((marks[i] & ~(OnLine | OffLine | PartOfLine)) | (lines[i] & (OnLine | OffLine)));
        }

        MarkSolid();
        SeedLike();
        SeedLines();
        Mix();
        return Grown();
    }

    // Software that stores premultiplied colors keeps few levels of color at a low alpha: 255/alpha of them become one.
    private static bool IsFaint(Rgba8 p, Rgba8 wanted)
    {
        const int Most = 24;
        int apart = p.A == 255 ? 255 : p.LargestDifference(wanted.WithAlpha(p.A));
        return apart <= Most && apart * p.A * 4 <= 255 * 3;
    }

    // What the color is in this art: the technician's pick may lie a little beside it.
    private static Rgba8 MostFrequent(Dictionary<Rgba8, long> counts, Rgba8 wanted) => counts
        .OrderByDescending(pair => pair.Key.A == 255).ThenByDescending(pair => pair.Value).ThenBy(pair => pair.Key.LargestDifference(wanted))
        .ThenBy(pair => (pair.Key.R << 16) | (pair.Key.G << 8) | pair.Key.B)
        .ThenByDescending(pair => pair.Key.A).First().Key;

    // Three quarters of the small steps between neighbors near the color are at most so large. Lossless drawings have none.
    private static int Noise(long[] steps)
    {
        const int Largest = 4;
        long left = steps.Sum() * 3 / 4;
        int noise = 0;
        while (noise < Largest && (left -= steps[noise]) > 0)
        {
            noise++;
        }

        return noise;
    }

    // Solid pixels lie in a 2x2 block of one color, thick ones in a 3x3 block. Anti-aliased edges are neither, except that
    // lines between two rows and the tops of curves come out solid.
    private void MarkSolid()
    {
        var near = band.Spread(mark => (mark & (Like | OnLine)) != 0, reach + 1);
        Parallel.For(0, height, y =>
        {
            for (int x = 0, i = y * width; x < width; x++, i++)
            {
                if (!near[i])
                {
                    continue;
                }

                bool left = x > 0 && Same(i, i - 1), right = x < width - 1 && Same(i, i + 1);
                bool up = y > 0 && Same(i, i - width), down = y < height - 1 && Same(i, i + width);
                bool a = left && up && Same(i, i - width - 1), b = right && up && Same(i, i - width + 1);
                bool c = left && down && Same(i, i + width - 1), d = right && down && Same(i, i + width + 1);
                marks[i] |= a && b && c && d ? (byte)(Solid | Inner) : a || b || c || d ? Solid : (byte)0;
            }
        });
        Parallel.For(0, height, y =>
        {
            for (int x = 0, i = y * width; x < width; x++, i++)
            {
                if ((marks[i] & Solid) != 0 && IsThick(x, y))
                {
                    marks[i] |= Thick;
                }
            }
        });
    }

    private bool IsThick(int x, int y)
    {
        int here = (y * width) + x;
        for (int v = Math.Max(0, y - 1); v <= Math.Min(height - 1, y + 1); v++)
        {
            for (int u = Math.Max(0, x - 1); u <= Math.Min(width - 1, x + 1); u++)
            {
                int i = (v * width) + u;
                if ((marks[i] & Inner) != 0 && Same(here, i))
                {
                    return true;
                }
            }
        }

        return false;
    }

    // Like pixels are seeds, but for those that two other colors on opposite sides mix to by chance.
    private void SeedLike() => Parallel.For(0, height, y =>
    {
        for (int x = 0, i = y * width; x < width; x++, i++)
        {
            if ((marks[i] & Like) != 0 && ((marks[i] & Solid) != 0 || !IsChance(x, y)))
            {
                marks[i] |= Seed;
            }
        }
    });

    private bool IsChance(int x, int y)
    {
        ReadOnlySpan<(int X, int Y)> ways = [(1, 0), (0, 1), (1, 1), (1, -1)];
        var here = Premultiplied.Of(pixels[(y * width) + x]);
        foreach (var (dx, dy) in ways)
        {
            if (IsExact(x, y) && IsExact(x + dy, y - dx) && IsExact(x - dy, y + dx))
            {
                continue; // a thin line, drawn in the color itself, that happens to part two such colors
            }

            for (int step = 1; step <= 2; step++)
            {
                if (Other(x + (step * dx), y + (step * dy)) is { } one && Other(x - (step * dx), y - (step * dy)) is { } two
                    && here.Between(one, two) is { Share: > 0.05 and < 0.95 } fit && fit.Off <= tolerance && (one - two).Largest > 4 * tolerance)
                {
                    return true;
                }
            }
        }

        return false;

        Premultiplied? Other(int x, int y) => IsInside(x, y) && (marks[(y * width) + x] & Like) == 0 ? Premultiplied.Of(pixels[(y * width) + x]) : null;
    }

    private bool IsExact(int x, int y) => IsInside(x, y) && pixels[(y * width) + x] == exact;

    private bool IsInside(int x, int y) => (uint)x < (uint)width && (uint)y < (uint)height;

    private bool Same(int i, int j) => Same(pixels[i], pixels[j]);

    private bool Same(Rgba8 a, Rgba8 b) => a == b || (a.A | b.A) == 0 || (noise > 0 && a.LargestDifference(b) <= noise);
}
