namespace Recipes.Imaging;

/// <summary>An estimated range, mL.</summary>
public readonly record struct InkRange(double Low, double High);

/// <summary>How much ink a print takes, as a range: an estimate, never a measurement.</summary>
/// <param name="Colors">Color inks.</param>
/// <param name="Underbase">White ink, both passes.</param>
/// <param name="Saved">What bare white and bare black would take if they printed, white ink under them included.</param>
public sealed record InkEstimate(InkRange Colors, InkRange Underbase, InkRange Saved)
{
    /// <summary>How far a weighed solid and a later print lie apart, as a share either way; common practice, no source.</summary>
    public const double Scatter = 0.15;

    /// <summary>All ink.</summary>
    public InkRange Total => new(Colors.Low + Underbase.Low, Colors.High + Underbase.High);

    /// <summary>The ranges in one line that calls them an estimate.</summary>
    public string InWords() =>
        $"{Words(Total)} of ink, {Words(Underbase)} of it white underbase; what stays bare saves {Words(Saved)}. An estimate from the setup's constants.";

    /// <summary>A range in words: <c>none</c> for nothing at all.</summary>
    public static string Words(InkRange range) => string.Create(System.Globalization.CultureInfo.InvariantCulture,
        $"{(range.High <= 0 ? "none" : range.High < 0.005 ? "under 0.01 mL" : $"{range.Low:0.00} to {range.High:0.00} mL")}");

    /// <summary>
    /// Estimates mL = coverage x area x laydown / density. Colors are between two ways to make gray, of black ink alone (low)
    /// and of three colors (high). Null where the setup has no ink constants.
    /// </summary>
    /// <param name="art">The art.</param>
    /// <param name="pixelsPerInch">Pixels per printed inch, above 0.</param>
    /// <param name="setup">Constants, garment, what stays bare, and who lays the underbase:
    /// the machine's is taken as unchoked and solid, from the same rule.</param>
    public static InkEstimate? Of(Artwork art, double pixelsPerInch, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(setup);
        if (setup.InkConstants is not { GramsPerSquareMeter: { } laydown, GramsPerMilliliter: { } density })
        {
            return null;
        }

        var flat = art.Flat;
        var none = setup with { Ink = setup.Ink with { WhiteBare = false, BlackBare = false } };
        var white = WhiteUnderbase.For(art, setup);
        var second = setup.Underbase == Imaging.Underbase.File ? art.SecondPass : null;
        // Edges of what would print aren't choked here: a saving is a rough figure.
        var full = setup.Underbase == Imaging.Underbase.Machine || white is not null ? WhiteUnderbase.Of(flat, none, 0) : null;
        long low = 0, high = 0, savedLow = 0, savedHigh = 0, under = 0;
        for (int i = 0; i < flat.Tiles.Length; i++)
        {
            var bounds = flat.Grid.Bounds(i);
            for (int y = 0; y < bounds.Height; y++)
            {
                for (int x = 0; x < bounds.Width; x++)
                {
                    var pixel = flat.Tiles[i][x, y];
                    under += (white?.Tiles[i][x, y] ?? 0) + (second?.Tiles[i][x, y] ?? 0);
                    var (least, most) = Coverage(pixel);
                    switch (setup.Ink.StateOf(pixel))
                    {
                        case InkState.Prints:
                            low += least;
                            high += most;
                            break;
                        case InkState.BareWhite or InkState.BareBlack:
                            int below = full?.Tiles[i][x, y] ?? 0;
                            savedLow += least + below;
                            savedHigh += most + below;
                            break;
                    }
                }
            }
        }

        // Coverage in 1/255 of a solid pixel to mL, rounded so that machines agree.
        double side = 0.0254 / pixelsPerInch, each = side * side * laydown / density / 255;
        return new InkEstimate(Range(low, high), Range(under, under), Range(savedLow, savedHigh));

        InkRange Range(long least, long most) => new(Math.Round(least * each * (1 - Scatter), 6), Math.Round(most * each * (1 + Scatter), 6));
    }

    // Cyan, magenta and yellow as what red, green and blue lack, with their gray part made of one ink or of three.
    private static (int Least, int Most) Coverage(Rgba8 pixel)
    {
        int c = 255 - pixel.R, m = 255 - pixel.G, y = 255 - pixel.B, all = c + m + y;
        return ((all - (2 * Math.Min(c, Math.Min(m, y)))) * pixel.A / 255, all * pixel.A / 255);
    }
}
