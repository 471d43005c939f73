namespace Recipes.Imaging;

/// <summary>The resolution of an art under a setup.</summary>
public static class ArtResolution
{
    /// <summary>The resolution that every size, length and area of this art is measured at:
    /// <see cref="GarmentSetup.ResolutionFor(int, int, double?)"/>.</summary>
    /// <param name="setup">The setup.</param>
    /// <param name="art">The art.</param>
    public static double ResolutionFor(this GarmentSetup setup, Artwork art)
    {
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentNullException.ThrowIfNull(art);
        return setup.ResolutionFor(art.Width, art.Height, art.PixelsPerInch);
    }
}
