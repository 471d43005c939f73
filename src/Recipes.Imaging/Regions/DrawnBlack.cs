using System.Globalization;

namespace Recipes.Imaging;

/// <summary>What is near black in an art, and what of it is drawn. See <see cref="Find.DrawnBlack"/>.</summary>
/// <param name="Within">Every pixel within the limits.</param>
/// <param name="Drawn">Outlines, lettering and flat shapes of black, whole: also pixels inside them and at their rims that noise took over the limits.</param>
/// <param name="Fades">Even black that runs into a fade, a glow or a shadow: no edge says where it ends. None where it is exactly 0,0,0.</param>
/// <param name="Scattered">Single pixels of exact 0,0,0 in what is nearly black and not drawn.</param>
public sealed record DrawnBlack(Region Within, Region Drawn, Region Fades, Region Scattered)
{
    /// <summary>
    /// Lines as dark as black that aren't drawn in it, since noise tinted them over their whole width: they may be black, and print. Looked for in art with
    /// noise; at most 5 px wide.
    /// </summary>
    public required Region Tinted { get; init; }

    /// <summary>What somebody must say about the fades, on a garment that shows where black drops; null where there are none.</summary>
    /// <param name="decided">True where it was said.</param>
    public Question? AboutFades(bool decided)
    {
        if (Fades.IsEmpty)
        {
            return null;
        }

        var parts = Fades.Islands(diagonal: true);
        string places = parts.Count == 1 ? "one place" : string.Create(CultureInfo.InvariantCulture, $"{parts.Count:N0} places");
        return new Question("near-black", string.Create(CultureInfo.InvariantCulture,
            $"Black runs into a fade or a shadow in {places}, {Fades.Count:N0} px: keep it printing, or drop it, cut off where the fade begins?"),
            [.. parts], "keeps printing", "fade=drop", decided);
    }
}
