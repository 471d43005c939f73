using System.Buffers;
using System.Numerics;
using System.Runtime.CompilerServices;

namespace Recipes.Imaging;

/// <summary>Which pixels lie within a length of a region, or of what is not in it: what a choke and a spread ask of distances.</summary>
/// <remarks>
/// Only a length is asked for, so each tile looks no further than that around itself, and most tiles of most art need not look
/// at all: what is far inside or far outside is told by tiles of one value. Several times faster than exact distances, to which
/// tests hold it equal; beyond a tile's side those are cheaper.
/// </remarks>
internal static class Near
{
    /// <summary>Changes the coverage of one tile: <paramref name="near"/> is 255 where a target lies within the length, else 0.</summary>
    public delegate void TileChange(ReadOnlySpan<byte> near, Span<byte> coverage);

    /// <summary>Changes coverage tile by tile.</summary>
    /// <param name="coverage">The region; coverage above 0 counts as in.</param>
    /// <param name="toRegion">True: targets are the pixels of the region. False: those not in it, all of what lies outside the image included.</param>
    /// <param name="reach">The largest squared distance that is near, px2, 1 or more.</param>
    /// <param name="change">Changes a tile.</param>
    /// <param name="only">Tiles where it holds nothing may become none of the region; all are changed where null.</param>
    public static Plane<byte> Draw(Plane<byte> coverage, bool toRegion, int reach, TileChange change, Plane<byte>? only = null)
    {
        int radius = (int)Math.Sqrt(reach);
        return radius > TileGrid.Side ? FromDistances(coverage, toRegion, reach, change)
            : Plane<byte>.Build(coverage.Width, coverage.Height, coverage, (bounds, target) =>
        {
            coverage.Tiles[coverage.Grid.IndexAt(bounds.X, bounds.Y)].CopyTo(target);
            byte[] rented = ArrayPool<byte>.Shared.Rent(target.Length);
            var near = rented.AsSpan(0, target.Length);
            if (Around(coverage, bounds, radius, toRegion) is { } covered)
            {
                near.Fill(covered == toRegion ? (byte)255 : (byte)0);
            }
            else
            {
                new Window(bounds, radius).Mark(coverage, toRegion, reach, near);
            }

            change(near, target);
            ArrayPool<byte>.Shared.Return(rented);
        }, tile => only?.Tiles[tile] is { IsOneValue: true, Value: 0 } none ? none : null);
    }

    /// <summary>The same by exact distances.</summary>
    internal static Plane<byte> FromDistances(Plane<byte> coverage, bool toRegion, int reach, TileChange change)
    {
        var distances = Distance.Squared(coverage, toRegion);
        return Plane<byte>.Build(coverage.Width, coverage.Height, coverage, (bounds, target) =>
        {
            coverage.Tiles[coverage.Grid.IndexAt(bounds.X, bounds.Y)].CopyTo(target);
            var near = new byte[target.Length];
            for (int y = 0, i = 0; y < bounds.Height; y++)
            {
                foreach (int distance in distances.AsSpan(((bounds.Y + y) * coverage.Width) + bounds.X, bounds.Width))
                {
                    near[i++] = distance <= reach ? (byte)255 : (byte)0;
                }
            }

            change(near, target);
        });
    }

    // Whether everything that a tile can see is in the region or nothing is, or all of itself is a target; null where it has to look.
    private static bool? Around(Plane<byte> coverage, Box bounds, int radius, bool toRegion)
    {
        if (coverage.Tiles[coverage.Grid.IndexAt(bounds.X, bounds.Y)] is { IsOneValue: true } own && (own.Value != 0) == toRegion)
        {
            return toRegion;
        }

        var seen = bounds.Grow(radius);
        var inside = seen.Within(new Box(0, 0, coverage.Width, coverage.Height));
        bool? all = inside == seen ? null : false;
        for (int y = inside.Y / TileGrid.Side; y <= (inside.Bottom - 1) / TileGrid.Side; y++)
        {
            for (int x = inside.X / TileGrid.Side; x <= (inside.Right - 1) / TileGrid.Side; x++)
            {
                var tile = coverage.Tiles[(y * coverage.Grid.Columns) + x];
                if (!tile.IsOneValue || (all is { } known && known != (tile.Value != 0)))
                {
                    return null;
                }

                all = tile.Value != 0;
            }
        }

        return all;
    }

    // A tile and what lies within the radius around it; beyond the image nothing is in the region.
    private readonly struct Window(Box tile, int radius)
    {
        public void Mark(Plane<byte> coverage, bool toRegion, int reach, Span<byte> near)
        {
            int width = tile.Width + (2 * radius), height = tile.Height + (2 * radius), far = radius + 1;
            // As many of them as there are tiles would be new memory each time. A radius is no longer than a tile's side, so its steps are bytes.
            byte[] rented = ArrayPool<byte>.Shared.Rent(width * height);
            var steps = rented.AsSpan(0, width * height);
            var nearest = new byte[width];
            var row = new byte[width];

            // Down and up the columns: steps to the nearest target, as in Distance, but no more than can matter.
            Array.Fill(nearest, (byte)far);
            for (int y = 0; y < height; y++)
            {
                CopyRow(coverage, tile.Y - radius + y, row);
                Down(row, toRegion, (byte)far, nearest);
                nearest.CopyTo(steps[(y * width)..]);
            }

            Array.Fill(nearest, (byte)far);
            for (int y = height - 1; y >= radius; y--)
            {
                Up(steps.Slice(y * width, width), nearest);
            }

            // So many columns away a target may be so many steps away in its column.
            var most = new byte[radius + 1];
            for (int columns = 0; columns <= radius; columns++)
            {
                most[columns] = (byte)Math.Sqrt(reach - (columns * columns));
            }

            for (int y = 0; y < tile.Height; y++)
            {
                Across(steps.Slice((y + radius) * width, width), most, near.Slice(y * tile.Width, tile.Width));
            }

            ArrayPool<byte>.Shared.Return(rented);
        }

        // Marks what has a target near enough in the columns beside it. A row of steps is longer than its marks, by a radius at both ends.
        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        private static void Across(ReadOnlySpan<byte> here, ReadOnlySpan<byte> most, Span<byte> marks)
        {
            int radius = most.Length - 1, x = 0;
            byte far = (byte)most.Length;
            for (; x + Vector<byte>.Count <= marks.Length; x += Vector<byte>.Count)
            {
                var found = Vector<byte>.Zero;
                if (here.Slice(x, Vector<byte>.Count + (2 * radius)).IndexOfAnyExcept(far) >= 0)
                {
                    for (int columns = 0; columns <= radius && found != Vector<byte>.AllBitsSet; columns++)
                    {
                        var nearest = Vector.Min(new Vector<byte>(here[(x + radius - columns)..]), new Vector<byte>(here[(x + radius + columns)..]));
                        found |= Vector.LessThanOrEqual(nearest, new Vector<byte>(most[columns]));
                    }
                }

                found.CopyTo(marks[x..]);
            }

            for (; x < marks.Length; x++)
            {
                bool isNear = false;
                for (int columns = 0; columns <= radius && !isNear; columns++)
                {
                    isNear = Math.Min(here[x + radius - columns], here[x + radius + columns]) <= most[columns];
                }

                marks[x] = isNear ? (byte)255 : (byte)0;
            }
        }

        // One step more from the row above, or none on a target. Code with vectors isn't compiled ahead, so it is optimized at its first call.
        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        private static void Down(ReadOnlySpan<byte> row, bool toRegion, byte far, Span<byte> nearest)
        {
            int x = 0;
            var most = new Vector<byte>(far);
            var flip = toRegion ? Vector<byte>.Zero : Vector<byte>.AllBitsSet;
            for (; x + Vector<byte>.Count <= row.Length; x += Vector<byte>.Count)
            {
                var isOut = Vector.Equals(new Vector<byte>(row[x..]), Vector<byte>.Zero) ^ flip;
                (Vector.Min(new Vector<byte>(nearest[x..]) + Vector<byte>.One, most) & isOut).CopyTo(nearest[x..]);
            }

            for (; x < row.Length; x++)
            {
                nearest[x] = (row[x] != 0) == toRegion ? (byte)0 : (byte)Math.Min(far, nearest[x] + 1);
            }
        }

        // One step more from the row below, where that is fewer.
        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        private static void Up(Span<byte> here, Span<byte> nearest)
        {
            int x = 0;
            for (; x + Vector<byte>.Count <= here.Length; x += Vector<byte>.Count)
            {
                var fewest = Vector.Min(new Vector<byte>(here[x..]), new Vector<byte>(nearest[x..]) + Vector<byte>.One);
                fewest.CopyTo(here[x..]);
                fewest.CopyTo(nearest[x..]);
            }

            for (; x < here.Length; x++)
            {
                nearest[x] = here[x] = Math.Min(here[x], (byte)(nearest[x] + 1));
            }
        }

        private void CopyRow(Plane<byte> coverage, int y, Span<byte> row)
        {
            row.Clear();
            int left = Math.Max(0, tile.X - radius), right = Math.Min(coverage.Width, tile.Right + radius);
            if (y >= 0 && y < coverage.Height)
            {
                Crop.CopyRow(coverage, left, y, row.Slice(left - (tile.X - radius), right - left));
            }
        }
    }
}
