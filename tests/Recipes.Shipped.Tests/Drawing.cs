using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>The colors of a drawing, of which one gets swapped.</summary>
/// <param name="Name">For messages.</param>
/// <param name="Old">The color to swap.</param>
/// <param name="New">What it becomes.</param>
/// <param name="Ground">Another color that it lies on.</param>
/// <param name="Kin">A color of a similar hue that must not move.</param>
internal sealed record Palette(string Name, Rgba8 Old, Rgba8 New, Rgba8 Ground, Rgba8 Kin)
{
    public static readonly Rgba8 Night = new(14, 15, 20);

    public static readonly Palette[] All =
    [
        new("beak", new(240, 124, 28), new(200, 16, 46), new(40, 112, 150), new(226, 140, 66)),
        new("sea", new(34, 92, 140), new(0, 150, 110), new(240, 200, 60), new(60, 104, 136)),
        new("hull", new(200, 40, 44), new(250, 214, 20), new(122, 126, 132), new(178, 46, 60)),
        new("dark", new(60, 30, 90), new(230, 90, 160), new(180, 190, 120), new(84, 44, 104)),
    ];

    public override string ToString() => Name;
}

/// <summary>Old and new rendering of one drawing, and what renderers made of each pixel.</summary>
/// <param name="Old">Drawn with the old color.</param>
/// <param name="New">Drawn with the new one: the truth.</param>
/// <param name="Share">How much of each pixel the color covers, 0 to 1.</param>
internal sealed record Renderings(int Width, int Height, Rgba8[] Old, Rgba8[] New, double[] Share);

/// <summary>
/// The drawing that a color is swapped in, 320 x 240: shapes on white and on another color, an enclosed white, thin lines on
/// near-black, a neighbor of similar hue, lone pixels.
/// </summary>
internal static class Drawing
{
    public const int Width = 320, Height = 240, Samples = 8;

    private enum Part { Paper, Color, Ground, Kin, Night }

    /// <summary>Rendered with 8x8 samples a pixel, mixed in gamma-encoded sRGB.</summary>
    public static Renderings Render(Palette palette)
    {
        var old = new Rgba8[Width * Height];
        var now = new Rgba8[Width * Height];
        var share = new double[Width * Height];
        for (int i = 0; i < old.Length; i++)
        {
            var counts = new int[Enum.GetValues<Part>().Length];
            for (int sample = 0; sample < Samples * Samples; sample++)
            {
                counts[(int)At((i % Width) + (((sample % Samples) + 0.5) / Samples), (i / Width) + (((sample / Samples) + 0.5) / Samples))]++;
            }

            old[i] = Mean(counts, palette, palette.Old);
            now[i] = Mean(counts, palette, palette.New);
            share[i] = counts[(int)Part.Color] / (double)(Samples * Samples);
        }

        return new Renderings(Width, Height, old, now, share);
    }

    private static Rgba8 Mean(int[] counts, Palette palette, Rgba8 color)
    {
        Rgba8[] colors = [Rgba8.White, color, palette.Ground, palette.Kin, Palette.Night];
        return new Rgba8(Channel(p => p.R), Channel(p => p.G), Channel(p => p.B));

        byte Channel(Func<Rgba8, byte> of) => (byte)Math.Round(colors.Select((p, k) => counts[k] * of(p)).Sum() / (double)(Samples * Samples), MidpointRounding.AwayFromZero);
    }

    private static Part At(double x, double y)
    {
        if (x >= 160 && y < 120)
        {
            // Thin lines on near-black: slanted, curved, between two rows, across rows, thicker ones.
            bool line = Stroke(x, y, 168, 10, 230, 34, 1) || Stroke(x, y, 168, 60, 200, 16, 1) || Stroke(x, y, 180, 110, 186, 50, 1)
                || Stroke(x, y, 240, 50.5, 310, 50.5, 1.001) || (y is >= 20.3 and < 21.3 && x is > 240 and < 310) || Stroke(x, y, 240, 30, 310, 46, 1.5)
                || Stroke(x, y, 204, 100, 300, 70, 2) || Math.Abs(Math.Sqrt(((x - 250) * (x - 250)) + ((y - 110) * (y - 110))) - 22) < 0.5
                || (x is >= 216 and < 217 && y is > 60 and < 90) || (x is >= 222.5 and < 223.5 && y is > 60 and < 90);
            return line ? Part.Color : Part.Night;
        }

        if (x >= 160)
        {
            // On another color: a disc, a triangle, a thin ring, and the kin touching them.
            if (Disc(x, y, 200, 160, 22))
            {
                return x > 206 ? Part.Kin : Part.Color;
            }

            if (Triangle(x, y, 236, 190, 296, 180, 262, 132))
            {
                return Part.Color;
            }

            double ring = Math.Sqrt(((x - 200) * (x - 200)) + ((y - 206) * (y - 206)));
            bool thin = ring is > 20 and < 21 || Stroke(x, y, 226, 232, 310, 204, 1);
            return thin ? Part.Color : Stroke(x, y, 226, 226, 310, 198, 3) ? Part.Kin : Part.Ground;
        }

        // On white: a disc with an enclosed white, the kin beside and across it, a stroke, lone pixels.
        if (Disc(x, y, 60, 60, 18))
        {
            return Part.Paper;
        }

        if (Disc(x, y, 60, 60, 42))
        {
            return Part.Color;
        }

        if (Disc(x, y, 116, 60, 14))
        {
            return Part.Kin;
        }

        if (Stroke(x, y, 12, 130, 140, 150, 2.4))
        {
            return Part.Color;
        }

        if (Stroke(x, y, 12, 150, 140, 170, 2.4))
        {
            return Part.Kin;
        }

        if (Stroke(x, y, 12, 168, 120, 196, 1) || Stroke(x, y, 20, 220, 60, 180, 1))
        {
            return Part.Color;
        }

        int px = (int)Math.Floor(x), py = (int)Math.Floor(y);
        if (py is >= 200 and < 230 && px is >= 80 and < 150 && py % 6 == 0 && px % 7 == 0)
        {
            return Part.Color;
        }

        return x is >= 124 and < 150 && y is >= 84.5 and < 110.25 ? (x - y < 40 ? Part.Color : Part.Kin) : Part.Paper;
    }

    private static bool Disc(double x, double y, double cx, double cy, double radius) => ((x - cx) * (x - cx)) + ((y - cy) * (y - cy)) <= radius * radius;

    private static bool Stroke(double x, double y, double ax, double ay, double bx, double by, double width)
    {
        double dx = bx - ax, dy = by - ay, length = Math.Sqrt((dx * dx) + (dy * dy));
        double along = (((x - ax) * dx) + ((y - ay) * dy)) / length, off = (((x - ax) * dy) - ((y - ay) * dx)) / length;
        return along >= 0 && along < length && off >= -width / 2 && off < width / 2;
    }

    private static bool Triangle(double x, double y, double ax, double ay, double bx, double by, double cx, double cy)
    {
        double a = Side(ax, ay, bx, by), b = Side(bx, by, cx, cy), c = Side(cx, cy, ax, ay);
        return (a >= 0 && b >= 0 && c >= 0) || (a <= 0 && b <= 0 && c <= 0);

        double Side(double x1, double y1, double x2, double y2) => ((x2 - x1) * (y - y1)) - ((y2 - y1) * (x - x1));
    }
}
