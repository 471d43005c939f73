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
    public static Plane<byte> Draw(Plane<byte> coverage, bool toRegion, int reach, TileChange change)
    {
        int radius = (int)Math.Sqrt(reach);
        return radius > TileGrid.Side ? FromDistances(coverage, toRegion, reach, change) : Plane<byte>.Build(coverage.Width, coverage.Height, coverage, (bounds, target) =>
        {
            coverage.Tiles[coverage.Grid.IndexAt(bounds.X, bounds.Y)].CopyTo(target);
            var near = new byte[target.Length];
            if (Around(coverage, bounds, radius) is { } covered)
            {
                near.AsSpan().Fill(covered == toRegion ? (byte)255 : (byte)0);
            }
            else
            {
                new Window(bounds, radius).Mark(coverage, toRegion, reach, near);
            }

            change(near, target);
        });
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

    // Whether everything that a tile can see is in the region or nothing is; null where it has to look.
    private static bool? Around(Plane<byte> coverage, Box bounds, int radius)
    {
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
            var steps = new short[width * height];
            var nearest = new short[width];
            var row = new byte[width];

            // Down and up the columns: steps to the nearest target, as in Distance, but no more than can matter.
            Array.Fill(nearest, (short)far);
            for (int y = 0; y < height; y++)
            {
                CopyRow(coverage, tile.Y - radius + y, row);
                for (int x = 0; x < width; x++)
                {
                    nearest[x] = (row[x] != 0) == toRegion ? (short)0 : (short)Math.Min(far, nearest[x] + 1);
                }

                nearest.CopyTo(steps, y * width);
            }

            Array.Fill(nearest, (short)far);
            for (int y = height - 1; y >= radius; y--)
            {
                var here = steps.AsSpan(y * width, width);
                for (int x = 0; x < width; x++)
                {
                    nearest[x] = here[x] = Math.Min(here[x], (short)(nearest[x] + 1));
                }
            }

            // A target so many steps away in its column is near to a stretch of the row.
            var halves = new int[far + 1];
            for (int step = 0; step <= radius; step++)
            {
                halves[step] = (int)Math.Sqrt(reach - (step * step));
            }

            halves[far] = -1;
            var begun = new int[tile.Width + 1];
            for (int y = 0; y < tile.Height; y++)
            {
                var here = steps.AsSpan((y + radius) * width, width);
                var marks = near.Slice(y * tile.Width, tile.Width);
                Array.Clear(begun);
                for (int x = 0; x < width; x++)
                {
                    int half = halves[here[x]], start = Math.Max(0, x - radius - half), end = Math.Min(tile.Width, x - radius + half + 1);
                    if (start < end)
                    {
                        begun[start]++;
                        begun[end]--;
                    }
                }

                for (int x = 0, open = 0; x < marks.Length; x++)
                {
                    open += begun[x];
                    marks[x] = open > 0 ? (byte)255 : (byte)0;
                }
            }
        }

        private void CopyRow(Plane<byte> coverage, int y, Span<byte> row)
        {
            row.Clear();
            int left = Math.Max(0, tile.X - radius), right = Math.Min(coverage.Width, tile.Right + radius);
            if (y >= 0 && y < coverage.Height)
            {
                Pictures.Crop.CopyRow(coverage, left, y, row.Slice(left - (tile.X - radius), right - left));
            }
        }
    }
}
