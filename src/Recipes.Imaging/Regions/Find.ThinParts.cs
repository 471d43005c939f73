namespace Recipes.Imaging;

public static partial class Find
{
    // A pointed end is thin over a short way only; a thin stroke over a long one. In widths. Ours; no source.
    private const double Longer = 4;

    /// <summary>
    /// Strokes of a region that are certainly no wider than so many px: of every pixel there, and of all around it, the
    /// nearest pixel not in the region lies within half of that. Corners and points stay out, and so do strokes that end
    /// within four times the width.
    /// </summary>
    /// <remarks>
    /// A stroke of w px has its innermost pixel center w/2 to w/2 + 1/2 px from the nearest one outside, so a stroke a little
    /// wider may pass; one found never is wider. Outside the image counts as not in the region.
    /// </remarks>
    /// <param name="region">The region; soft edges count as in.</param>
    /// <param name="widthPx">The width in px, 0 or more; below 2 nothing is certainly thinner.</param>
    /// <exception cref="ArgumentOutOfRangeException">The width is negative or not a number.</exception>
    public static Region ThinParts(Region region, double widthPx)
    {
        ArgumentNullException.ThrowIfNull(region);
        widthPx = Limit(widthPx, nameof(widthPx));
        if (widthPx < 2)
        {
            return region.Except(region);
        }

        double half = widthPx / 2;
        return region.Except(region.Choke(half).Spread(half + 1.5, where: region)).Islands(diagonal: true)
            .Pick(island => Math.Max(island.Bounds.Width, island.Bounds.Height) >= Longer * widthPx);
    }
}
