using System.Runtime.CompilerServices;

namespace Recipes.Imaging.Pictures;

/// <summary>Sums a block of pixels that an overview shows as one.</summary>
internal struct BlockSum
{
    private int r, g, b;

    /// <summary>How many pixels.</summary>
    public int Pixels { get; private set; }

    /// <summary>How many of them were marked.</summary>
    public int Marked { get; private set; }

    /// <summary>The mean color, opaque.</summary>
    public readonly Rgba8 Mean => new((byte)((r + (Pixels / 2)) / Pixels), (byte)((g + (Pixels / 2)) / Pixels), (byte)((b + (Pixels / 2)) / Pixels));

    /// <summary>The color of a pixel in 16-bit lanes, so that one addition adds all channels of a few pixels; the highest lane counts marks.</summary>
    public static ulong Lanes(Rgba8 pixel, bool marked = false)
    {
        ulong word = Unsafe.BitCast<Rgba8, uint>(pixel);
        return (word & 0xFF) | ((word & 0xFF00) << 8) | ((word & 0xFF0000) << 16) | (marked ? 1UL << 48 : 0);
    }

    /// <summary>Adds the sum of the lanes of at most 256 pixels.</summary>
    public void Add(ulong lanes, int pixels)
    {
        r += (ushort)lanes;
        g += (ushort)(lanes >> 16);
        b += (ushort)(lanes >> 32);
        Marked += (ushort)(lanes >> 48);
        Pixels += pixels;
    }
}
