using System.Globalization;

namespace Recipes.Imaging.Charts;

/// <summary>A color as it is sent to the printer, in levels from 0 to 255 that need not be whole.</summary>
public readonly record struct Rgb(double R, double G, double B)
{
    /// <summary>The levels of an 8-bit color.</summary>
    public static Rgb Of(Rgba8 color) => new(color.R, color.G, color.B);

    /// <summary>The nearest 8-bit color.</summary>
    public Rgba8 ToRgba8() => new(Level(R), Level(G), Level(B));

    /// <summary>The distance to another color, levels.</summary>
    public double DistanceTo(Rgb other)
    {
        double r = R - other.R, g = G - other.G, b = B - other.B;
        return Math.Sqrt((r * r) + (g * g) + (b * b));
    }

    /// <summary><c>r,g,b</c>.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{R:0.###},{G:0.###},{B:0.###}");

    // Six decimals of a level decide, since math libraries differ in the last bits.
    private static byte Level(double value) => (byte)Math.Clamp(Math.Round(Math.Round(value, 6), MidpointRounding.AwayFromZero), 0, 255);
}
