namespace Recipes.Imaging;

/// <summary>CIELAB under one white, and the way between it and sRGB.</summary>
/// <remarks>
/// <see cref="D50"/> is the Lab of every decision about prints (which color is alike, which is near black, which patch is
/// nearest), since prints are measured and judged under D50 (ISO 3664, ISO 13655). <see cref="D65"/> is the Lab of sRGB's
/// own white and serves comparison with software that doesn't adapt. The two differ by up to 12 units in pure blue and
/// must never be mixed in one difference. Alpha is ignored.
/// </remarks>
public sealed class LabSpace
{
    // IEC 61966-2-1 primaries and the D65 white x = 0.3127, y = 0.3290, unrounded (W3C CSS Color 4 prints the same).
    private static readonly Matrix3 SrgbToXyz = new(
        0.4123907992659593, 0.357584339383878, 0.1804807884018343,
        0.21263900587151024, 0.715168678767756, 0.07219231536073371,
        0.01933081871559182, 0.11919477979462598, 0.9505321522496607);

    // Bradford, from that D65 to the D50 white x = 0.3457, y = 0.3585.
    private static readonly Matrix3 Adaptation = new(
        1.0479297925449969, 0.022946870601609708, -0.05019226628920527,
        0.029627808770055993, 0.99043442675388, -0.017073799063418826,
        -0.009243040646204514, 0.015055191490298145, 0.7518742814281372);

    // The constants of CIELAB as exact fractions (CIE 15:2004).
    private const double Epsilon = 216.0 / 24389, Kappa = 24389.0 / 27;

    private readonly Matrix3 fromXyz;

    private LabSpace(Matrix3 toXyz)
    {
        ToXyz = toXyz;
        fromXyz = toXyz.Inverse();
        White = toXyz.Apply(1, 1, 1);
    }

    /// <summary>Lab of the D50 white, Bradford-adapted: for every decision about prints.</summary>
    public static LabSpace D50 { get; } = new(Adaptation.After(SrgbToXyz));

    /// <summary>Lab of the D65 white, not adapted.</summary>
    public static LabSpace D65 { get; } = new(SrgbToXyz);

    /// <summary>From linear sRGB, 0 to 1, to XYZ with Y of white 1.</summary>
    public Matrix3 ToXyz { get; }

    /// <summary>XYZ of white.</summary>
    public (double X, double Y, double Z) White { get; }

    /// <summary>The Lab of a color.</summary>
    public Lab Of(Rgba8 color)
    {
        var (x, y, z) = ToXyz.Apply(Srgb.ToLinear(color.R), Srgb.ToLinear(color.G), Srgb.ToLinear(color.B));
        return OfXyz(x, y, z);
    }

    /// <summary>The Lab of XYZ under this white, Y of white 1.</summary>
    public Lab OfXyz(double x, double y, double z)
    {
        double fx = Forward(x / White.X), fy = Forward(y / White.Y), fz = Forward(z / White.Z);
        return new Lab((116 * fy) - 16, 500 * (fx - fy), 200 * (fy - fz));
    }

    /// <summary>The nearest 8-bit color, and whether it is in gamut: whether rounding to 0 to 255 clips no channel.</summary>
    public (Rgba8 Color, bool InGamut) ToSrgb(Lab lab)
    {
        double fy = (lab.L + 16) / 116, fx = fy + (lab.A / 500), fz = fy - (lab.B / 200);
        var (r, g, b) = fromXyz.Apply(White.X * Backward(fx), White.Y * Backward(fy), White.Z * Backward(fz));
        return Srgb.Nearest(r, g, b);
    }

    private static double Forward(double t) => t > Epsilon ? Math.Cbrt(t) : ((Kappa * t) + 16) / 116;

    private static double Backward(double f) => f * f * f > Epsilon ? f * f * f : ((116 * f) - 16) / Kappa;
}
