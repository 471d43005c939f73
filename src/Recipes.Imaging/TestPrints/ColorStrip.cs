using System.Collections.Immutable;
using Recipes.Imaging.Pictures;

namespace Recipes.Imaging;

/// <summary>A strip of an art's main colors, to print on the garment and staple to its ticket.</summary>
public static class ColorStrip
{
    // An instrument needs 12 mm (see ChartPages); half an inch is a little more. What stays free around a patch, inches. House values.
    private const double Patch = 0.5, Gap = 0.125;

    // Two rows of four are small enough for the sleeve of a test garment.
    private const int Columns = 4;

    // So near to white a color counts as dust of a background that touches it; letters on dark cloth stay well below.
    private const int NearWhite = 24;
    private static readonly Rgba8 Letters = new(200, 200, 200);

    /// <summary>Draws patches, each with its color in hex below, at the setup's resolution; bare all around. Null for no colors.</summary>
    /// <param name="colors">The colors, exactly as they print.</param>
    /// <param name="setup">Platen, resolution, what stays bare, and who lays the underbase: the file's own lies under every patch.</param>
    /// <remarks>Nothing near white touches the bare ground: letters on dark cloth are gray, and a pale patch has a frame.</remarks>
    public static Artwork? Draw(ImmutableArray<MainColor> colors, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        if (colors.IsEmpty)
        {
            return null;
        }

        double ppi = setup.PixelsPerInch;
        int scale = Lettering.PrintScale(ppi), patch = (int)Math.Ceiling(Patch * ppi), gap = (int)Math.Ceiling(Gap * ppi);
        int wide = Math.Max(patch, Lettering.WidthOf("FFFFFF", scale)), high = patch + (gap / 2) + (Lettering.Height * scale);
        int room = (int)((setup.PlatenWidth - (2 * setup.SafeMargin)) * ppi);
        int columns = Math.Clamp((room - gap) / (wide + gap), 1, Math.Min(Columns, colors.Length)), rows = (colors.Length + columns - 1) / columns;
        bool dark = LabSpace.D50.Of(setup.Garment).L < 50;
        var ink = dark ? Letters : Lettering.InkOn(setup);
        var art = Artwork.FromPixels(Plane<Rgba8>.Build((columns * (wide + gap)) + gap, (rows * (high + gap)) + gap, null, (bounds, samples) =>
        {
            var canvas = new Canvas(bounds, samples);
            canvas.Fill(bounds, setup.Ink.Bared(Rgba8.White));
            for (int i = 0; i < colors.Length; i++)
            {
                var color = colors[i].Color.WithAlpha(255);
                var place = new Box(gap + (i % columns * (wide + gap)), gap + (i / columns * (high + gap)), patch, patch);
                canvas.Fill(place, color);
                if (Math.Min(color.R, Math.Min(color.G, color.B)) >= 255 - NearWhite)
                {
                    canvas.Frame(place, scale, ink);
                }

                canvas.Write(color.ToString()[1..].ToUpperInvariant(), place.X, place.Bottom + (gap / 2), scale, ink);
            }
        }), ppi);
        return setup.Underbase != Underbase.File ? art
            : art.WithLayer(Layer.Separation("underbase", LayerIntent.Underbase, WhiteUnderbase.Of(art.Flat, setup, 0)));
    }
}
