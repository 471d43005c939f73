using System.Globalization;
using Recipes.Imaging;

namespace Recipes.Hosting.Words;

/// <summary>Lengths and areas as people write them: <c>1.5mm</c>, <c>10cm</c>, <c>0.25in</c>, <c>16px</c>; <c>0.06mm2</c>, <c>8px</c>.</summary>
public static class Measure
{
    private const double MillimetersPerInch = 25.4;

    /// <summary>A length in px at a resolution, or null where the text isn't one.</summary>
    public static double? Length(string text, double pixelsPerInch) =>
        Split(text, "mm", "cm", "in", "px") is not (double value, string unit) ? null : Round(unit switch
        {
            "mm" => value / MillimetersPerInch * pixelsPerInch,
            "cm" => value * 10 / MillimetersPerInch * pixelsPerInch,
            "in" => value * pixelsPerInch,
            _ => value,
        });

    /// <summary>An area in px2 at a resolution, or null where the text isn't one.</summary>
    public static double? Area(string text, double pixelsPerInch) =>
        Split(text, "mm2", "px2", "px") is not (double value, string unit) ? null : Round(unit switch
        {
            "mm2" => value / (MillimetersPerInch * MillimetersPerInch) * pixelsPerInch * pixelsPerInch,
            _ => value,
        });

    /// <summary>A box <c>x,y,w,h</c> in px at a resolution, rounded to whole px, or null where the text isn't one of at most an artwork's size.</summary>
    public static Box? Box(string text, double pixelsPerInch)
    {
        ArgumentNullException.ThrowIfNull(text);
        double?[] sides = [.. text.Split(',').Select(side => Length(side.Trim(), pixelsPerInch))];
        return sides is [{ } x, { } y, { } width, { } height]
            && x + width <= Artwork.LargestSide && y + height <= Artwork.LargestSide && width >= 0.5 && height >= 0.5
            ? new Box(Whole(x), Whole(y), Whole(width), Whole(height)) : null;

        static int Whole(double side) => (int)Math.Round(side, MidpointRounding.AwayFromZero);
    }

    /// <summary>An area as people read it, <c>12.34 cm2</c> from 1 cm2 on and <c>5.67 mm2</c> below.</summary>
    /// <param name="pixels">The area, px squared.</param>
    /// <param name="pixelsPerInch">The resolution.</param>
    public static string InWords(double pixels, double pixelsPerInch)
    {
        double area = SquareMillimeters(pixels, pixelsPerInch);
        return area >= 100 ? string.Create(CultureInfo.InvariantCulture, $"{area / 100:#,0.00} cm2")
            : area is > 0 and < 0.005 ? "under 0.01 mm2" : string.Create(CultureInfo.InvariantCulture, $"{area:0.00} mm2");
    }

    /// <summary>An area in mm2, to the third place.</summary>
    public static double SquareMillimeters(double pixels, double pixelsPerInch) =>
        Math.Round(pixels * MillimetersPerInch * MillimetersPerInch / (pixelsPerInch * pixelsPerInch), 3);

    // Thresholds must not depend on the last bit of a division.
    private static double Round(double value) => Math.Round(value, 6, MidpointRounding.AwayFromZero);

    private static (double Value, string Unit)? Split(string text, params ReadOnlySpan<string> units)
    {
        ArgumentNullException.ThrowIfNull(text);
        foreach (string unit in units)
        {
            if (text.EndsWith(unit, StringComparison.Ordinal)
                && double.TryParse(text.AsSpan(0, text.Length - unit.Length).TrimEnd(),
                    NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double value)
                && value is >= 0 and <= 1e9)
            {
                return (value, unit);
            }
        }

        return null;
    }
}
