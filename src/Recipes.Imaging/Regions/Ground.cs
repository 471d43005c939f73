namespace Recipes.Imaging;

/// <summary>
/// What the figure lies on: the kind of art, the color of its paper, and where the picture's own edge is. Judged once, on the
/// art as it came, and carried through all that is done to it, since cleaning makes art on paper look cut out and a platen adds
/// clear canvas around the edge.
/// </summary>
/// <param name="Kind">The kind of art.</param>
/// <param name="Paper">The paper's color, opaque; white where the art has none.</param>
/// <param name="Edge">The picture as it came, in px of the canvas that it lies on now.</param>
public sealed record Ground(ArtKind Kind, Rgba8 Paper, Box Edge)
{
    /// <summary>The least and the most that <see cref="Scale"/> may be where it comes from outside.</summary>
    public const double LeastScale = 1e-6, MostScale = 1;

    /// <summary>
    /// How many px of the picture as it came lie in one px of the canvas, along a side: 1 unless it was resampled, below 1 where it was enlarged. New
    /// pixels bring no detail, so an art's effective resolution is its resolution times this.
    /// </summary>
    public double Scale { get; init; } = 1;

    /// <summary>
    /// The picture as it came where a platen cut its bare margins off: all of it, beyond the canvas too. Null where <see cref="Edge"/> is all of it.
    /// </summary>
    public Box? Whole { get; init; }

    // Clear pixels that reach the picture's edge make a cut-out from this share of its area on, or where two corners are clear.
    // Ours, from orders whose truth is known.
    private const int ClearShare = 200;

    // Paper: light, hardly colored (Lab D50), and as even as a scan or a JPEG of blank paper is, in levels. Ours.
    private const double LeastLightness = 65, MostChroma = 25;
    private const int Evenness = 24;

    // On paper from half of the border on, with three corners; full frame below a tenth, or a quarter without a corner. Ours.
    private const double Most = 0.5, Some = 0.25, Little = 0.1;

    // Border px in one mean, and levels between means that paper doesn't reach. Ours.
    private const int Stretch = 16;
    private const double MostDrift = 5;

    // So uneven as a sheet that fills most of the border isn't, but planks and walls are, once the light of a lamp is taken away; levels. And tinted paper,
    // by Lab chroma, fills more of the border than a light color that runs off does. Ours.
    private const double MostUneven = 10, Tint = 10;

    // Paper within so many levels of white is white: as far as cleaning takes it for background. Ours.
    private const int WhitePaper = 8;

    /// <summary>True where only alpha says what is outside.</summary>
    public bool IsCutOut => Kind == ArtKind.CutOut;

    /// <summary>True where paper reached from the edge is outside.</summary>
    public bool HasPaper => Kind is ArtKind.OnPaper or ArtKind.Mixed;

    /// <summary>True where the paper isn't white, by over 8 levels in some channel: pure white on it is drawn.</summary>
    public bool HasColoredPaper => HasPaper && IsColored(Paper);

    /// <summary>The same of any paper.</summary>
    internal static bool IsColored(Rgba8 paper) => Math.Min(paper.R, Math.Min(paper.G, paper.B)) < 255 - WhitePaper;

    /// <summary>Judges art from its pixels alone, as a whole picture.</summary>
    /// <param name="art">Flattened art as it came.</param>
    public static Ground Of(Plane<Rgba8> art)
    {
        ArgumentNullException.ThrowIfNull(art);
        var edge = new Box(0, 0, art.Width, art.Height);
        var border = Border(art);
        if (IsCutOutArt(art, border))
        {
            return new Ground(ArtKind.CutOut, Rgba8.White, edge);
        }

        // Checkers that were saved into the picture stand for what is clear.
        if (Find.Checkers(art, edge) is { } checkers)
        {
            return new Ground(ArtKind.OnPaper, checkers.Light, edge);
        }

        if (PaperOf(border) is not { } paper)
        {
            return new Ground(ArtKind.FullFrame, Rgba8.White, edge);
        }

        double share = (double)CountOf(border, pixel => IsPaper(pixel, paper)) / border.Length;
        int corners = CountOf(Corners(art), pixel => IsPaper(pixel, paper));
        if (share >= Most && corners >= 3 && Shading.Unevenness(Stretches(border, paper, art.Width, art.Height)) <= MostUneven)
        {
            return new Ground(ArtKind.OnPaper, paper, edge);
        }

        double least = LabSpace.D50.Of(paper).Chroma > Tint ? Some : Little;
        bool isFrame = share < least || (share < Some && corners == 0) || Drift(Stretches(border, paper, art.Width, art.Height)) > MostDrift;
        return isFrame ? new Ground(ArtKind.FullFrame, Rgba8.White, edge) : new Ground(ArtKind.Mixed, paper, edge);
    }

    /// <summary>The color at a picture's edge that paper may have, if it has any; null where it is all ink.</summary>
    internal static Rgba8? PaperAt(Plane<Rgba8> art, Box edge)
    {
        var border = Find.Border(art, edge);
        return PaperOf(border) is { } paper && CountOf(border, pixel => IsPaper(pixel, paper)) >= Little * border.Length
            && Drift(Stretches(border, paper, edge.Width, edge.Height)) <= MostDrift ? paper : null;
    }

    // A clear hole in the middle of opaque art doesn't say what is outside, so only what reaches the edge counts.
    private static bool IsCutOutArt(Plane<Rgba8> art, Rgba8[] border)
    {
        if (CountOf(Corners(art), pixel => pixel.IsTransparent) >= 2)
        {
            return true;
        }

        if (CountOf(border, pixel => pixel.IsTransparent) == 0)
        {
            return false;
        }

        var clear = ConnectedRegions.Of(Find.Transparent(art).Coverage);
        var outside = clear.OnBorder();
        long count = 0;
        for (int number = 1; number < outside.Length; number++)
        {
            count += outside[number] ? clear.Size(number) : 0;
        }

        return count * ClearShare >= (long)art.Width * art.Height;
    }

    // The commonest color of the border, coarsely, then the median of all that is about that color; null where it is no paper's.
    private static Rgba8? PaperOf(Rgba8[] border)
    {
        var counts = new int[4096];
        foreach (var pixel in border)
        {
            if (!pixel.IsTransparent && IsLight(pixel))
            {
                counts[Bin(pixel)]++;
            }
        }

        int best = Array.IndexOf(counts, counts.Max());
        if (counts[best] == 0)
        {
            return null;
        }

        return MedianOf(border, pixel => !pixel.IsTransparent && Bin(pixel) == best);
    }

    /// <summary>The median of colors of paper; white with noise has its commonest exact color at white, and what is meant by white is white.</summary>
    internal static Rgba8 MedianOf(Rgba8[] pixels, Func<Rgba8, bool>? wanted = null)
    {
        // Counts by levels: nothing is sorted, and no query over pixels is code of the framework that no image holds, docs/decisions/0010.
        int[] r = new int[256], g = new int[256], b = new int[256];
        foreach (var pixel in pixels)
        {
            if (wanted?.Invoke(pixel) != false)
            {
                r[pixel.R]++;
                g[pixel.G]++;
                b[pixel.B]++;
            }
        }

        var paper = new Rgba8(Median(r), Median(g), Median(b));
        return paper.LargestDifference(Rgba8.White) <= 4 ? Rgba8.White : paper;
    }

    private static int Bin(Rgba8 pixel) => ((pixel.R >> 4) << 8) | ((pixel.G >> 4) << 4) | (pixel.B >> 4);

    private static bool IsLight(Rgba8 pixel)
    {
        var lab = LabSpace.D50.Of(pixel);
        return Math.Round(lab.L, 6) >= LeastLightness && Math.Round(lab.Chroma, 6) <= MostChroma;
    }

    private static bool IsPaper(Rgba8 pixel, Rgba8 paper) => !pixel.IsTransparent && pixel.WithAlpha(255).LargestDifference(paper) <= Evenness;

    // What there is of paper at the border is one color, apart from noise; a pale sky drifts. Means of stretches of it tell them apart.
    private static double Drift(List<ShadedLevel> stretches)
    {
        var means = new double[stretches.Count];
        for (int i = 0; i < means.Length; i++)
        {
            means[i] = stretches[i].Level;
        }

        Array.Sort(means);
        return means.Length < 4 ? 0 : Math.Round(means[means.Length * 9 / 10] - means[means.Length / 10], 6);
    }

    // Means of so many px of paper each, and where they end, as shares of the picture.
    private static List<ShadedLevel> Stretches(Rgba8[] border, Rgba8 paper, int width, int height)
    {
        var means = new List<ShadedLevel>();
        double sum = 0;
        int count = 0;
        for (int i = 0; i < border.Length; i++)
        {
            if (IsPaper(border[i], paper))
            {
                sum += border[i].R + border[i].G + border[i].B;
                if (++count == Stretch)
                {
                    var (x, y) = PlaceOf(i, width, height);
                    means.Add(new ShadedLevel((double)x / width, (double)y / height, sum / (3 * Stretch)));
                    (sum, count) = (0, 0);
                }
            }
        }

        return means;
    }

    // Of a pixel of the border, in the order that it is read in.
    private static (int X, int Y) PlaceOf(int i, int width, int height) => i switch
    {
        _ when i < width => (i, 0),
        _ when i < 2 * width => (i - width, height - 1),
        _ when i < (2 * width) + height - 2 => (0, i - (2 * width) + 1),
        _ => (width - 1, i - (2 * width) - height + 3),
    };

    private static byte Median(int[] counts)
    {
        int level = 0, below = counts[0], middle = counts.Sum() / 2;
        while (below <= middle)
        {
            below += counts[++level];
        }

        return (byte)level;
    }

    private static int CountOf(Rgba8[] pixels, Func<Rgba8, bool> wanted)
    {
        int count = 0;
        foreach (var pixel in pixels)
        {
            count += wanted(pixel) ? 1 : 0;
        }

        return count;
    }

    private static Rgba8[] Corners(Plane<Rgba8> art) =>
        [art[0, 0], art[art.Width - 1, 0], art[0, art.Height - 1], art[art.Width - 1, art.Height - 1]];

    // Every pixel of the border once, along each side.
    private static Rgba8[] Border(Plane<Rgba8> art)
    {
        int width = art.Width, height = art.Height;
        var pixels = new List<Rgba8>(2 * (width + height));
        var row = new Rgba8[width];
        art.CopyRowTo(0, row);
        pixels.AddRange(row);
        if (height > 1)
        {
            art.CopyRowTo(height - 1, row);
            pixels.AddRange(row);
        }

        foreach (int x in width > 1 ? (int[])[0, width - 1] : [0])
        {
            for (int y = 1; y < height - 1; y++)
            {
                pixels.Add(art[x, y]);
            }
        }

        return [.. pixels];
    }
}
