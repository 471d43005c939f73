using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>
/// A generated art full of the cases that decide what is enclosed: cells of 30 px, each with a ring that is closed, open, or
/// open only at a corner, filled with white, half transparent white or specks.
/// </summary>
internal sealed record RingField(int Width, int Height, Rgba8[] Pixels)
{
    private const int Cell = 30;

    /// <summary>Draws it; the same seed gives the same art.</summary>
    /// <param name="width">Width in px.</param>
    /// <param name="height">Height in px.</param>
    /// <param name="seed">For the choices.</param>
    /// <param name="ground">What lies between the rings and at the border.</param>
    public static RingField Draw(int width, int height, int seed, Rgba8 ground)
    {
        var random = new Random(seed);
        var pixels = new Rgba8[width * height];
        Array.Fill(pixels, ground);
        // Dust, near-white ground, holes of transparency, lone whites.
        for (int n = 0; n < pixels.Length / 50; n++)
        {
            pixels[random.Next(pixels.Length)] = random.Next(4) switch
            {
                0 => Dark(random),
                1 => Gray(random.Next(225, 255)),
                2 => new Rgba8(255, 255, 255, 0),
                _ => new Rgba8(255, 255, 255, (byte)random.Next(1, 256)),
            };
        }

        for (int y = 0; y + Cell <= height; y += Cell)
        {
            for (int x = 0; x + Cell <= width; x += Cell)
            {
                DrawCell(random, pixels, width, x, y);
            }
        }

        return new RingField(width, height, pixels);
    }

    /// <summary>Writes it as a PNG.</summary>
    public string Write(string path) => Picture.Write(path, Width, Height, (x, y) => Pixels[(y * Width) + x]);

    private static void DrawCell(Random random, Rgba8[] pixels, int width, int left, int top)
    {
        int kind = random.Next(10);
        if (kind == 0)
        {
            return;
        }

        // A ring may touch its cell's edge, and so the border of the art or the next ring.
        int inset = random.Next(0, 6), outer = Cell - (2 * inset), thick = random.Next(1, 4);
        byte alpha = kind == 1 ? (byte)random.Next(1, 255) : (byte)255;
        bool specks = random.Next(3) == 0;
        for (int dy = 0; dy < outer; dy++)
        {
            for (int dx = 0; dx < outer; dx++)
            {
                int edge = Math.Min(Math.Min(dx, dy), Math.Min(outer - 1 - dx, outer - 1 - dy));
                pixels[((top + inset + dy) * width) + left + inset + dx] = edge < thick ? Dark(random)
                    : specks && random.Next(12) == 0 ? random.Next(3) switch { 0 => Dark(random), 1 => new Rgba8(255, 255, 255, 0), _ => Gray(random.Next(225, 255)) }
                    : new Rgba8(255, 255, 255, alpha);
            }
        }

        // A gap one pixel wide through the left wall.
        int row = inset + thick + random.Next(outer - (2 * thick));
        for (int dx = 0; dx < thick; dx++)
        {
            int at = ((top + row) * width) + left + inset + dx;
            switch (kind)
            {
                // 231 = 255 - 24 is the darkest level that the walk passes with near=24.
                case 2 or 3:
                    pixels[at] = Channel(random, (byte)random.Next(231, 255));
                    break;
                case 4:
                    pixels[at] = Channel(random, (byte)random.Next(200, 231));
                    break;
                case 5:
                    pixels[at] = new Rgba8(9, 9, 9, 0);
                    break;
                case 6:
                    // Passes at near=24 but not at near=8.
                    pixels[at] = Gray(240);
                    break;
            }
        }

        // A hole at the very corner of the wall touches the inside diagonally only, so it lets nothing out.
        if (kind == 7)
        {
            for (int d = 0; d < thick; d++)
            {
                pixels[((top + inset + d) * width) + left + inset + d] = Rgba8.White;
            }
        }
    }

    private static Rgba8 Dark(Random random) => new((byte)random.Next(1, 120), (byte)random.Next(0, 200), (byte)random.Next(0, 200), (byte)(random.Next(20) == 0 ? random.Next(1, 255) : 255));

    private static Rgba8 Gray(int level) => new((byte)level, (byte)level, (byte)level);

    // One channel at a level, the others white.
    private static Rgba8 Channel(Random random, byte level) => random.Next(3) switch
    {
        0 => new Rgba8(level, 255, 255),
        1 => new Rgba8(255, level, 255),
        _ => new Rgba8(255, 255, level),
    };
}
