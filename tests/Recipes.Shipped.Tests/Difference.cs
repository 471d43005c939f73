using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>CIE76: the distance in CIELAB (CIE 15) under sRGB's white D65 (IEC 61966-2-1), written out here on its own.</summary>
internal static class Difference
{
    public static double Cie76(Rgba8 a, Rgba8 b)
    {
        var (l1, a1, b1) = Lab(a);
        var (l2, a2, b2) = Lab(b);
        return Math.Sqrt(((l1 - l2) * (l1 - l2)) + ((a1 - a2) * (a1 - a2)) + ((b1 - b2) * (b1 - b2)));
    }

    private static (double L, double A, double B) Lab(Rgba8 p)
    {
        double r = Linear(p.R), g = Linear(p.G), b = Linear(p.B);
        double x = F(((0.4124 * r) + (0.3576 * g) + (0.1805 * b)) / 0.9505), y = F((0.2126 * r) + (0.7152 * g) + (0.0722 * b)),
            z = F(((0.0193 * r) + (0.1192 * g) + (0.9505 * b)) / 1.0890);
        return ((116 * y) - 16, 500 * (x - y), 200 * (y - z));

        static double Linear(byte code) => code <= 10 ? code / 255.0 / 12.92 : Math.Pow(((code / 255.0) + 0.055) / 1.055, 2.4);
        static double F(double t) => t > 216.0 / 24389 ? Math.Cbrt(t) : ((24389.0 / 27 * t) + 16) / 116;
    }
}
