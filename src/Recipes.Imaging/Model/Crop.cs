namespace Recipes.Imaging;

/// <summary>Cuts a part out of a plane.</summary>
public static class Crop
{
    /// <summary>The pixels inside a box that lies within the plane.</summary>
    public static Plane<T> Of<T>(Plane<T> plane, Box box)
        where T : unmanaged, IEquatable<T>
    {
        ArgumentNullException.ThrowIfNull(plane);
        if (box.IsEmpty || box.Within(new Box(0, 0, plane.Width, plane.Height)) != box)
        {
            throw new ArgumentException("The box does not lie within the plane.", nameof(box));
        }

        return Plane<T>.Build(box.Width, box.Height, null, (bounds, samples) =>
        {
            for (int y = 0; y < bounds.Height; y++)
            {
                CopyRow(plane, box.X + bounds.X, box.Y + bounds.Y + y, samples.Slice(y * bounds.Width, bounds.Width));
            }
        });
    }

    /// <summary>A box of a side around a place, moved and cut so that it lies within the plane.</summary>
    public static Box Around(TileGrid grid, int x, int y, int side)
    {
        int width = Math.Min(side, grid.Width), height = Math.Min(side, grid.Height);
        return new Box(
            Math.Clamp(x - (width / 2), 0, grid.Width - width), Math.Clamp(y - (height / 2), 0, grid.Height - height), width, height);
    }

    /// <summary>Writes a part of one row.</summary>
    internal static void CopyRow<T>(Plane<T> plane, int left, int y, Span<T> target)
        where T : unmanaged, IEquatable<T>
    {
        while (target.Length > 0)
        {
            var tile = plane.Tiles[plane.Grid.IndexAt(left, y)];
            int x = left % TileGrid.Side, n = Math.Min(tile.Width - x, target.Length);
            if (tile.IsOneValue)
            {
                target[..n].Fill(tile.Value);
            }
            else
            {
                tile.Samples.Slice((y % TileGrid.Side * tile.Width) + x, n).CopyTo(target);
            }

            left += n;
            target = target[n..];
        }
    }
}
