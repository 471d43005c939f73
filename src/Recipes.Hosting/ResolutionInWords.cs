using System.Globalization;
using Recipes.Imaging;

namespace Recipes.Hosting;

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

    /// <summary>What stands for the resolution of art that states none; null where it states one.</summary>
    public static string? Assumed(int width, int height, double? stated, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        return stated is not null ? null : setup.ResolutionFor(width, height, null) > setup.PixelsPerInch ? "filling the platen inside its margin"
            : "the setup's";
    }
}
