using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>Tiles that make a rectangle: what only they and those beside them can hold is looked for in no others.</summary>
internal sealed class TileWindow
{
    private readonly TileGrid whole;

    // In tiles.
    private readonly Box tiles;

    private TileWindow(TileGrid whole, Box tiles) => (this.whole, this.tiles) = (whole, tiles);

    /// <summary>The row of the plane that is the first one here.</summary>
    public int Top => tiles.Y * TileGrid.Side;

    /// <summary>The column of the plane that is the first one here.</summary>
    public int Left => tiles.X * TileGrid.Side;

    /// <summary>The rectangle around all tiles of a mask that hold something, and those beside them; null where none does.</summary>
    public static TileWindow? Around(Plane<byte> mask)
    {
        var grid = mask.Grid;
        var around = default(Box);
        for (int i = 0; i < grid.Count; i++)
        {
            around = mask.Tiles[i].IsAll(0) ? around : around.Around(new Box(i % grid.Columns, i / grid.Columns, 1, 1));
        }

        return around.IsEmpty ? null : new TileWindow(grid, around.Grow(1).Within(new Box(0, 0, grid.Columns, grid.Rows)));
    }

    /// <summary>These tiles of a plane, as a plane of their own; the plane itself where it has no others.</summary>
    public Plane<T> Of<T>(Plane<T> plane)
        where T : unmanaged, IEquatable<T>
    {
        if (tiles.Width * tiles.Height == whole.Count)
        {
            return plane;
        }

        var cut = ImmutableArray.CreateBuilder<Tile<T>>(tiles.Width * tiles.Height);
        for (int row = tiles.Y; row < tiles.Bottom; row++)
        {
            cut.AddRange(plane.Tiles.AsSpan((row * whole.Columns) + tiles.X, tiles.Width));
        }

        const int Side = TileGrid.Side;
        int width = Math.Min(whole.Width, tiles.Right * Side) - (tiles.X * Side), height = Math.Min(whole.Height, tiles.Bottom * Side) - (tiles.Y * Side);
        return new Plane<T>(width, height, cut.MoveToImmutable());
    }

    /// <summary>Coverage in these tiles at its place in the whole plane; none elsewhere.</summary>
    public Plane<byte> Back(Plane<byte> cut)
    {
        if (cut.Grid == whole)
        {
            return cut;
        }

        var all = Plane<byte>.OneValue(whole.Width, whole.Height, 0).Tiles.ToArray();
        for (int i = 0; i < cut.Tiles.Length; i++)
        {
            all[((tiles.Y + (i / tiles.Width)) * whole.Columns) + tiles.X + (i % tiles.Width)] = cut.Tiles[i];
        }

        return new Plane<byte>(whole.Width, whole.Height, ImmutableArray.Create(all));
    }
}
