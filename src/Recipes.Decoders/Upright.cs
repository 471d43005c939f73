using Recipes.Imaging;

namespace Recipes.Decoders;

/// <summary>Turns stored pixels upright as the orientation says (TIFF 6.0, section 8, tag 274).</summary>
internal static class Upright
{
    /// <summary>The plane itself for orientation 1.</summary>
    public static Plane<Rgba8> Turn(Plane<Rgba8> stored, int orientation)
    {
        if (orientation == 1)
        {
            return stored;
        }

        int right = stored.Width - 1, bottom = stored.Height - 1;
        bool onItsSide = orientation >= 5;
        return Plane<Rgba8>.Build(onItsSide ? stored.Height : stored.Width, onItsSide ? stored.Width : stored.Height, null, (bounds, samples) =>
        {
            for (int y = bounds.Y, i = 0; y < bounds.Bottom; y++)
            {
                for (int x = bounds.X; x < bounds.Right; x++, i++)
                {
                    samples[i] = orientation switch
                    {
                        2 => stored[right - x, y],
                        3 => stored[right - x, bottom - y],
                        4 => stored[x, bottom - y],
                        5 => stored[y, x],
                        6 => stored[y, bottom - x],
                        7 => stored[right - y, bottom - x],
                        _ => stored[right - y, x],
                    };
                }
            }
        });
    }
}
