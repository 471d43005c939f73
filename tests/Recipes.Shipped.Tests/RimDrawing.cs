using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>
/// A puffin, lettering and thin lines for tests of rims: supersampled from formulas, laid on paper and cut out again the ways that
/// leave a rim. Knows nothing of how rims are found.
/// </summary>
internal sealed class RimDrawing
{
    public const double PxPerSquareMillimeter = 300 * 300 / (25.4 * 25.4);

    private const int Samples = 4;

    private RimDrawing(int width, int height, Rgba8[] ideal)
    {
        (Width, Height, Ideal) = (width, height, ideal);
    }

    public int Width { get; }

    public int Height { get; }

    /// <summary>The art as it was drawn, with straight alpha.</summary>
    public Rgba8[] Ideal { get; }

    /// <summary>Draws a scene of 420 x 360 px, times a scale.</summary>
    public static RimDrawing Draw(Func<double, double, Rgba8> at, double scale = 1)
    {
        int width = (int)Math.Round(420 * scale), height = (int)Math.Round(360 * scale);
        var ideal = new Rgba8[width * height];
        Parallel.For(0, height, y =>
        {
            for (int x = 0; x < width; x++)
            {
                var sum = new Sum();
                for (int k = 0; k < Samples * Samples; k++)
                {
                    sum.Add(at((x + (((k % Samples) + 0.5) / Samples)) / scale, (y + (((k / Samples) + 0.5) / Samples)) / scale), 1);
                }

                ideal[(y * width) + x] = sum.Mean(Samples * Samples);
            }
        });
        return new RimDrawing(width, height, ideal);
    }

    /// <summary>The same with edges that fade over so many px more.</summary>
    public RimDrawing Soft(int px)
    {
        var once = Averaged(Ideal, Width, Height, px / 2, 1, 0);
        return new RimDrawing(Width, Height, Averaged(once, Width, Height, px / 2, 0, 1));
    }

    /// <summary>Laid on paper and cut out along a hard line so many px outside of what is at least half ink.</summary>
    public Rgba8[] CutHard(double px, Rgba8 paper) => Cut(paper, far => far <= px ? 1 : 0, 128);

    /// <summary>Laid on paper and cut out hard where anything of the ink is seen.</summary>
    public Rgba8[] CutWhole(Rgba8 paper) => Cut(paper, far => far == 0 ? 1 : 0, 6);

    /// <summary>Laid on paper and cut out by a mask that fades over as many px as it lies outside.</summary>
    public Rgba8[] CutSoft(double px, Rgba8 paper) => Cut(paper, far => Math.Clamp(2 - (far / px), 0, 1), 128);

    /// <summary>Laid on paper, with the drawing's own alpha: what a straight alpha that is taken for multiplied leaves, and the reverse.</summary>
    public Rgba8[] Matte(Rgba8 paper) => [.. Ideal.Select(pixel => pixel.A == 0 ? default : Over(pixel, paper).WithAlpha(pixel.A))];

    /// <summary>The drawing enlarged, as a truth for pixels enlarged likewise.</summary>
    public RimDrawing Enlarged(int times) => new(Width * times, Height * times, Enlarged(Ideal, times));

    /// <summary>Pixels of this drawing's size enlarged, in straight lines between those of multiplied color.</summary>
    public Rgba8[] Enlarged(Rgba8[] pixels, int times) => [.. Enumerable.Range(0, Width * times * Height * times).Select(i =>
    {
        double x = (((i % (Width * times)) + 0.5) / times) - 0.5, y = (((i / (Width * times)) + 0.5) / times) - 0.5;
        int left = (int)Math.Floor(x), top = (int)Math.Floor(y);
        var sum = new Sum();
        for (int k = 0; k < 4; k++)
        {
            int u = left + (k % 2), v = top + (k / 2);
            sum.Add(pixels[(Math.Clamp(v, 0, Height - 1) * Width) + Math.Clamp(u, 0, Width - 1)], (1 - Math.Abs(x - u)) * (1 - Math.Abs(y - v)));
        }

        return sum.Mean(1);
    })];

    /// <summary>Source-over on an opaque backdrop (W3C Compositing and Blending Level 1; Porter and Duff 1984).</summary>
    public static Rgba8 Over(Rgba8 art, Rgba8 ground)
    {
        return new Rgba8(Mix(art.R, ground.R), Mix(art.G, ground.G), Mix(art.B, ground.B));

        byte Mix(byte top, byte below) => (byte)Math.Round(((top * art.A) + (below * (255 - art.A))) / 255.0, MidpointRounding.AwayFromZero);
    }

    /// <summary>
    /// How many pixels print lighter than the truth by a CIEDE2000 difference of over 10 on a cloth, within 2 mm at 300 ppi of where
    /// ink and no ink meet.
    /// </summary>
    public int Pale(Rgba8[] art, InkRules rules, Rgba8 cloth)
    {
        var near = Distances(i => Ideal[i].A >= 128).Zip(Distances(i => Ideal[i].A < 128), Math.Max).ToArray();
        var ground = LabSpace.D50.Of(cloth);
        return Enumerable.Range(0, art.Length).Count(i =>
        {
            if (near[i] > 2 / 25.4 * 300 || rules.StateOf(art[i]) != InkState.Prints || art[i] == Ideal[i])
            {
                return false;
            }

            Lab seen = LabSpace.D50.Of(Over(art[i], cloth)), truth = Ideal[i].A == 0 ? ground : LabSpace.D50.Of(Over(Ideal[i], cloth));
            return seen.L > truth.L && Ciede2000.Difference(seen, truth) > 10;
        });
    }

    /// <summary>How many pixels that are wholly ink, and were opaque, are less than half opaque.</summary>
    public int Lost(Rgba8[] before, Rgba8[] after) => Enumerable.Range(0, after.Length).Count(i => Ideal[i].A == 255 && before[i].A == 255 && after[i].A < 128);

    private Rgba8[] Cut(Rgba8 paper, Func<double, double> mask, int ink)
    {
        var far = Distances(i => Ideal[i].A >= ink);
        return [.. Ideal.Select((pixel, i) => mask(far[i]) is > 0 and var alpha ? Over(pixel, paper).WithAlpha((byte)Math.Round(255 * alpha)) : default)];
    }

    // Exact distances up to 60 px, by brute force along rows of the nearest in each column.
    private double[] Distances(Func<int, bool> target)
    {
        const int Most = 60;
        var down = new int[Width * Height];
        Parallel.For(0, Width, x =>
        {
            int steps = Most;
            for (int y = 0; y < Height; y++)
            {
                down[(y * Width) + x] = steps = target((y * Width) + x) ? 0 : Math.Min(Most, steps + 1);
            }

            for (int y = Height - 1; y >= 0; y--)
            {
                down[(y * Width) + x] = steps = Math.Min(down[(y * Width) + x], Math.Min(Most, steps + 1));
            }
        });
        var far = new double[Width * Height];
        Parallel.For(0, Height, y =>
        {
            for (int x = 0; x < Width; x++)
            {
                int best = Most * Most;
                for (int u = Math.Max(0, x - Most); u <= Math.Min(Width - 1, x + Most); u++)
                {
                    int step = down[(y * Width) + u];
                    best = Math.Min(best, ((u - x) * (u - x)) + (step * step));
                }

                far[(y * Width) + x] = Math.Sqrt(best);
            }
        });
        return far;
    }

    private static Rgba8[] Averaged(Rgba8[] pixels, int width, int height, int reach, int across, int down)
    {
        var made = new Rgba8[pixels.Length];
        Parallel.For(0, height, y =>
        {
            for (int x = 0; x < width; x++)
            {
                var sum = new Sum();
                for (int k = -reach; k <= reach; k++)
                {
                    sum.Add(pixels[(Math.Clamp(y + (k * down), 0, height - 1) * width) + Math.Clamp(x + (k * across), 0, width - 1)], 1);
                }

                made[(y * width) + x] = sum.Mean((2 * reach) + 1);
            }
        });
        return made;
    }

    /// <summary>A black puffin with a white belly and an orange beak, a red ring, navy lettering, and a wave of 3.4 px below them.</summary>
    public static Rgba8 PuffinAndWave(double x, double y) =>
        Math.Abs(y - 332 - (8 * Math.Sin(x / 30))) < 1.7 && x is > 40 and < 390 ? new Rgba8(34, 92, 140) : Puffin(x, y);

    /// <summary>The same without the wave.</summary>
    public static Rgba8 Puffin(double x, double y)
    {
        bool Oval(double left, double top, double wide, double high) =>
            (((x - left) * (x - left) / (wide * wide)) + ((y - top) * (y - top) / (high * high))) < 1;
        bool Bar(double left, double top, double wide, double high) => x >= left && x < left + wide && y >= top && y < top + high;
        double ring = Math.Sqrt(((x - 320) * (x - 320)) + ((y - 120) * (y - 120)));
        return Oval(130, 190, 40, 65) ? Rgba8.White
            : Oval(130, 180, 75, 105) || Oval(120, 85, 45, 42) ? new Rgba8(20, 20, 20)
            : y > 60 && y < 104 && x > 40 && x - 40 > 2 * Math.Abs(y - 82) && x < 100 ? new Rgba8(240, 124, 28)
            : ring is > 40 and < 62 ? new Rgba8(200, 30, 40)
            : Bar(240, 240, 16, 70) || Bar(284, 240, 16, 70) || Bar(250, 268, 40, 13) || Bar(330, 240.4, 15, 70) || Bar(330, 296, 50, 14.6)
                ? new Rgba8(20, 32, 74)
            : default;
    }

    private struct Sum
    {
        private double red, green, blue, alpha;

        public void Add(Rgba8 pixel, double share)
        {
            double a = share * pixel.A;
            (red, green, blue, alpha) = (red + (a * pixel.R), green + (a * pixel.G), blue + (a * pixel.B), alpha + a);
        }

        public readonly Rgba8 Mean(double shares)
        {
            byte level = Level(alpha / shares);
            return level == 0 ? default : new Rgba8(Level(red / alpha), Level(green / alpha), Level(blue / alpha), level);
        }

        private static byte Level(double value) => (byte)Math.Clamp(Math.Round(Math.Round(value, 6), MidpointRounding.AwayFromZero), 0, 255);
    }
}
