using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Imaging;

namespace Recipes.Hosting.Checks;

/// <summary>The finding that nothing prints, or next to nothing: of everything that may be wrong with an art the first to say.</summary>
public static class ScantInk
{
    /// <summary>The finding's code.</summary>
    public const string Code = "next-to-nothing-prints";

    // Ours, without a source. A print of 2 x 2 mm is a mark, not a motif. What is small only beside a large canvas, such as a label placed on
    // a platen, isn't scant from 1 cm2 on.
    private const double Mark = 4, Label = 100, Share = 0.001;

    /// <summary>The finding, or null where enough prints: 4 mm2 or more, and 0.1% of the art or 1 cm2 or more.</summary>
    /// <param name="printed">What prints.</param>
    /// <param name="ppi">Pixels per printed inch.</param>
    public static Finding? Of(Region printed, double ppi)
    {
        ArgumentNullException.ThrowIfNull(printed);
        long pixels = (long)printed.FoundIn.Width * printed.FoundIn.Height;
        double area = Math.Round(printed.Count * 25.4 * 25.4 / (ppi * ppi), 6), share = (double)printed.Count / pixels;
        if (printed.IsEmpty)
        {
            return new Finding(Code, "NOTHING PRINTS: under this garment setup every pixel stays bare.", 0, null, null);
        }

        return area >= Mark && (share >= Share || area >= Label) ? null : new Finding(Code, string.Create(CultureInfo.InvariantCulture,
            $"NEXT TO NOTHING PRINTS: {printed.Count:N0} px, {area:0.##} mm2, {100 * share:0.###}% of the art. Everything else stays bare under this "
                + $"garment setup."), printed.Count, printed.Bounds, null);
    }

    /// <summary>The finding of a check, or null where it has none.</summary>
    public static Finding? In(ArtCheck check)
    {
        ArgumentNullException.ThrowIfNull(check);
        return check.Findings.FirstOrDefault(finding => finding.Code == Code);
    }
}
