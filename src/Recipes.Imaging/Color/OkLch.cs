namespace Recipes.Imaging;

/// <summary>A color in OKLCH, the polar form of Oklab (Ottosson 2020): for even steps of lightness, chroma and hue, not for tolerances.</summary>
/// <param name="L">Lightness, 0 (black) to 1 (white).</param>
/// <param name="C">Chroma, 0 for a neutral; sRGB reaches about 0.32.</param>
/// <param name="H">Hue angle in degrees, 0 to below 360.</param>
public readonly record struct OkLch(double L, double C, double H)
{
    // From linear sRGB to cone responses, and from their cube roots to Oklab: Ottosson's published digits.
    private static readonly Matrix3 Cones = new(
        0.4122214708, 0.5363325363, 0.0514459929,
        0.2119034982, 0.6806995451, 0.1073969566,
        0.0883024619, 0.2817188376, 0.6299787005);

    private static readonly Matrix3 Opponents = new(
        0.2104542553, 0.7936177850, -0.0040720468,
        1.9779984951, -2.4285922050, 0.4505937099,
        0.0259040371, 0.7827717662, -0.8086757660);

    private static readonly Matrix3 FromCones = Cones.Inverse(), FromOpponents = Opponents.Inverse();

    /// <summary>The OKLCH of a color; alpha is ignored.</summary>
    public static OkLch Of(Rgba8 color) => OfLinear(Srgb.ToLinear(color.R), Srgb.ToLinear(color.G), Srgb.ToLinear(color.B));

    /// <summary>The OKLCH of linear sRGB, 0 to 1; values outside the gamut are welcome.</summary>
    public static OkLch OfLinear(double red, double green, double blue)
    {
        var (l, m, s) = Cones.Apply(red, green, blue);
        var (lightness, a, b) = Opponents.Apply(Math.Cbrt(l), Math.Cbrt(m), Math.Cbrt(s));
        return new OkLch(lightness, Math.Sqrt((a * a) + (b * b)), Angle.Degrees(a, b));
    }

    /// <summary>The nearest 8-bit color, and whether it is in gamut: whether rounding to 0 to 255 clips no channel.</summary>
    public (Rgba8 Color, bool InGamut) ToSrgb()
    {
        double turn = H * (Math.PI / 180);
        var (l, m, s) = FromOpponents.Apply(L, C * Math.Cos(turn), C * Math.Sin(turn));
        var (r, g, b) = FromCones.Apply(l * l * l, m * m * m, s * s * s);
        return Srgb.Nearest(r, g, b);
    }
}
