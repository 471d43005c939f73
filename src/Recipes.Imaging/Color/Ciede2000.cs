namespace Recipes.Imaging;

/// <summary>The color difference CIEDE2000 (ISO/CIE 11664-6) with all weights 1.</summary>
public static class Ciede2000
{
    /// <summary>
    /// The difference of two colors of the same <see cref="LabSpace"/>: 0 for equal ones, about 1 where an eye begins to
    /// see it. Symmetric.
    /// </summary>
    /// <remarks>Steps and hue rules as in Sharma, Wu, Dalal (2005), Color Research and Application 30(1).</remarks>
    public static double Difference(Lab first, Lab second)
    {
        double c7 = Math.Pow((first.Chroma + second.Chroma) / 2, 7);
        double stretch = 1 + (0.5 * (1 - Math.Sqrt(c7 / (c7 + Pow25To7))));
        double a1 = first.A * stretch, a2 = second.A * stretch;
        double chroma1 = Math.Sqrt((a1 * a1) + (first.B * first.B)), chroma2 = Math.Sqrt((a2 * a2) + (second.B * second.B));
        double hue1 = Angle.Degrees(a1, first.B), hue2 = Angle.Degrees(a2, second.B);

        double hueStep = 0, meanHue = hue1 + hue2;
        if (chroma1 * chroma2 != 0)
        {
            hueStep = hue2 - hue1;
            bool across = Math.Abs(hueStep) > 180;
            hueStep += !across ? 0 : hueStep > 180 ? -360 : 360;
            meanHue = (!across ? meanHue : meanHue < 360 ? meanHue + 360 : meanHue - 360) / 2;
        }

        double dL = second.L - first.L, dC = chroma2 - chroma1;
        double dH = 2 * Math.Sqrt(chroma1 * chroma2) * Sin(hueStep / 2);
        double meanL = (first.L + second.L) / 2, meanC = (chroma1 + chroma2) / 2;

        double t = 1 - (0.17 * Cos(meanHue - 30)) + (0.24 * Cos(2 * meanHue))
            + (0.32 * Cos((3 * meanHue) + 6)) - (0.20 * Cos((4 * meanHue) - 63));
        double fromMiddle = (meanL - 50) * (meanL - 50);
        double sL = 1 + (0.015 * fromMiddle / Math.Sqrt(20 + fromMiddle));
        double sC = 1 + (0.045 * meanC);
        double sH = 1 + (0.015 * meanC * t);

        double turn = (meanHue - 275) / 25;
        double meanC7 = Math.Pow(meanC, 7);
        double rotation = -2 * Math.Sqrt(meanC7 / (meanC7 + Pow25To7)) * Sin(60 * Math.Exp(-turn * turn));

        double l = dL / sL, c = dC / sC, h = dH / sH;
        return Math.Sqrt(Math.Max(0, (l * l) + (c * c) + (h * h) + (rotation * c * h)));
    }

    private const double Pow25To7 = 6103515625;

    private static double Sin(double degrees) => Math.Sin(degrees * (Math.PI / 180));

    private static double Cos(double degrees) => Math.Cos(degrees * (Math.PI / 180));
}
