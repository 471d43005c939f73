namespace Recipes.Imaging;

/// <summary>Colors along a line from the outside into the art, as a rim is seen: pale or dark first, then more and more of the art.</summary>
internal sealed class RimProfile
{
    // Less than this from the background, in levels, no share of it can be told.
    public const double LeastContrast = 40;

    private readonly (int X, int Y) start;
    private readonly (double X, double Y) way;
    private readonly Premultiplied old;
    private readonly Premultiplied[] colors;
    private readonly double[] far;

    private RimProfile((int X, int Y) start, (double X, double Y) way, Premultiplied old, Rgba8[] pixels, int count)
    {
        (this.start, this.way) = (start, way);
        this.old = old;
        Pixels = pixels;
        Count = count;
        colors = new Premultiplied[count];
        far = new double[count];
        Start = First = -1;
        for (int t = 0; t < count; t++)
        {
            colors[t] = Premultiplied.Of(pixels[t].WithAlpha(255));
            var step = colors[t] - old;
            far[t] = Math.Sqrt(step.Dot(step));
            Start = Start < 0 && pixels[t].A >= Visible ? t : Start;
            First = First < 0 && pixels[t].A >= Opaque ? t : First;
        }
    }

    /// <summary>Alpha from which a pixel is opaque, but for rounding.</summary>
    public const byte Opaque = 250;

    // Alpha from which a pixel's color is known well enough to be judged.
    private const byte Visible = 64;

    public Rgba8[] Pixels { get; }

    /// <summary>How many pixels the line has before it leaves the art again.</summary>
    public int Count { get; }

    /// <summary>The first one that is opaque enough for its color to be judged; -1 where there is none.</summary>
    public int Start { get; }

    /// <summary>The first opaque one; -1 where there is none.</summary>
    public int First { get; }

    /// <summary>How far a pixel's color is from the background, in levels.</summary>
    public double Far(int t) => far[t];

    public Premultiplied Color(int t) => colors[t];

    public (int X, int Y) Place(int t) => At(start, way, t);

    /// <summary>The pixel from <paramref name="start"/> on, at most <paramref name="steps"/> further in, that is furthest from the background.</summary>
    public int Core(int start, int steps)
    {
        int best = start;
        for (int t = start + 1; t <= Math.Min(start + steps, Count - 1); t++)
        {
            // The nearest one, where they are alike.
            best = far[t] > far[best] + 1 ? t : best;
        }

        return best;
    }

    /// <summary>How much of a pixel is background, seen against another one's color; null where they are too much alike.</summary>
    public double? Share(int t, int core)
    {
        if (far[core] < LeastContrast)
        {
            return null;
        }

        if (t == core)
        {
            return 0;
        }

        var fit = colors[t].Between(colors[core], old);
        return fit.Off <= 10 + (0.1 * far[core]) ? Math.Clamp(1 - fit.Share, 0, 1) : 0;
    }

    /// <summary>
    /// Whether a partly transparent pixel is art laid on the background: as much background as it is transparent. False where it
    /// has the art's own color or any other; null where the two are too much alike to tell.
    /// </summary>
    public bool? Matte(int t, int core)
    {
        double alpha = Pixels[t].A / 255.0;
        if ((1 - alpha) * far[core] < 30)
        {
            return null;
        }

        double mixed = (colors[t] - ((alpha * colors[core]) + ((1 - alpha) * old))).Largest;
        double clean = Math.Min((colors[t] - colors[core]).Largest, (colors[t] - colors[First]).Largest);
        return Math.Round(mixed, 6) < Math.Round(clean, 6) && mixed <= 12 + (0.12 * far[core]);
    }

    /// <summary>Reads the line that begins at a pixel, straight away from the outside around it; null where that has no direction.</summary>
    public static RimProfile? At(Region outside, Rgba8 background, int x, int y, int length) =>
        Inward(outside.Coverage, x, y) is { } way ? Along(outside, background, (x, y), way, length) : null;

    /// <summary>Reads the line that begins at a pixel in a direction of length 1; null where that pixel is outside.</summary>
    public static RimProfile? Along(Region outside, Rgba8 background, (int X, int Y) start, (double X, double Y) way, int length)
    {
        var art = outside.FoundIn;
        var pixels = new Rgba8[length];
        int count = 0;
        for (; count < length; count++)
        {
            var (u, v) = At(start, way, count);
            if (u < 0 || v < 0 || u >= art.Width || v >= art.Height || outside.Contains(u, v))
            {
                break;
            }

            pixels[count] = art[u, v];
        }

        return count == 0 ? null : new RimProfile(start, way, Premultiplied.Of(background.WithAlpha(255)), pixels, count);
    }

    private static (int X, int Y) At((int X, int Y) start, (double X, double Y) way, int step) =>
        ((int)Math.Round(start.X + (step * way.X)), (int)Math.Round(start.Y + (step * way.Y)));

    /// <summary>The direction away from what of a region lies within 3 px.</summary>
    public static (double X, double Y)? Inward(Plane<byte> outside, int x, int y)
    {
        // Where the picture ends nearby, as far to either side: what it cuts off says nothing of the direction.
        var way = Away(outside, x, y, Math.Min(3, Math.Min(x, outside.Width - 1 - x)), Math.Min(3, Math.Min(y, outside.Height - 1 - y)));
        return way ?? Away(outside, x, y, 3, 3);
    }

    private static (double X, double Y)? Away(Plane<byte> outside, int x, int y, int wide, int high)
    {
        int across = 0, down = 0;
        int left = Math.Max(0, x - wide), right = Math.Min(outside.Width - 1, x + wide);
        Span<byte> row = stackalloc byte[7];
        row = row[..(right - left + 1)];
        for (int v = Math.Max(0, y - high); v <= Math.Min(outside.Height - 1, y + high); v++)
        {
            Crop.CopyRow(outside, left, v, row);
            for (int i = 0; i < row.Length; i++)
            {
                if (row[i] != 0)
                {
                    across -= left + i - x;
                    down -= v - y;
                }
            }
        }

        return Toward(across, down);
    }

    /// <summary>A direction of length 1; null for none.</summary>
    public static (double X, double Y)? Toward(int across, int down)
    {
        if (across == 0 && down == 0)
        {
            return null;
        }

        // Six decimals, so that a place doesn't hang on a machine's last bit.
        double length = Math.Sqrt((across * across) + (down * down));
        return (Math.Round(across / length, 6), Math.Round(down / length, 6));
    }
}
