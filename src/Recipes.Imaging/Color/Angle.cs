namespace Recipes.Imaging;

internal static class Angle
{
    // Degrees, 0 to below 360, of a point in a plane of opponent axes. The hue of a neutral is rounding noise, so it is 0.
    public static double Degrees(double x, double y)
    {
        if (Math.Abs(x) < 1e-6 && Math.Abs(y) < 1e-6)
        {
            return 0;
        }

        double degrees = Math.Atan2(y, x) * (180 / Math.PI);
        return degrees < 0 ? degrees + 360 : degrees;
    }
}
