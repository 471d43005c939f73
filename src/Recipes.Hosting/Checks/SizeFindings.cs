using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Checks;

/// <summary>Resolution, the platen, the garment, and what depends on how much prints.</summary>
internal static class SizeFindings
{
    private const double Floor = 150, Acceptable = 200;

    public static void Of(Found found, Looked looked, Box drawn)
    {
        var (art, setup, _) = looked;
        double ppi = looked.Ppi, effective = ResolutionInWords.Effective(art, setup), scale = art.Ground.Scale;
        if (effective < Acceptable)
        {
            string? why = ResolutionInWords.Assumed(art.Width, art.Height, art.PixelsPerInch, setup);
            string note = why is not null ? $" (none stated; {why})" : ResolutionInWords.Resampled(scale, ppi) is { Length: > 0 } words ? $" ({words})" : "";
            // An order's inches are those of the ink: around it a platen, or a sheet, has as many px.
            string its = drawn.Width == art.Width && drawn.Height == art.Height ? "It" : "Its ink";
            found.Findings.Add(new Finding("low-resolution", string.Create(CultureInfo.InvariantCulture,
                $"{effective:0.#} pixels per printed inch{note}: "
                    + $"{(effective < Floor ? $"below the floor of {Floor}" : $"below {Acceptable}; enough for soft photographs, not for lettering")}. "
                    + $"{its} has {Acceptable} at {drawn.Width * scale / Acceptable:0.00} x {drawn.Height * scale / Acceptable:0.00} in."),
                art.PixelCount, null, null));
        }

        if (setup.Underbase == Underbase.File && art.UnderbaseIsOutdated)
        {
            found.Findings.Add(
                new Finding("outdated-underbase", "Colors changed after the underbase was laid; it may not fit them.", 0, null, "white-underbase"));
        }

        OffPlaten(found, looked, drawn);
        GarmentTooSmall(found, looked, drawn);
        if (ScantInk.Of(looked.Printed, ppi) is { } scant)
        {
            found.Findings.Add(scant);
        }
    }

    private static void OffPlaten(Found found, Looked looked, Box drawn)
    {
        var ((art, setup, _), printed) = (looked, looked.Printed);
        // Art that states no resolution can be printed at any size.
        if (printed.Bounds is not { } box || art.PixelsPerInch is not { } ppi)
        {
            return;
        }

        double width = Math.Round(box.Width / ppi, 6), height = Math.Round(box.Height / ppi, 6), margin = 2 * setup.SafeMargin;
        string? where = width > setup.PlatenWidth || height > setup.PlatenHeight ? "larger than the platen"
            : width > Math.Round(setup.PlatenWidth - margin, 6) || height > Math.Round(setup.PlatenHeight - margin, 6)
                ? "larger than the platen less its safe margin" : null;
        // What fills the platen may be too coarse; then it says which size isn't, rounded down.
        double scale = art.Ground.Scale;
        string? set = setup.PixelsPerInchFilling(drawn.Width, drawn.Height) * scale < Floor
            ? string.Create(CultureInfo.InvariantCulture, $"width={Math.Floor(drawn.Width * scale * 100.0 / Floor) / 100:0.##}in") : null;
        if (where is not null)
        {
            found.Findings.Add(new Finding("off-platen", string.Create(CultureInfo.InvariantCulture,
                $"The ink is {width:0.00} x {height:0.00} in, {where} ({setup.PlatenWidth:0.##} x {setup.PlatenHeight:0.##} in, "
                    + $"margin {setup.SafeMargin:0.##} in). Make it smaller, or choose a larger platen."),
                printed.Count, box, "fit-to-platen", set));
        }
        else
        {
            // A px of rounding in a file that is the platen is no fault.
            var platen = setup.PlatenAt(ppi);
            if (art.Width > platen.Width + 1 || art.Height > platen.Height + 1)
            {
                found.Findings.Add(new Finding("off-platen", string.Create(CultureInfo.InvariantCulture,
                    $"The file states {art.Width / ppi:0.00} x {art.Height / ppi:0.00} in, larger than the platen "
                        + $"({setup.PlatenWidth:0.##} x {setup.PlatenHeight:0.##} in); its ink alone, {width:0.00} x {height:0.00} in, would fit. "
                        + $"Crop it, or place it with fit-to-platen."),
                    art.PixelCount, null, "fit-to-platen", set));
            }
        }
    }

    // Of a garment of the shop's stock; one that it no longer lists may still have steps.
    private static void GarmentTooSmall(Found found, Looked looked, Box drawn)
    {
        if (looked.Printed.Bounds is not { } ink || looked.Art.PixelsPerInch is not { } ppi || Listed(found, looked.Setup) is not { } garment
            || garment.TooSmall(ink.Width / ppi, ink.Height / ppi) is not { } small)
        {
            return;
        }

        double wide = drawn.Width / ppi, fits = Math.Floor(Math.Round(wide * garment.Fit(wide, drawn.Height / ppi) * 100, 6)) / 100;
        found.Findings.Add(new Finding("garment-too-small", small, looked.Printed.Count, ink, "fit-to-platen",
            string.Create(CultureInfo.InvariantCulture, $"width={fits:0.##}in")));
    }

    // The art is none the worse for a stock that can't be read, but nobody knows its garment's sizes.
    private static Garment? Listed(Found found, GarmentSetup setup)
    {
        try
        {
            return GarmentStock.Of(setup);
        }
        catch (ProblemException e) when (e.Problems[0].Code == Codes.BadGarments)
        {
            found.Findings.Add(new Finding("garment-unknown",
                $"The sizes of the garment aren't known, so nobody looked whether they take this ink. {e.Problems[0].Message}", 0, null, null));
            return null;
        }
    }
}
