namespace Recipes.Imaging;

/// <summary>What a shape is without its holes.</summary>
/// <param name="Width">How wide it is on average, px.</param>
/// <param name="IsEven">True where it is nowhere much wider.</param>
/// <param name="Height">Of the shape, px.</param>
/// <param name="Color">Its color, where nearly all of it has one.</param>
internal sealed record Stroke(double Width, bool IsEven, double Height, Rgba8? Color)
{
    // Of the raster of a shape, px at most.
    private const int Side = 256;

    private const double MostSwelling = 2.2, MostUneven = 1.7;

    // Of the extent of a drawing in lines. Ours.
    private const double MostOfLines = 0.125;

    private Box box;
    private double widest;
    private int step, columns;
    private byte[] mask = [];

    /// <summary>True of lines of one color that are thin for how far they reach: script, nets, contours of a map.</summary>
    public bool IsOpenwork => Color is not null && Math.Round(widest, 6) <= Math.Round(MostOfLines * Math.Max(box.Width, box.Height), 6);

    // From each place of the hole's outer rim to the nearest place that is neither hole nor stroke: what lies in the hole, as a figure does
    // in a ring, isn't around it.
    public bool IsEvenAround(Island hole, Islands holes)
    {
        int rows = mask.Length / columns;
        byte[] filled = [.. mask];
        var numbers = new int[columns];
        for (int y = 0; y < rows; y++)
        {
            int v = box.Y + (y * step);
            if (v < hole.Bounds.Y || v >= hole.Bounds.Bottom)
            {
                continue;
            }

            holes.NumbersAt(box.X, v, step, numbers);
            for (int x = 0; x < columns; x++)
            {
                filled[(y * columns) + x] |= numbers[x] == hole.Number ? (byte)255 : (byte)0;
            }
        }

        int[] far = Distance.Squared(Plane<byte>.FromContiguous(columns, rows, filled), toRegion: false);
        var (parts, bordering) = Bordering(filled);
        var around = new List<double>();
        for (int i = 0; i < mask.Length; i++)
        {
            if (filled[i] != mask[i] && IsRim(i))
            {
                around.Add(Math.Sqrt(far[i]));
            }
        }

        double[] rim = [.. around];
        Array.Sort(rim);
        return rim.Length > 0 && Math.Round(rim[rim.Length * 4 / 5], 6) <= Math.Round(MostUneven * rim[rim.Length / 5], 6);

        bool IsRim(int i)
        {
            int x = i % columns, y = i / columns;
            return (x > 0 && IsAround(x - 1, y)) || (x + 1 < columns && IsAround(x + 1, y))
                || (y > 0 && IsAround(x, y - 1)) || (y + 1 < rows && IsAround(x, y + 1));
        }

        bool IsAround(int x, int y) => mask[(y * columns) + x] != 0 && bordering[parts.NumberAt(x, y)];
    }

    // The parts of the stroke, and which of them border on more than the hole.
    private (ConnectedRegions Parts, bool[] Bordering) Bordering(byte[] filled)
    {
        int rows = mask.Length / columns;
        var parts = ConnectedRegions.Of(Plane<byte>.FromContiguous(columns, rows, mask), diagonal: true);
        var borders = new bool[parts.Count + 1];
        for (int i = 0; i < mask.Length; i++)
        {
            int x = i % columns, y = i / columns;
            if (mask[i] != 0 && (x == 0 || y == 0 || x == columns - 1 || y == rows - 1
                || filled[i - 1] == 0 || filled[i + 1] == 0 || filled[i - columns] == 0 || filled[i + columns] == 0))
            {
                borders[parts.NumberAt(x, y)] = true;
            }
        }

        return (parts, borders);
    }

    /// <summary>A shape less its holes; or less one of them, and then its color isn't looked at. Null where nothing is left.</summary>
    public static Stroke? Of(Plane<Rgba8> art, Islands shapes, Island shape, Islands holes, Island? only = null)
    {
        var box = shape.Bounds;
        int step = Math.Max(1, (Math.Max(box.Width, box.Height) + Side - 1) / Side);
        int width = (box.Width + step - 1) / step, height = (box.Height + step - 1) / step;
        var mask = new byte[width * height];
        var colors = new Dictionary<int, int>();
        int[] inShapes = new int[width], inHoles = new int[width];
        for (int y = 0; y < height; y++)
        {
            int v = box.Y + (y * step);
            shapes.NumbersAt(box.X, v, step, inShapes);
            holes.NumbersAt(box.X, v, step, inHoles);
            for (int x = 0; x < width; x++)
            {
                if (inShapes[x] == shape.Number && (only is null ? inHoles[x] == 0 : inHoles[x] != only.Number))
                {
                    mask[(y * width) + x] = 255;
                    if (only is null)
                    {
                        Count(colors, art[box.X + (x * step), v]);
                    }
                }
            }
        }

        return Measured(mask, width, height) is not var (average, widest, _) ? null
            : new Stroke(average * step, Math.Round(widest, 6) <= Math.Round(MostSwelling * average, 6), box.Height, OneColor(colors))
            {
                box = box,
                widest = widest * step,
                step = step,
                columns = width,
                mask = mask,
            };
    }

    internal static void Count(Dictionary<int, int> colors, Rgba8 pixel)
    {
        int bin = ((pixel.R >> 3) << 10) | ((pixel.G >> 3) << 5) | (pixel.B >> 3);
        colors[bin] = colors.GetValueOrDefault(bin) + 1;
    }

    internal static (double Average, double Widest, long Area)? Measured(byte[] mask, int width, int height)
    {
        long area = 0, outline = 0;
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                if (mask[(y * width) + x] != 0)
                {
                    area++;
                    outline += Out(x - 1, y) + Out(x + 1, y) + Out(x, y - 1) + Out(x, y + 1);
                }
            }
        }

        if (area == 0)
        {
            return null;
        }

        // Sides of pixels overstate a slanted outline, by 4 / pi on average over all directions.
        double average = 2 * area / (outline * Math.PI / 4);
        double widest = 2 * Math.Sqrt(Distance.Squared(Plane<byte>.FromContiguous(width, height, mask), toRegion: false).Max());
        return (average, widest, area);

        int Out(int x, int y) => x < 0 || y < 0 || x >= width || y >= height || mask[(y * width) + x] == 0 ? 1 : 0;
    }

    // Three quarters about one color; or, of a thin stroke, a third, and nearly all the rest its mixes with the paper.
    internal static Rgba8? OneColor(Dictionary<int, int> colors, bool mixes = true)
    {
        if (colors.Count == 0)
        {
            return null;
        }

        var (bin, _) = colors.MaxBy(pair => (pair.Value, -pair.Key));
        var most = Color(bin);
        long all = colors.Values.Sum(count => (long)count), about = CountOf(color => color.LargestDifference(most) <= 32);
        return about * 4 >= all * 3 || (mixes && about * 3 >= all && CountOf(color => IsMix(color, most)) * 10 >= all * 9) ? most : null;

        long CountOf(Func<Rgba8, bool> wanted) => colors.Where(pair => wanted(Color(pair.Key))).Sum(pair => (long)pair.Value);

        static bool IsMix(Rgba8 color, Rgba8 ink)
        {
            var white = Premultiplied.Of(Rgba8.White);
            var fit = Premultiplied.Of(color).Between(Premultiplied.Of(ink), white);
            return fit.Off <= 24 && fit.Share is > -0.05 and < 1.05;
        }

        static Rgba8 Color(int bin) => new((byte)(((bin >> 10) << 3) | 4), (byte)((((bin >> 5) & 31) << 3) | 4), (byte)(((bin & 31) << 3) | 4));
    }
}
