using Recipes.Imaging;

namespace Recipes.Hosting.Reports;

/// <summary>Two arts, compared.</summary>
/// <param name="First">The first.</param>
/// <param name="Second">The second; what differs by no more than the tolerance is as in the first.</param>
/// <param name="Tolerance">How many levels a channel may differ by.</param>
/// <param name="Ignored">How many pixels differ by no more than that.</param>
/// <param name="IgnoredInk">How many of these print in one of the two and stay bare in the other.</param>
/// <param name="Moved">How far the second is the first moved, or null.</param>
public sealed record ComparedArts(Artwork First, Artwork Second, int Tolerance, long Ignored, long IgnoredInk, PictureMove? Moved)
{
    /// <summary>Compares two arts.</summary>
    /// <param name="first">The first.</param>
    /// <param name="second">The second.</param>
    /// <param name="tolerance">0 to 255.</param>
    /// <param name="rules">What stays bare.</param>
    public static ComparedArts Of(Artwork first, Artwork second, int tolerance, InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(first);
        ArgumentNullException.ThrowIfNull(second);
        var moved = PictureMove.Between(first.Flat, second.Flat, tolerance);
        if (tolerance == 0 || first.Grid != second.Grid)
        {
            return new ComparedArts(first, second, tolerance, 0, 0, moved);
        }

        var near = ArtworkDiff.Ignoring(first.Flat, second.Flat, tolerance);
        var ink = InkChange.Between(near, second.Flat, rules);
        // The white ink that a file lays is no color, and none of it is ignored.
        var settled = second.Layers.Where(layer => layer.Mode == LayerMode.Separation)
            .Aggregate(Artwork.FromPixels(near, second.PixelsPerInch), (art, layer) => art.WithLayer(layer)).WithGround(second.Ground);
        return new ComparedArts(first, settled, tolerance, ArtworkDiff.Between(near, second.Flat).Pixels, ink.Gained + ink.Lost, moved);
    }
}
