using System.Collections.Immutable;

namespace Recipes.Imaging;

public sealed partial class Region
{
    /// <summary>What is in either: the larger coverage. Keeps this region's art.</summary>
    /// <exception cref="ArgumentException">The regions differ in size.</exception>
    public Region Union(Region other) => Combine<UnionOperation>(other);

    /// <summary>What is in both: the smaller coverage. Keeps this region's art.</summary>
    /// <exception cref="ArgumentException">The regions differ in size.</exception>
    public Region Intersect(Region other) => Combine<IntersectOperation>(other);

    /// <summary>What is in this and not in the other: the smaller of coverage and 255 minus the other's. Keeps this region's art.</summary>
    /// <exception cref="ArgumentException">The regions differ in size.</exception>
    public Region Except(Region other) => Combine<ExceptOperation>(other);

    /// <summary>What is not in the region: 255 minus coverage.</summary>
    public Region Complement()
    {
        var all = Plane<byte>.OneValue(Coverage.Width, Coverage.Height, 255);
        return With(Combine<ExceptOperation>(all, Coverage));
    }

    private Region Combine<TOperation>(Region other)
        where TOperation : ISetOperation
    {
        ArgumentNullException.ThrowIfNull(other);
        if (Coverage.Grid != other.Coverage.Grid)
        {
            throw new ArgumentException("The regions differ in size.", nameof(other));
        }

        return With(Combine<TOperation>(Coverage, other.Coverage));
    }

    private static Plane<byte> Combine<TOperation>(Plane<byte> left, Plane<byte> right)
        where TOperation : ISetOperation
    {
        var tiles = new Tile<byte>[left.Tiles.Length];
        Parallel.For(0, tiles.Length, () => (new byte[TileGrid.Side * TileGrid.Side], new byte[TileGrid.Side * TileGrid.Side]), (i, _, scratch) =>
        {
            tiles[i] = Combine<TOperation>(left.Tiles[i], right.Tiles[i], scratch.Item1, scratch.Item2);
            return scratch;
        }, _ => { });
        return left.WithTiles(ImmutableArray.Create(tiles));
    }

    private static Tile<byte> Combine<TOperation>(Tile<byte> left, Tile<byte> right, Span<byte> a, Span<byte> b)
        where TOperation : ISetOperation
    {
        if (left.IsOneValue && right.IsOneValue)
        {
            byte value = TOperation.Apply(left.Value, right.Value);
            return value == left.Value ? left : Tile<byte>.OneValue(left.Width, left.Height, value);
        }

        // Against nothing or everything, an operation either keeps the other side whole or makes it one value.
        if (right.IsOneValue && right.Value is (0 or 255))
        {
            byte low = TOperation.Apply(0, right.Value), high = TOperation.Apply(255, right.Value);
            return low == high ? Tile<byte>.OneValue(left.Width, left.Height, low) : left;
        }

        if (left.IsOneValue && left.Value is (0 or 255))
        {
            byte low = TOperation.Apply(left.Value, 0), high = TOperation.Apply(left.Value, 255);
            if (low == high && low == left.Value)
            {
                return left;
            }

            if (low == 0 && high == 255)
            {
                return right;
            }
        }

        a = a[..left.Count];
        b = b[..left.Count];
        left.CopyTo(a);
        right.CopyTo(b);
        SetOperations.InVectors<TOperation>(a, b);
        return Tile<byte>.Freeze(left.Width, left.Height, a, left);
    }
}
