namespace Recipes.Imaging;

/// <summary>How a plane of some size is cut into tiles: rows of tiles from the top, edge tiles exact and never padded.</summary>
/// <remarks>Padding would count as pure black, so there is none. The side is docs/decisions/0001.</remarks>
public readonly record struct TileGrid(int Width, int Height)
{
    /// <summary>The side of a whole tile in px.</summary>
    public const int Side = 128;

    /// <summary>Tiles in a row.</summary>
    public int Columns => (Width + Side - 1) / Side;

    /// <summary>Rows of tiles.</summary>
    public int Rows => (Height + Side - 1) / Side;

    /// <summary>All tiles.</summary>
    public int Count => Columns * Rows;

    /// <summary>The pixels that tile <paramref name="index"/> covers.</summary>
    public Box Bounds(int index)
    {
        int x = index % Columns * Side, y = index / Columns * Side;
        return new Box(x, y, Math.Min(Side, Width - x), Math.Min(Side, Height - y));
    }

    /// <summary>The tile that holds a pixel.</summary>
    public int IndexAt(int x, int y) => (y / Side * Columns) + (x / Side);
}
