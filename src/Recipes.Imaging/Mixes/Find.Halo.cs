namespace Recipes.Imaging;

public static partial class Find
{
    // Levels: how far a pixel of a flat background may lie from its color, and a mix from its line.
    private const int Flatness = 4;

    /// <summary>
    /// What lies outside the art: transparent pixels, and pixels within 4 levels of a background color that a 4-connected
    /// walk from the border of the image reaches through such pixels and transparent ones. In a cut-out only transparent pixels
    /// are outside.
    /// </summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="background">The background's color; its alpha is ignored.</param>
    /// <param name="ground">What the figure lies on; judged from the art where null.</param>
    public static Region Outside(Plane<Rgba8> art, Rgba8 background, Ground? ground = null)
    {
        var clear = Transparent(art);
        return (ground ?? Ground.Of(art)).IsCutOut ? clear
            : Found(art, new BackgroundTest(background.WithAlpha(255))).OnBorder().Union(clear);
    }

    /// <summary>
    /// Pixels near the outside that hold some of an old background. Coverage is how much of each is art: its alpha, where it
    /// has some, and else, where the pixel lies on the line between the background and the art further in, its place there.
    /// </summary>
    /// <remarks>
    /// Pixels that can't be such a mix stay out: where taking the background out would need a color outside 0 to 255, and
    /// where the pixel is nearer to the solid art beside it as it is than as a mix.
    /// </remarks>
    /// <param name="outside">What is outside, from <see cref="Outside(Plane{Rgba8}, Rgba8, Ground?)"/>.</param>
    /// <param name="background">The old background's color; its alpha is ignored.</param>
    /// <param name="widthPx">How far from the outside to look, in px between pixel centers, 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">The width is negative or not a number.</exception>
    public static Region Halo(Region outside, Rgba8 background, double widthPx)
    {
        ArgumentNullException.ThrowIfNull(outside);
        var art = outside.FoundIn;
        var rim = outside.Spread(Limit(widthPx, nameof(widthPx))).Except(outside);
        int reach = (int)Math.Min(Math.Ceiling(widthPx), 16) + 2;
        var old = Premultiplied.Of(background.WithAlpha(255));
        return new Region(Plane<byte>.Build(art.Width, art.Height, rim.Coverage, (bounds, target) =>
        {
            int tile = art.Grid.IndexAt(bounds.X, bounds.Y);
            rim.Coverage.Tiles[tile].CopyTo(target);
            for (int p = 0; p < target.Length; p++)
            {
                if (target[p] != 0)
                {
                    target[p] = ShareOfArt(art, outside, rim, bounds.X + (p % bounds.Width), bounds.Y + (p / bounds.Width), old, reach);
                }
            }
        }), art);
    }

    // 0 where the pixel holds none of the background.
    private static byte ShareOfArt(Plane<Rgba8> art, Region outside, Region rim, int x, int y, Premultiplied old, int reach)
    {
        var seen = art[x, y];
        var straight = Premultiplied.Of(seen.WithAlpha(255));
        var inside = Inside(art, outside, rim, x, y, straight, old, reach, seen.A == 255);
        if (seen.A < 255)
        {
            double alpha = seen.A / 255.0;
            if (inside is { } solid && (straight - solid).Largest <= (straight - ((alpha * solid) + ((1 - alpha) * old))).Largest)
            {
                return 0;
            }

            // What rounding to a level can explain.
            double slack = (0.5 / alpha) + 0.5;
            var full = (1 / alpha) * (straight - ((1 - alpha) * old));
            return Possible(full.R) && Possible(full.G) && Possible(full.B) ? seen.A : (byte)0;

            bool Possible(double channel) => channel >= -slack && channel <= 255 + slack;
        }

        if (inside is not { } core)
        {
            return 0;
        }

        var fit = straight.Between(core, old);
        return fit.Off <= Flatness && fit.Share is > 0 and < 0.98 ? (byte)Math.Clamp(Math.Round(fit.Share * 255, MidpointRounding.AwayFromZero), 1, 255) : (byte)0;
    }

    // The nearest opaque art that isn't rim itself and, where asked for, whose line to the background passes the pixel. In
    // strokes thinner than the rim, the rim's own pixel on that line that is furthest from the background.
    private static Premultiplied? Inside(
        Plane<Rgba8> art, Region outside, Region rim, int x, int y, Premultiplied seen, Premultiplied old, int reach, bool onLine)
    {
        Premultiplied? core = null, furthest = null;
        int nearest = int.MaxValue;
        double most = 0;
        for (int v = Math.Max(0, y - reach); v <= Math.Min(art.Height - 1, y + reach); v++)
        {
            for (int u = Math.Max(0, x - reach); u <= Math.Min(art.Width - 1, x + reach); u++)
            {
                if (art[u, v].A != 255 || outside.Contains(u, v))
                {
                    continue;
                }

                var color = Premultiplied.Of(art[u, v]);
                if (onLine && seen.Between(color, old) is var fit && !(fit.Off <= Flatness && fit.Share <= 1.05))
                {
                    continue;
                }

                int squared = ((u - x) * (u - x)) + ((v - y) * (v - y));
                if (!rim.Contains(u, v) && squared < nearest)
                {
                    (core, nearest) = (color, squared);
                }

                var line = color - old;
                if (line.Dot(line) > most)
                {
                    (furthest, most) = (color, line.Dot(line));
                }
            }
        }

        return core ?? furthest;
    }

    private readonly struct BackgroundTest(Rgba8 background) : IPixelTest
    {
        public bool Holds(Rgba8 pixel) => pixel.A == 0 || pixel.LargestDifference(background) <= Flatness;
    }
}
