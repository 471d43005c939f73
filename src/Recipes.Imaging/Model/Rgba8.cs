using System.Globalization;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Recipes.Imaging;

/// <summary>One pixel: 8-bit sRGB channels and straight (not premultiplied) alpha, each 0 to 255.</summary>
/// <remarks>The bytes lie in memory as R, G, B, A, so a row of pixels is a row of PNG RGBA samples.</remarks>
[StructLayout(LayoutKind.Sequential, Pack = 1)]
public readonly record struct Rgba8(byte R, byte G, byte B, byte A = 255)
{
    /// <summary>The same of whole numbers, as arithmetic gives them; where all are bytes, nothing is left to check.</summary>
    /// <exception cref="ArgumentException">One is below 0 or above 255.</exception>
    [OverloadResolutionPriority(-1)]
    public Rgba8(int r, int g, int b, int a = 255)
        : this(Channel(r, "red"), Channel(g, "green"), Channel(b, "blue"), Channel(a, "alpha"))
    {
    }

    /// <summary>Opaque 255,255,255.</summary>
    public static Rgba8 White => new(255, 255, 255);

    /// <summary>Opaque 0,0,0.</summary>
    public static Rgba8 Black => new(0, 0, 0);

    /// <summary>255,255,255 with alpha 0.</summary>
    public static Rgba8 ClearWhite => new(255, 255, 255, 0);

    /// <summary>255,255,255 at any alpha above 0.</summary>
    public bool IsPureWhite => A != 0 && (R & G & B) == 255;

    /// <summary>0,0,0 at any alpha above 0.</summary>
    public bool IsPureBlack => A != 0 && (R | G | B) == 0;

    /// <summary>Alpha 0, whatever the color.</summary>
    public bool IsTransparent => A == 0;

    /// <summary>The same color with another alpha.</summary>
    public Rgba8 WithAlpha(byte alpha) => new(R, G, B, alpha);

    /// <summary>The largest difference of any channel, alpha included, in levels.</summary>
    public int LargestDifference(Rgba8 other) =>
        Math.Max(
            Math.Max(Math.Abs(R - other.R), Math.Abs(G - other.G)),
            Math.Max(Math.Abs(B - other.B), Math.Abs(A - other.A)));

    // A cast would wrap around: 256 would be 0, and pure black where white was meant.
    private static byte Channel(int value, string name) => value is >= 0 and <= 255 ? (byte)value : throw new ArgumentException(
        string.Create(CultureInfo.InvariantCulture, $"A color's channels are whole numbers from 0 to 255, and its {name} is {value}."));

    /// <summary><c>#rrggbb</c>, or <c>#rrggbbaa</c> where alpha is not 255.</summary>
    public override string ToString() => A == 255
        ? string.Create(CultureInfo.InvariantCulture, $"#{R:x2}{G:x2}{B:x2}")
        : string.Create(CultureInfo.InvariantCulture, $"#{R:x2}{G:x2}{B:x2}{A:x2}");

    /// <summary>Reads <c>#rrggbb</c> (opaque). False for anything else.</summary>
    public static bool TryParse(string? text, out Rgba8 color)
    {
        color = default;
        if (text is not { Length: 7 } || text[0] != '#'
            || !int.TryParse(text.AsSpan(1), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out int rgb))
        {
            return false;
        }

        color = new Rgba8((byte)(rgb >> 16), (byte)(rgb >> 8), (byte)rgb);
        return true;
    }
}
