namespace Recipes.Imaging;

/// <summary>A color in CIELAB (ISO/CIE 11664-4), of the white that its <see cref="LabSpace"/> names.</summary>
/// <param name="L">Lightness L*, 0 (black) to 100 (white).</param>
/// <param name="A">a*, green (negative) to red.</param>
/// <param name="B">b*, blue (negative) to yellow.</param>
public readonly record struct Lab(double L, double A, double B)
{
    /// <summary>Chroma C*ab, 0 for a neutral.</summary>
    public double Chroma => Math.Sqrt((A * A) + (B * B));

    /// <summary>Hue angle in degrees, 0 to below 360; 0 for a neutral.</summary>
    public double Hue => Angle.Degrees(A, B);
}
