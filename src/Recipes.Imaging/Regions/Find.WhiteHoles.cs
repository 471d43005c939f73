namespace Recipes.Imaging;

/// <summary>Enclosed whites that look like holes of what surrounds them rather than white drawing, by their numbers.</summary>
/// <param name="Counters">Holes of letters: the ink around is a stroke of even width and one color, and more such shapes of its height stand in the art.</param>
/// <param name="Rings">Holes of other rings of even width.</param>
public sealed record WhiteHoles(IReadOnlyList<int> Counters, IReadOnlyList<int> Rings)
{
    /// <summary>None.</summary>
    public static WhiteHoles None { get; } = new([], []);
}

public static partial class Find
{
    // Ours, from drawings whose truth is known; in square millimeters, then shares.
    private const double SmallestHole = 0.3, LeastStroke = 0.12, MostSwelling = 2.2, MostUneven = 1.7, Alike = 1.5;
    private const int MostShapes = 300, MostHoles = 60, Side = 256, FewestLetters = 3;

    /// <summary>Tells holes of rings and letters among enclosed whites. A cut-out has none: whoever cut it out cut out its holes.</summary>
    /// <remarks>
    /// The shape around a white is what isn't outside. A white is a hole where the rest of the shape is a stroke: nowhere over 2.2
    /// times as wide as it is on average (twice its area over its outline), at least 0.12 of the hole's diameter, so that a sail drawn
    /// in outline isn't one, and about as wide all around the hole (four fifths of its rim at most 1.7 times one fifth), so that a belly
    /// in a body isn't one. It is a letter's where the stroke has one color and at least three such strokes of about its
    /// height and its color stand in the art. Shapes are judged at no more than 256 px a side.
    /// </remarks>
    /// <param name="art">Flattened art.</param>
    /// <param name="whites">Its whites, from <see cref="NumberedWhites"/>.</param>
    /// <param name="near">The levels with which they were found.</param>
    /// <param name="pixelsPerInch">The resolution that they print at.</param>
    public static WhiteHoles HolesAmong(Plane<Rgba8> art, Islands whites, int near, double pixelsPerInch)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(whites);
        double smallest = SmallestHole / (25.4 * 25.4) * pixelsPerInch * pixelsPerInch;
        var candidates = whites.Where(white => white.Class == EnclosedWhite && white.Count >= smallest).OrderByDescending(white => white.Count).Take(MostHoles).ToList();
        if (candidates.Count == 0 || whites.Ground.IsCutOut)
        {
            return WhiteHoles.None;
        }

        var shapes = Shapes(art, whites, near);
        var strokes = new Dictionary<int, Stroke?>();
        foreach (var shape in shapes.OrderByDescending(shape => shape.Count).Take(MostShapes))
        {
            strokes[shape.Number] = Stroke.Of(art, shapes, shape, candidates.Where(white => shapes.NumberAt(white.FirstX, white.FirstY) == shape.Number), whites);
        }

        List<int> counters = [], rings = [];
        foreach (var white in candidates)
        {
            int number = shapes.NumberAt(white.FirstX, white.FirstY);
            if (number == 0 || !strokes.TryGetValue(number, out var stroke))
            {
                continue;
            }

            bool letter = stroke is { IsEven: true, Color: { } color } && IsHoleOf(stroke, white)
                && strokes.Values.Count(other => other is { IsEven: true, Color: { } theirs } && theirs.LargestDifference(color) <= near
                    && other.Height <= stroke.Height * Alike && other.Height * Alike >= stroke.Height) >= FewestLetters;
            if (letter)
            {
                counters.Add(white.Number);
            }
            else if ((stroke is { IsEven: true } && IsHoleOf(stroke, white))
                || (Stroke.Of(art, shapes, shapes[number - 1], [white], whites) is { IsEven: true } ring && IsHoleOf(ring, white)))
            {
                rings.Add(white.Number);
            }
        }

        return new WhiteHoles([.. counters.Order()], [.. rings.Order()]);

        bool IsHoleOf(Stroke stroke, Island white) => stroke.Width >= LeastStroke * 2 * Math.Sqrt(white.Count / Math.PI) && stroke.IsEvenAround(white, whites);
    }

    // What isn't outside, in its connected parts.
    private static Islands Shapes(Plane<Rgba8> art, Islands whites, int near)
    {
        var all = PureWhite(art).On(whites.Ground);
        var passable = all.Passable(near);
        var walk = ConnectedRegions.Of(passable.Coverage);
        return passable.With(walk.Keep(passable.Coverage, walk.OnBorder())).Complement().Islands(diagonal: true);
    }

    /// <summary>What a shape is without its holes.</summary>
    /// <param name="Width">How wide it is on average, px.</param>
    /// <param name="IsEven">True where it is nowhere much wider.</param>
    /// <param name="Height">Of the shape, px.</param>
    /// <param name="Color">Its color, where nearly all of it has one.</param>
    private sealed record Stroke(double Width, bool IsEven, double Height, Rgba8? Color)
    {
        private Box box;
        private int step, columns;
        private byte[] mask = [];

        // From each place of the hole's rim to the nearest place that is neither hole nor stroke.
        public bool IsEvenAround(Island hole, Islands whites)
        {
            int rows = mask.Length / columns;
            byte[] filled = [.. mask];
            for (int i = 0; i < mask.Length; i++)
            {
                filled[i] |= IsHole(i) ? (byte)255 : (byte)0;
            }

            int[] far = Distance.Squared(Plane<byte>.FromContiguous(columns, rows, filled), toRegion: false);
            double[] rim = [.. Enumerable.Range(0, mask.Length).Where(i => filled[i] != mask[i] && IsRim(i)).Select(i => Math.Sqrt(far[i])).Order()];
            return rim.Length > 0 && Math.Round(rim[rim.Length * 4 / 5], 6) <= Math.Round(MostUneven * rim[rim.Length / 5], 6);

            bool IsHole(int i) => mask[i] == 0 && whites.NumberAt(box.X + (i % columns * step), box.Y + (i / columns * step)) == hole.Number;

            bool IsRim(int i)
            {
                int x = i % columns, y = i / columns;
                return (x > 0 && mask[i - 1] != 0) || (x + 1 < columns && mask[i + 1] != 0) || (y > 0 && mask[i - columns] != 0) || (y + 1 < rows && mask[i + columns] != 0);
            }
        }

        public static Stroke? Of(Plane<Rgba8> art, Islands shapes, Island shape, IEnumerable<Island> holes, Islands whites)
        {
            var box = shape.Bounds;
            int step = Math.Max(1, (Math.Max(box.Width, box.Height) + Side - 1) / Side), width = (box.Width + step - 1) / step, height = (box.Height + step - 1) / step;
            var open = holes.Select(hole => hole.Number).ToHashSet();
            var mask = new byte[width * height];
            var colors = new Dictionary<int, int>();
            for (int y = 0; y < height; y++)
            {
                for (int x = 0; x < width; x++)
                {
                    int u = box.X + (x * step), v = box.Y + (y * step);
                    if (shapes.NumberAt(u, v) == shape.Number && !(open.Count > 0 && open.Contains(whites.NumberAt(u, v))))
                    {
                        mask[(y * width) + x] = 255;
                        var pixel = art[u, v];
                        int bin = ((pixel.R >> 3) << 10) | ((pixel.G >> 3) << 5) | (pixel.B >> 3);
                        colors[bin] = colors.GetValueOrDefault(bin) + 1;
                    }
                }
            }

            return Measured(mask, width, height, step) is var (stroke, even) ? new Stroke(stroke, even, box.Height, OneColor(colors)) { box = box, step = step, columns = width, mask = mask } : null;
        }

        private static (double Width, bool IsEven)? Measured(byte[] mask, int width, int height, int step)
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
            return (average * step, Math.Round(widest, 6) <= Math.Round(MostSwelling * average, 6));

            int Out(int x, int y) => x < 0 || y < 0 || x >= width || y >= height || mask[(y * width) + x] == 0 ? 1 : 0;
        }

        // Three quarters about one color; the rest are its mixes with the paper, most of a thin stroke.
        private static Rgba8? OneColor(Dictionary<int, int> colors)
        {
            if (colors.Count == 0)
            {
                return null;
            }

            var (bin, _) = colors.MaxBy(pair => (pair.Value, -pair.Key));
            var most = Color(bin);
            long about = colors.Where(pair => Color(pair.Key).LargestDifference(most) <= 32).Sum(pair => (long)pair.Value), all = colors.Values.Sum(count => (long)count);
            return about * 4 >= all * 3 ? most : null;

            static Rgba8 Color(int bin) => new((byte)(((bin >> 10) << 3) | 4), (byte)((((bin >> 5) & 31) << 3) | 4), (byte)(((bin & 31) << 3) | 4));
        }
    }
}
