using Recipes.Hosting.Setups;
using Recipes.Imaging;

namespace Recipes.Benchmarks;

/// <summary>The arts that operations are measured on; made anew each time, the same each time.</summary>
internal static class Arts
{
    /// <summary>Rings and bars of a dozen colors with white inside, on white; or smooth noise with a white disc in it, in a white frame.</summary>
    public static Plane<Rgba8> Make(int megapixels, bool photographic)
    {
        int width = (int)Math.Round(4200 * Math.Sqrt(megapixels / 20.0)), height = (int)Math.Round(4800 * Math.Sqrt(megapixels / 20.0));
        var samples = new Rgba8[width * height];
        Parallel.For(0, height, y =>
        {
            var row = samples.AsSpan(y * width, width);
            for (int x = 0; x < row.Length; x++)
            {
                row[x] = photographic ? Photograph(x, y, width, height) : Flat(x, y, width);
            }
        });
        return Plane<Rgba8>.FromContiguous(width, height, samples);
    }

    private static Rgba8 Flat(int x, int y, int width)
    {
        int cell = width / 6, column = x / cell, line = y / cell;
        double dx = (x % cell) - (cell / 2.0), dy = (y % cell) - (cell / 2.0), distance = Math.Sqrt((dx * dx) + (dy * dy)) / cell;
        // A pixel of anti-aliasing on both edges of the ring.
        double soft = cell / 1.0, inner = Math.Clamp((distance - 0.2) * soft, 0, 1), outer = Math.Clamp((0.4 - distance) * soft, 0, 1), cover = Math.Min(inner, outer);
        int hue = ((column * 5) + (line * 3)) % 12;
        var ink = new Rgba8((byte)(hue * 20), (byte)(200 - (hue * 12)), (byte)(40 + (hue * 7 % 180)));
        return new Rgba8(Mix(ink.R), Mix(ink.G), Mix(ink.B));

        byte Mix(byte channel) => (byte)Math.Round(255 + ((channel - 255) * cover));
    }

    private static Rgba8 Photograph(int x, int y, int width, int height)
    {
        double dx = x - (width / 2.0), dy = y - (height / 2.0);
        int frame = width / 20;
        if (x < frame || y < frame || x >= width - frame || y >= height - frame || (dx * dx) + (dy * dy) < width * (double)width / 64)
        {
            return Rgba8.White;
        }

        double slow = Math.Sin(x * 0.0031) + Math.Cos(y * 0.0027) + Math.Sin((x + y) * 0.0113);
        uint grain = ((uint)x * 2654435761u) ^ ((uint)y * 2246822519u);
        grain ^= grain >> 15;
        grain *= 2654435769u;
        int noise = (int)(grain >> 28) - 8;
        return new Rgba8(Level(120 + (40 * slow)), Level(110 + (25 * slow)), Level(90 - (30 * slow)));

        byte Level(double value) => (byte)Math.Clamp(value + noise, 0, 254);
    }
}

/// <summary>The setup that is measured under.</summary>
internal static class Setups
{
    public static GarmentSetup Light { get; } = SetupStore.Shipped[0];
}
