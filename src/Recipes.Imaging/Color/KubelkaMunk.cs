namespace Recipes.Imaging;

/// <summary>Reflectance of a finite layer that scatters and absorbs, over a ground: Kubelka (1948), as ISO 18314-2 has it.</summary>
public static class KubelkaMunk
{
    /// <summary>Reflectance of white ink without end, 0 to 1, in linear light; common practice, no source.</summary>
    public const double WhiteInk = 0.9;

    /// <summary>Scattering power of a solid underbase: it makes black cloth L* 91. Common practice, no source.</summary>
    public const double SolidUnderbase = 4;

    /// <summary>The reflectance that shows: R = (1 - Rg (a - b coth bSX)) / (a - Rg + b coth bSX).</summary>
    /// <param name="power">Scattering power SX of the layer, 0 or more; at 0 the ground shows exactly.</param>
    /// <param name="ground">Reflectance of the ground, 0 to 1, in linear light.</param>
    /// <param name="infinite">Reflectance of a layer without end, above 0 and below 1.</param>
    public static double Over(double power, double ground, double infinite = WhiteInk)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(power);
        if (power == 0)
        {
            return ground;
        }

        double a = ((1 / infinite) + infinite) / 2, b = ((1 / infinite) - infinite) / 2;
        // Multiplied by the hyperbolic tangent, so that thin layers don't divide by next to nothing.
        double t = Math.Tanh(b * power);
        return (t - (ground * ((a * t) - b))) / (((a - ground) * t) + b);
    }
}
