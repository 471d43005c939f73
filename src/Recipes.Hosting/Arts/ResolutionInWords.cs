using System.Globalization;
using Recipes.Imaging;

namespace Recipes.Hosting.Arts;

/// <summary>The resolution that an art is measured at, and where it comes from.</summary>
public static class ResolutionInWords
{
    /// <summary><c>300 ppi</c> where the file states it, else <c>no resolution stated; taken as 300 ppi, the setup's</c>.</summary>
    public static string Of(ArtIdentity art, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(setup);
        string ppi = string.Create(CultureInfo.InvariantCulture, $"{setup.ResolutionFor(art.Width, art.Height, art.PixelsPerInch):0.##} ppi");
        return Assumed(art.Width, art.Height, art.PixelsPerInch, setup) is { } why ? $"no resolution stated; taken as {ppi}, {why}" : ppi;
    }

    /// <summary>Pixels of an art as it came per printed inch: new pixels of resampling don't count.</summary>
    public static double Effective(Artwork art, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(setup);
        return Math.Round(setup.ResolutionFor(art) * art.Ground.Scale, 6);
    }

    /// <summary>The same in words: <c>126 ppi as it came, resampled to 300</c>.</summary>
    public static string Effective(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        string ppi = string.Create(CultureInfo.InvariantCulture, $"{Effective(state.Art, state.Setup):0.#} ppi");
        return $"{ppi} {Resampled(state.Art.Ground.Scale, state.Setup.ResolutionFor(state.Art))}".TrimEnd();
    }

    /// <summary><c>as it came, resampled to 300</c>, or nothing where it wasn't resampled.</summary>
    /// <param name="scale">How many px of the art as it came lie in one px: <see cref="Ground.Scale"/>.</param>
    /// <param name="ppi">Pixels per printed inch now.</param>
    public static string Resampled(double scale, double ppi) =>
        scale == 1 ? "" : string.Create(CultureInfo.InvariantCulture, $"as it came, resampled to {ppi:0.#}");

    /// <summary>What stands for the resolution of art that states none; null where it states one.</summary>
    public static string? Assumed(int width, int height, double? stated, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        return stated is not null ? null : setup.ResolutionFor(width, height, null) > setup.PixelsPerInch ? "filling the platen inside its margin"
            : "the setup's";
    }
}
