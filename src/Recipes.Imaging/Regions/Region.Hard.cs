namespace Recipes.Imaging;

public sealed partial class Region
{
    // Bayer (1973), An optimum method for two-level rendition of continuous-tone pictures: 8x8 thresholds, each half of the
    // pattern spread as evenly as can be. Bits of x ^ y and y, lowest first, make the rank.
    private const int Side = 8, Ranks = Side * Side;

    /// <summary>Full coverage where it is above 0 and at least so many percent, none elsewhere: no soft edges.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The percentage is not 0 to 100.</exception>
    public Region Threshold(double percent)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(percent is >= 0 and <= 100, true, nameof(percent));
        double least = Math.Round(percent * 255 / 100, 6);
        return Hard((_, _, coverage) => coverage != 0 && coverage >= least);
    }

    /// <summary>
    /// An even pattern of single px with full coverage that covers as much as the soft coverage did: ordered dither with
    /// Bayer's 8x8 matrix (1973), fixed to the image, so that the same art gives the same dots.
    /// </summary>
    public Region Dots() => Hard((x, y, coverage) => coverage * Ranks > (Rank(x, y) * 255) + 127);

    private static int Rank(int x, int y)
    {
        int rank = 0;
        for (int bit = 0; bit < 3; bit++)
        {
            rank = (rank << 2) | ((((x ^ y) >> bit) & 1) << 1) | ((y >> bit) & 1);
        }

        return rank;
    }

    private Region Hard(Func<int, int, byte, bool> keep) => With(Plane<byte>.Build(Coverage.Width, Coverage.Height, Coverage, (bounds, target) =>
    {
        var tile = Coverage.Tiles[Coverage.Grid.IndexAt(bounds.X, bounds.Y)];
        tile.CopyTo(target);
        for (int p = 0; p < target.Length; p++)
        {
            target[p] = keep(bounds.X + (p % bounds.Width), bounds.Y + (p / bounds.Width), target[p]) ? (byte)255 : (byte)0;
        }
    }, tile => Coverage.Tiles[tile] is { IsOneValue: true, Value: 0 } none ? none : null));
}
