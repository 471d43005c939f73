using Recipes.Codecs;
using Recipes.Imaging;

namespace Recipes.Decoders;

/// <summary>Colors that a file states by primaries, a white and a curve, as a profile, so that they are converted like any other.</summary>
/// <remarks>
/// The matrix follows from the chromaticities (SMPTE RP 177); ICC.1:2022, Annex E, adapts its white to D50 by Bradford, which maps
/// white to exactly white.
/// </remarks>
internal static class StatedColors
{
    /// <summary>x and y of white, red, green and blue: sRGB's (IEC 61966-2-1) and Display P3's (SMPTE EG 432-1 with the white D65).</summary>
    public static readonly double[] Srgb = [0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06];

    public static readonly double[] DisplayP3 = [0.3127, 0.3290, 0.680, 0.320, 0.265, 0.690, 0.150, 0.060];

    private static readonly Matrix3 Cones = new(0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296);

    /// <summary>A profile of RGB; null where no light has such primaries and such a white.</summary>
    /// <param name="chromaticities">x and y of white, red, green and blue, each from 0 on.</param>
    /// <param name="curve">The content of a curve's tag.</param>
    public static byte[]? Rgb(double[] chromaticities, byte[] curve)
    {
        if (chromaticities is not [var xw, var yw, var xr, var yr, var xg, var yg, var xb, var yb] || yw <= 0)
        {
            return null;
        }

        for (int i = 0; i < 8; i += 2)
        {
            // Rounding to 5 places may bring a sum of 1 over it.
            if (chromaticities[i] + chromaticities[i + 1] > 1.00002)
            {
                return null;
            }
        }

        // How much of each primary makes white, then what each becomes under D50.
        var primaries = new Matrix3(xr, xg, xb, yr, yg, yb, 1 - xr - yr, 1 - xg - yg, 1 - xb - yb);
        var (x, y, z) = (xw / yw, 1.0, (1 - xw - yw) / yw);
        var (red, green, blue) = primaries.Inverse().Apply(x, y, z);
        var (l, m, s) = Cones.Apply(x, y, z);
        var (l50, m50, s50) = Cones.Apply(IccFile.White[0], IccFile.White[1], IccFile.White[2]);
        var toD50 = Cones.Inverse().After(new Matrix3(l50 / l, 0, 0, 0, m50 / m, 0, 0, 0, s50 / s)).After(Cones);
        // White must be a mix of all three; NaN and infinity, of primaries on one line, fail too.
        if (!(red > 0 && green > 0 && blue > 0 && l > 0 && m > 0 && s > 0))
        {
            return null;
        }

        double[][] colorants = [Under(xr, yr, red), Under(xg, yg, green), Under(xb, yb, blue)];
        // The numbers of a profile and of its connection space end at 2.
        return colorants.All(colorant => colorant.All(value => Math.Abs(value) < 2))
            ? IccFile.Make("RGB ",
            [
                ("wtpt", IccFile.Xyz(IccFile.White)),
                ("rXYZ", IccFile.Xyz(colorants[0])), ("gXYZ", IccFile.Xyz(colorants[1])), ("bXYZ", IccFile.Xyz(colorants[2])),
                ("rTRC", curve), ("gTRC", curve), ("bTRC", curve),
            ])
            : null;

        double[] Under(double px, double py, double amount)
        {
            var (cx, cy, cz) = toD50.Apply(px * amount, py * amount, (1 - px - py) * amount);
            return [cx, cy, cz];
        }
    }

    /// <summary>A profile of gray.</summary>
    public static byte[] Gray(byte[] curve) => IccFile.Make("GRAY", [("wtpt", IccFile.Xyz(IccFile.White)), ("kTRC", curve)]);
}
