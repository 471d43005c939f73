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

    /// <summary>True where they count as different, and a channel, alpha included, differs by more than so many levels.</summary>
    public static bool DiffersByMore(Rgba8 before, Rgba8 after, int levels) => Differs(before, after) && before.LargestDifference(after) > levels;

    /// <summary>The state after, but with the pixel from before wherever the two differ by no more than so many levels in each channel.</summary>
    /// <param name="before">The state before.</param>
    /// <param name="after">The state after, of the same size.</param>
    /// <param name="levels">0 to 255.</param>
    public static Plane<Rgba8> Ignoring(Plane<Rgba8> before, Plane<Rgba8> after, int levels)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        if (before.Grid != after.Grid)
        {
            throw new ArgumentException("The two states differ in size.", nameof(after));
        }

        return levels == 0 ? after : Plane<Rgba8>.Build(after.Width, after.Height, before, (bounds, samples) =>
        {
            int index = after.Grid.IndexAt(bounds.X, bounds.Y);
            var was = new Rgba8[bounds.Width];
            for (int y = 0; y < bounds.Height; y++)
            {
                var row = samples.Slice(y * bounds.Width, bounds.Width);
                before.Tiles[index].CopyRowTo(y, was);
                after.Tiles[index].CopyRowTo(y, row);
                for (int x = 0; x < row.Length; x++)
                {
                    row[x] = Differs(was[x], row[x]) && !DiffersByMore(was[x], row[x], levels) ? was[x] : row[x];
                }
            }
        });
    }

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
