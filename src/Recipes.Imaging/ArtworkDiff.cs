namespace Recipes.Imaging;

/// <summary>The exact difference of two flattened states of the same size.</summary>
/// <param name="Pixels">Pixels whose RGBA differs; transparent before and after doesn't count, whatever color lies under it.</param>
/// <param name="Box">The smallest box around them, or null where nothing differs.</param>
/// <param name="LargestDelta">The largest difference of any channel, alpha included, in levels.</param>
public sealed record ArtworkDiff(long Pixels, Box? Box, int LargestDelta)
{
    /// <summary>Nothing differs.</summary>
    public static ArtworkDiff None { get; } = new(0, null, 0);

    /// <summary>Walks the tiles that are not the same object.</summary>
    public static ArtworkDiff Between(Plane<Rgba8> before, Plane<Rgba8> after)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        if (before.Grid != after.Grid)
        {
            throw new ArgumentException("The two states differ in size.", nameof(after));
        }

        var gate = new Lock();
        var sum = None;
        Parallel.For(0, before.Tiles.Length, i =>
        {
            if (!ReferenceEquals(before.Tiles[i], after.Tiles[i]))
            {
                var part = OfTile(before.Grid.Bounds(i), before.Tiles[i], after.Tiles[i]);
                lock (gate)
                {
                    sum = sum.And(part);
                }
            }
        });
        return sum;
    }

    /// <summary>True where the two pixels count as different.</summary>
    public static bool Differs(Rgba8 before, Rgba8 after) => before != after && !(before.IsTransparent && after.IsTransparent);

    private ArtworkDiff And(ArtworkDiff other) => new(
        Pixels + other.Pixels,
        Box is null ? other.Box : other.Box is null ? Box : Box.Value.Around(other.Box.Value),
        Math.Max(LargestDelta, other.LargestDelta));

    private static ArtworkDiff OfTile(Box bounds, Tile<Rgba8> before, Tile<Rgba8> after)
    {
        long pixels = 0;
        int delta = 0;
        Box box = default;
        foreach (var run in new ChangedRuns(before, after))
        {
            if (run.Counts)
            {
                pixels += run.Pixels;
                delta = Math.Max(delta, run.Before.LargestDifference(run.After));
                box = box.Around(run.Box);
            }
        }

        return pixels == 0 ? None : new ArtworkDiff(pixels, box with { X = bounds.X + box.X, Y = bounds.Y + box.Y }, delta);
    }
}
