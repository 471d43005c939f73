using System.Text.Json.Serialization;

namespace Recipes.Imaging;

/// <summary>Who lays the white ink under the colors.</summary>
public enum Underbase
{
    /// <summary>The machine.</summary>
    Machine,
    /// <summary>The file brings it.</summary>
    File,
    /// <summary>Nobody: no white ink is laid at all, so white is the cloth's, printed or not.</summary>
    None,
}

/// <summary>The printed chart that colors were chosen from.</summary>
/// <param name="File">Its measurement file.</param>
/// <param name="Sha256">The hash of that file.</param>
/// <param name="Date">When it was printed and cured, <c>yyyy-mm-dd</c>.</param>
public sealed record ChartReference(string File, string? Sha256, string? Date);

/// <summary>House constants of an ink estimate, calibrated by weighing a solid.</summary>
/// <param name="GramsPerSquareMeter">Laydown of a solid, g/m2.</param>
/// <param name="GramsPerMilliliter">Density, g/mL.</param>
public sealed record InkConstants(double? GramsPerSquareMeter, double? GramsPerMilliliter);

/// <summary>The garment, platen, machine rules and lots that a print is made for.</summary>
public sealed record GarmentSetup
{
    /// <summary>Name, as it is chosen on the command line.</summary>
    public required string Name { get; init; }

    /// <summary>Color of the cloth.</summary>
    public Rgba8 Garment { get; init; } = Rgba8.White;

    /// <summary>Width of the platen's print area, inches.</summary>
    public required double PlatenWidth { get; init; }

    /// <summary>Height of the platen's print area, inches.</summary>
    public required double PlatenHeight { get; init; }

    /// <summary>Pixels per inch that art without a resolution of its own is taken at; see <see cref="ResolutionFor"/>.</summary>
    public double PixelsPerInch { get; init; } = 300;

    /// <summary>What stays bare.</summary>
    public InkRules Ink { get; init; } = new();

    /// <summary>Who lays the underbase.</summary>
    public Underbase Underbase { get; init; } = Underbase.Machine;

    /// <summary>Margin inside the platen that stays empty, inches; 0.25 to 0.5 is common practice, no source.</summary>
    public double SafeMargin { get; init; } = 0.25;

    /// <summary>Ink lot, as the shop writes it.</summary>
    public string? InkLot { get; init; }

    /// <summary>Pretreatment, as the shop writes it.</summary>
    public string? Pretreatment { get; init; }

    /// <summary>The chart that colors were chosen from.</summary>
    public ChartReference? Chart { get; init; }

    /// <summary>The folder of the setup's file, which its file names are seen from; null where it came from no file. Stays on this machine.</summary>
    [JsonIgnore]
    public string? Folder { get; init; }

    /// <summary>Constants of the ink estimate.</summary>
    public InkConstants? InkConstants { get; init; }

    /// <summary>The platen's print area in px at a resolution; its sides are rounded to whole px.</summary>
    public Box PlatenAt(double pixelsPerInch) => new(0, 0,
        (int)Math.Round(PlatenWidth * pixelsPerInch, MidpointRounding.AwayFromZero),
        (int)Math.Round(PlatenHeight * pixelsPerInch, MidpointRounding.AwayFromZero));

    /// <summary>Pixels per printed inch of art that is printed as large as the platen inside its safe margin takes.</summary>
    public double PixelsPerInchFilling(int width, int height) =>
        Math.Max(width / (PlatenWidth - (2 * SafeMargin)), height / (PlatenHeight - (2 * SafeMargin)));

    /// <summary>
    /// The resolution that every size, length and area of an art is measured at: the one it states, else the setup's; where the art
    /// would then be larger than the platen inside its safe margin, as it can't be printed, the one at which it fills that. Art of the
    /// platen's own size in px is the platen, margin included.
    /// </summary>
    /// <param name="width">Width in px.</param>
    /// <param name="height">Height in px.</param>
    /// <param name="stated">Pixels per inch that it states, or null.</param>
    public double ResolutionFor(int width, int height, double? stated)
    {
        var platen = PlatenAt(PixelsPerInch);
        return stated ?? (width == platen.Width && height == platen.Height ? PixelsPerInch : Math.Max(PixelsPerInch, PixelsPerInchFilling(width, height)));
    }
}
