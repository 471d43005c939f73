using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>The sRGB transfer function of IEC 61966-2-1, both ways.</summary>
/// <remarks>Encoded and linear values run from 0 to 1; values outside are mirrored around 0, so that gamut can be judged.</remarks>
public static class Srgb
{
    private static readonly ImmutableArray<double> Linear = [.. Enumerable.Range(0, 256).Select(code => ToLinear(code / 255.0))];

    /// <summary>Linear light, 0 to 1, of an 8-bit code; from a table of 256.</summary>
    public static double ToLinear(byte code) => Linear[code];

    /// <summary>Linear light of an encoded value.</summary>
    public static double ToLinear(double encoded)
    {
        double size = Math.Abs(encoded);
        double linear = size <= 0.04045 ? size / 12.92 : Math.Pow((size + 0.055) / 1.055, 2.4);
        return Math.CopySign(linear, encoded);
    }

    /// <summary>Encoded value of linear light.</summary>
    public static double FromLinear(double linear)
    {
        double size = Math.Abs(linear);
        double encoded = size <= 0.0031308 ? size * 12.92 : (1.055 * Math.Pow(size, 1 / 2.4)) - 0.055;
        return Math.CopySign(encoded, linear);
    }

    /// <summary>
    /// The nearest opaque 8-bit color of linear light, and whether it is in gamut: whether rounding to 0 to 255 clips
    /// no channel.
    /// </summary>
    public static (Rgba8 Color, bool InGamut) Nearest(double red, double green, double blue)
    {
        var (r, inR) = Code(red);
        var (g, inG) = Code(green);
        var (b, inB) = Code(blue);
        return (new Rgba8(r, g, b), inR && inG && inB);
    }

    private static (byte Code, bool InGamut) Code(double linear)
    {
        // Math libraries differ in the last bits; six decimals of a level decide.
        double level = Math.Round(Math.Round(FromLinear(linear) * 255, 6), MidpointRounding.AwayFromZero);
        return ((byte)Math.Clamp(level, 0, 255), level is >= 0 and <= 255);
    }
}
