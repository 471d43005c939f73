using Recipes.Imaging;

namespace Recipes.Hosting.Reports;

/// <summary>A state of an art laid where a change of size has put it since, so that each pixel lies on its own.</summary>
/// <param name="Before">The earlier state, scaled and moved: as large as the later one.</param>
/// <param name="Box">Where all of its canvas lies in the later one; it may reach beyond.</param>
public sealed record Alignment(Plane<Rgba8> Before, Box Box)
{
    // Whoever answers for a worker could name any box, and resampling to it takes memory by its sides.
    private const int LongestSide = 200_000;

    /// <summary>
    /// Lays the earlier state by the transform that the later one carries in its <see cref="Ground"/>, as the size change itself did it; null where they
    /// are of one size, or where the later one isn't the setup's platen or tells of no place that can be.
    /// </summary>
    /// <param name="before">The earlier state.</param>
    /// <param name="after">The later one.</param>
    /// <param name="setup">The garment setup.</param>
    public static Alignment? Of(Artwork before, Artwork after, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        ArgumentNullException.ThrowIfNull(setup);
        double ppi = after.PixelsPerInch ?? 0;
        var box = BoxOf(before, after);
        if (before.Grid == after.Grid || ppi is not (>= Platen.LowestPixelsPerInch and <= Platen.HighestPixelsPerInch)
            || setup.PlatenAt(ppi) != new Box(0, 0, after.Width, after.Height) || box.IsEmpty || box.Width > LongestSide || box.Height > LongestSide)
        {
            return null;
        }

        try
        {
            return new Alignment(Platen.Place(before, box, setup, ppi).Flat, box);
        }
        catch (ArgumentException)
        {
            // Beside the platen, or with ink beyond it: nothing that a size change of ours does.
            return null;
        }
    }

    // The picture as it came lies in both, and the rest of the canvas around it.
    private static Box BoxOf(Artwork before, Artwork after)
    {
        Box was = before.Ground.Whole ?? before.Ground.Edge, now = after.Ground.Whole ?? after.Ground.Edge;
        double across = (double)now.Width / was.Width, down = (double)now.Height / was.Height;
        return new Box(
            now.X - Whole(was.X * across), now.Y - Whole(was.Y * down), Whole(before.Width * across), Whole(before.Height * down));

        static int Whole(double length) => (int)Math.Clamp(Math.Round(Math.Round(length, 6), MidpointRounding.AwayFromZero), -1e9, 1e9);
    }
}
