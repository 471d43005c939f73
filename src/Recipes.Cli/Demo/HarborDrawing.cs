using Recipes.Imaging;

namespace Recipes.Cli.Demo;

/// <summary>
/// The art of the harbor fun run: a puffin with a white belly, black wings and an orange beak beside a boat with a white
/// sail, all on white, with a life ring whose hole must stay bare and a near-white smudge that would print as dust.
/// </summary>
internal static class HarborDrawing
{
    private const int Samples = 4;
    private static readonly Rgba8 Ink = new(11, 11, 11), Orange = new(240, 124, 28), DarkOrange = new(206, 88, 20), Navy = new(24, 48, 92),
        Sea = new(40, 112, 150), Red = new(200, 40, 44), Gray = new(122, 126, 132);

    // What a hand with soft scissors left beside the art and poked into it, 2 x 2 px each.
    private static readonly (int X, int Y)[] Crumbs = [(104, 96), (150, 140), (236, 92), (262, 152), (690, 420), (1410, 60)],
        Pinholes = [(392, 440), (1180, 820)];

    /// <summary>Draws it, 1500 x 1200 px at 300 ppi unless another width is asked for; anti-aliased with 4x4 samples.</summary>
    public static Artwork Draw(int width = 1500) => Draw(width, Mean);

    /// <summary>
    /// The same after somebody cut it out: transparent around the art, with soft edges that still hold the old white, crumbs of
    /// the smudge, pinholes, and a black that is exactly black. 1500 x 1200 px at 300 ppi.
    /// </summary>
    public static Artwork DrawCutOut() => Draw(1500, (x, y, _) => CutOut(x, y));

    private static Artwork Draw(int width, Func<int, int, double, Rgba8> pixel)
    {
        int height = width * 4 / 5;
        double scale = 1500.0 / width;
        var pixels = Plane<Rgba8>.Build(width, height, null, (bounds, target) =>
        {
            for (int p = 0; p < target.Length; p++)
            {
                int x = bounds.X + (p % bounds.Width), y = bounds.Y + (p / bounds.Width);
                target[p] = pixel(x, y, scale);
            }
        });
        return Artwork.FromPixels(pixels, 300);
    }

    private static Rgba8 Mean(int x, int y, double scale)
    {
        int r = 0, g = 0, b = 0;
        for (int sample = 0; sample < Samples * Samples; sample++)
        {
            double px = (x + (((sample % Samples) + 0.5) / Samples)) * scale, py = (y + (((sample / Samples) + 0.5) / Samples)) * scale;
            var color = ColorAt(px, py);
            r += color.R;
            g += color.G;
            b += color.B;
        }

        const int count = Samples * Samples, half = count / 2;
        return new Rgba8((byte)((r + half) / count), (byte)((g + half) / count), (byte)((b + half) / count));
    }

    private static Rgba8 CutOut(int x, int y)
    {
        if (Holds(Crumbs))
        {
            return Gray;
        }

        int r = 0, g = 0, b = 0, art = 0;
        const int count = Samples * Samples, half = count / 2;
        for (int sample = 0; sample < count && !Holds(Pinholes); sample++)
        {
            var part = PartAt(x + (((sample % Samples) + 0.5) / Samples), y + (((sample / Samples) + 0.5) / Samples));
            var color = part is { } known ? known == Ink ? Rgba8.Black : known : Rgba8.White;
            art += part is null ? 0 : 1;
            r += color.R;
            g += color.G;
            b += color.B;
        }

        return art == 0 ? Rgba8.ClearWhite
            : new Rgba8((byte)((r + half) / count), (byte)((g + half) / count), (byte)((b + half) / count), (byte)(((art * 255) + half) / count));

        bool Holds((int X, int Y)[] places) => places.Any(place => x - place.X is 0 or 1 && y - place.Y is 0 or 1);
    }

    private static Rgba8 ColorAt(double x, double y) => PartAt(x, y) ?? PaperAt(x, y);

    // Somebody's thumb on the scanner: too pale to see, not too pale to print.
    private static Rgba8 PaperAt(double x, double y) =>
        !Oval(x, y, 176, 120, 118, 62, 0.3) ? Rgba8.White
            : Oval(x, y, 176, 120, 84, 40, 0.3) ? new Rgba8(250, 250, 250) : new Rgba8(253, 253, 253);

    // From the front to the back; the first shape that holds the point gives its color, null is the paper.
    private static Rgba8? PartAt(double x, double y)
    {
        // The puffin: eye, beak, face, belly, wings, feet, body.
        if (Disc(x, y, 402, 282, 15))
        {
            return Disc(x, y, 408, 276, 5) ? Rgba8.White : Ink;
        }

        if (Triangle(x, y, 474, 250, 606, 322, 470, 362))
        {
            return Triangle(x, y, 540, 286, 606, 322, 536, 338) ? DarkOrange : Orange;
        }

        if (Oval(x, y, 416, 300, 82, 74))
        {
            return Rgba8.White;
        }

        if (Oval(x, y, 392, 296, 124, 118))
        {
            return Ink;
        }

        if (Oval(x, y, 236, 610, 84, 224, 0.28) || Oval(x, y, 548, 600, 66, 206, -0.34))
        {
            return Ink;
        }

        if (Oval(x, y, 404, 640, 128, 224))
        {
            return Rgba8.White;
        }

        if (Oval(x, y, 392, 606, 182, 282))
        {
            return Ink;
        }

        if (Triangle(x, y, 300, 952, 392, 952, 352, 868) || Triangle(x, y, 408, 952, 500, 952, 448, 868))
        {
            return DarkOrange;
        }

        // The boat: sail with its outline, mast, hull.
        if (Triangle(x, y, 1010, 196, 1010, 700, 1296, 700))
        {
            return Rgba8.White;
        }

        if (Triangle(x, y, 996, 160, 996, 714, 1326, 714))
        {
            return Navy;
        }

        if (x is >= 966 and <= 984 && y is >= 130 and <= 760)
        {
            return Gray;
        }

        if (y is >= 748 and <= 856 && x >= 780 + ((y - 748) * 0.9) && x <= 1360 - ((y - 748) * 0.7))
        {
            return y <= 776 ? Red : Navy;
        }

        // The life ring, red and white, with a hole.
        double ring = Math.Sqrt(((x - 720) * (x - 720)) + ((y - 980) * (y - 980)));
        if (ring is >= 52 and <= 112)
        {
            bool outline = ring is <= 58 or >= 106;
            return outline ? Navy : Math.Abs(x - 720) < Math.Abs(y - 980) ? Rgba8.White : Red;
        }

        // The sea under the boat, in waves.
        if (y >= 870 + (14 * Math.Sin(x / 46)) && y <= 900 + (14 * Math.Sin(x / 46)) && x is >= 860 and <= 1420)
        {
            return Sea;
        }

        return null;
    }

    private static bool Disc(double x, double y, double cx, double cy, double radius) => Oval(x, y, cx, cy, radius, radius);

    private static bool Oval(double x, double y, double cx, double cy, double rx, double ry, double turn = 0)
    {
        double sin = Math.Sin(turn), cos = Math.Cos(turn);
        double u = (((x - cx) * cos) + ((y - cy) * sin)) / rx, v = (((y - cy) * cos) - ((x - cx) * sin)) / ry;
        return (u * u) + (v * v) <= 1;
    }

    private static bool Triangle(double x, double y, double ax, double ay, double bx, double by, double cx, double cy)
    {
        double a = Side(ax, ay, bx, by), b = Side(bx, by, cx, cy), c = Side(cx, cy, ax, ay);
        return (a >= 0 && b >= 0 && c >= 0) || (a <= 0 && b <= 0 && c <= 0);

        double Side(double x1, double y1, double x2, double y2) => ((x2 - x1) * (y - y1)) - ((y2 - y1) * (x - x1));
    }
}
