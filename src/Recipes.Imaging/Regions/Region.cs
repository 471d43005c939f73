namespace Recipes.Imaging;

/// <summary>A set of pixels with coverage 0 to 255 (soft edges), found in some art.</summary>
/// <remarks>Distances are Euclidean between pixel centers; what lies outside the image is not in the region.</remarks>
public sealed partial class Region
{
    /// <summary>Makes a region of its coverage and the flattened art it was found in.</summary>
    public Region(Plane<byte> coverage, Plane<Rgba8> foundIn)
        : this(coverage, foundIn, null)
    {
    }

    private Region(Plane<byte> coverage, Plane<Rgba8> foundIn, Ground? ground)
    {
        ArgumentNullException.ThrowIfNull(coverage);
        ArgumentNullException.ThrowIfNull(foundIn);
        if (coverage.Grid != foundIn.Grid)
        {
            throw new ArgumentException("Region and art differ in size.", nameof(coverage));
        }

        Coverage = coverage;
        FoundIn = foundIn;
        this.ground = ground;
        count = new Lazy<long>(() => CountCovered(coverage));
        bounds = new Lazy<Box?>(() => BoundsOf(coverage));
    }

    private readonly Lazy<long> count;
    private readonly Ground? ground;
    private readonly Lazy<Box?> bounds;

    /// <summary>Coverage of every pixel: 0 is out, 255 is in, between is a soft edge.</summary>
    public Plane<byte> Coverage { get; }

    /// <summary>The flattened art in which the region was found.</summary>
    public Plane<Rgba8> FoundIn { get; }

    /// <summary>What the figure lies on in that art; judged from its pixels unless <see cref="On"/> said it.</summary>
    public Ground Ground => ground ?? Ground.Of(FoundIn);

    /// <summary>The region in art whose ground was judged before.</summary>
    public Region On(Ground known)
    {
        ArgumentNullException.ThrowIfNull(known);
        return known.Equals(ground) ? this : new Region(Coverage, FoundIn, known);
    }

    /// <summary>How many pixels have coverage above 0.</summary>
    public long Count => count.Value;

    /// <summary>The smallest box around the covered pixels, or null where there are none.</summary>
    public Box? Bounds => bounds.Value;

    /// <summary>True where no pixel is covered.</summary>
    public bool IsEmpty => Count == 0;

    /// <summary>True where the pixel's coverage is above 0.</summary>
    public bool Contains(int x, int y) => Coverage[x, y] != 0;

    private static long CountCovered(Plane<byte> coverage)
    {
        long sum = 0;
        foreach (var tile in coverage.Tiles)
        {
            if (tile.IsOneValue)
            {
                sum += tile.Value == 0 ? 0 : tile.Count;
            }
            else
            {
                sum += tile.Count - tile.Samples.Count((byte)0);
            }
        }

        return sum;
    }

    private static Box? BoundsOf(Plane<byte> coverage)
    {
        var around = default(Box);
        for (int i = 0; i < coverage.Tiles.Length; i++)
        {
            var tile = coverage.Tiles[i];
            var place = coverage.Grid.Bounds(i);
            if (tile.IsOneValue)
            {
                around = tile.Value == 0 ? around : around.Around(place);
                continue;
            }

            for (int y = 0; y < tile.Height; y++)
            {
                var row = tile.Samples.Slice(y * tile.Width, tile.Width);
                int first = row.IndexOfAnyExcept((byte)0), last = row.LastIndexOfAnyExcept((byte)0);
                if (first >= 0)
                {
                    around = around.Around(new Box(place.X + first, place.Y + y, last - first + 1, 1));
                }
            }
        }

        return around.IsEmpty ? null : around;
    }
}
