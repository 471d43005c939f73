namespace Recipes.Imaging;

public sealed partial class Region
{
    /// <summary>
    /// Keeps the pixels that lie further than so many px from the nearest pixel not in the region: erosion by a disc.
    /// What lies outside the image is not in the region, so a choke works at its border too. Soft edges count as in and
    /// keep their coverage where they stay.
    /// </summary>
    /// <param name="px">Length in px, 0 or more; below 1 nothing changes.</param>
    /// <exception cref="ArgumentOutOfRangeException">The length is negative or not a number.</exception>
    public Region Choke(double px)
    {
        double length = Measure(px, nameof(px));
        if (length < 1)
        {
            return this;
        }

        return With(Near.Draw(Coverage, toRegion: false, Reach(length), (near, kept) => SetOperations.InVectors<ExceptOperation>(kept, near)));
    }

    /// <summary>
    /// Adds the pixels that lie within so many px of the region: dilation by a disc. Everything in the result has full
    /// coverage, since a soft edge left inside it would print as a seam.
    /// </summary>
    /// <param name="px">Length in px, 0 or more; below 1 nothing changes.</param>
    /// <exception cref="ArgumentOutOfRangeException">The length is negative or not a number.</exception>
    public Region Spread(double px) => Spread(px, null);

    /// <summary>The same for who asks only about another region: in tiles that hold nothing of it, there may be nothing.</summary>
    internal Region Spread(double px, Region? where)
    {
        double length = Measure(px, nameof(px));
        if (length < 1)
        {
            return this;
        }

        return With(Near.Draw(Coverage, toRegion: true, Reach(length), (near, grown) => near.CopyTo(grown), where?.Coverage));
    }

    /// <summary>
    /// Makes a soft edge of so many px, half of it inside and half outside of the hard one: coverage is
    /// 255 x (1/2 + d / px), at least 0 and at most 255, rounded to the nearest. The edge lies half a px from the pixel
    /// centers beside it, so inside d is the distance to the nearest pixel not in the region less 0.5, and outside it is
    /// 0.5 less the distance to the nearest pixel in it. Soft edges count as in and are made anew; outside the image
    /// nothing is in the region.
    /// </summary>
    /// <param name="px">Width of the ramp in px, 0 or more; up to 1 nothing changes.</param>
    /// <exception cref="ArgumentOutOfRangeException">The width is negative or not a number.</exception>
    public Region Soften(double px)
    {
        double ramp = Measure(px, nameof(px));
        if (ramp <= 1)
        {
            return this;
        }

        int width = Coverage.Width;
        var inward = Distance.Squared(Coverage, toRegion: false);
        var outward = Distance.Squared(Coverage, toRegion: true);
        return With(Plane<byte>.Build(width, Coverage.Height, Coverage, (bounds, target) =>
        {
            for (int y = 0, i = 0; y < bounds.Height; y++)
            {
                for (int x = 0, from = ((bounds.Y + y) * width) + bounds.X; x < bounds.Width; x++, from++)
                {
                    double d = inward[from] > 0 ? Math.Sqrt(inward[from]) - 0.5 : 0.5 - Math.Sqrt(outward[from]);
                    double coverage = 255 * Math.Clamp(0.5 + (d / ramp), 0, 1);
                    target[i++] = (byte)Math.Round(Math.Round(coverage, 6), MidpointRounding.AwayFromZero);
                }
            }
        }));
    }

    // Distances are whole squares, so the largest whole square within a length decides.
    private static int Reach(double length) => (int)Math.Min(Math.Floor(Math.Round(length * length, 6)), Distance.Unreachable - 1);
}
