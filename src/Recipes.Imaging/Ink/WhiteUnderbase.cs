namespace Recipes.Imaging;

/// <summary>How much white ink the colors of an art need under them on a garment.</summary>
/// <remarks>
/// Common practice, no source. An ink filters what is below it, so a color needs white as its strongest channel is strong:
/// all of it from half the levels on, which holds for light and for saturated colors, and less in proportion in shadows. Cloth
/// that reflects all light needs none: the white goes by what its weakest channel lacks, all of it from L* 50 down.
/// </remarks>
public static class WhiteUnderbase
{
    /// <summary>The underbase as a plane.</summary>
    /// <param name="flat">The flattened art.</param>
    /// <param name="setup">Garment color, and what stays bare: nothing lies under that.</param>
    /// <param name="choke">By how many px it stays back from the edges of what prints, 0 or more; strokes are kept.</param>
    /// <param name="strength">Laydown under a color that needs all of it, 0 to 1.</param>
    public static Plane<byte> Of(Plane<Rgba8> flat, GarmentSetup setup, double choke, double strength = 1)
    {
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentOutOfRangeException.ThrowIfNotEqual(strength is >= 0 and <= 1, true, nameof(strength));
        double need = strength * GarmentNeed(setup.Garment);
        return Laid(flat, setup, choke, need, pixel => Math.Min(1, Math.Max(pixel.R, Math.Max(pixel.G, pixel.B)) / 127.5));
    }

    /// <summary>A second pass under art white: what prints with all channels at 240 or more.</summary>
    /// <inheritdoc cref="Of"/>
    public static Plane<byte> SecondPass(Plane<Rgba8> flat, GarmentSetup setup, double choke, double strength = 1)
    {
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentOutOfRangeException.ThrowIfNotEqual(strength is >= 0 and <= 1, true, nameof(strength));
        return Laid(flat, setup, choke, strength * GarmentNeed(setup.Garment), pixel => Math.Min(pixel.R, Math.Min(pixel.G, pixel.B)) >= 240 ? 1 : 0);
    }

    /// <summary>How much of an underbase cloth asks for: 0 on white to 1 on dark or saturated cloth.</summary>
    public static double GarmentNeed(Rgba8 garment)
    {
        double weakest = Srgb.ToLinear(Math.Min(garment.R, Math.Min(garment.G, garment.B)));
        // L* of CIE 15 for a gray of that reflectance.
        double lightness = weakest > 216.0 / 24389 ? (116 * Math.Cbrt(weakest)) - 16 : weakest * 24389 / 27;
        return Math.Clamp(Math.Round((100 - lightness) / 50, 6), 0, 1);
    }

    private static Plane<byte> Laid(Plane<Rgba8> flat, GarmentSetup setup, double choke, double need, Func<Rgba8, double> wants)
    {
        ArgumentNullException.ThrowIfNull(flat);
        var none = Plane<byte>.OneValue(flat.Width, flat.Height, 0);
        if (need == 0)
        {
            return none;
        }

        // Edges are those of what prints, not of where white is wanted: a black outline needs no gap beside it.
        var under = Under(flat, setup.Ink, choke);
        return Plane<byte>.Build(flat.Width, flat.Height, none, (bounds, samples) =>
        {
            int tile = flat.Grid.IndexAt(bounds.X, bounds.Y);
            for (int p = 0; p < samples.Length; p++)
            {
                int x = p % bounds.Width, y = p / bounds.Width;
                var pixel = flat.Tiles[tile][x, y];
                byte held = under.Tiles[tile][x, y];
                samples[p] = held == 0 ? (byte)0
                    : (byte)Math.Round(Math.Round(Math.Min(held, pixel.A) * need * wants(pixel), 6), MidpointRounding.AwayFromZero);
            }
        });
    }

    // How much white the choke leaves under each pixel that prints.
    private static Plane<byte> Under(Plane<Rgba8> flat, InkRules ink, double choke)
    {
        var printed = Find.Where(flat, pixel => ink.StateOf(pixel) == InkState.Prints);
        if (choke is 0 or > StrokeChoke.Longest)
        {
            return printed.ChokeKeepingStrokes(choke).Coverage;
        }

        var alpha = Plane<byte>.Build(flat.Width, flat.Height, printed.Coverage, (bounds, samples) =>
        {
            int tile = flat.Grid.IndexAt(bounds.X, bounds.Y);
            for (int p = 0; p < samples.Length; p++)
            {
                int x = p % bounds.Width, y = p / bounds.Width;
                samples[p] = printed.Coverage.Tiles[tile][x, y] == 0 ? (byte)0 : flat.Tiles[tile][x, y].A;
            }
        });
        return StrokeChoke.Of(alpha, choke);
    }

    /// <summary>
    /// The white that the print gets: the plane in force where the setup leaves it to the file; where the machine lays it, what
    /// <see cref="Of"/> expects, unchoked, since how a machine does it isn't known; none where none is laid.
    /// </summary>
    public static Plane<byte>? For(Artwork art, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(setup);
        return setup.Underbase switch
        {
            Imaging.Underbase.File => art.Underbase,
            Imaging.Underbase.None => null,
            _ => Of(art.Flat, setup, 0),
        };
    }
}
