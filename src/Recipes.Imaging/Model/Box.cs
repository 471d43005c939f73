namespace Recipes.Imaging;

/// <summary>A rectangle of pixels: left, top, width and height in px. An empty box has width or height 0.</summary>
public readonly record struct Box(int X, int Y, int Width, int Height)
{
    /// <summary>The column after the last one.</summary>
    public int Right => X + Width;

    /// <summary>The row after the last one.</summary>
    public int Bottom => Y + Height;

    /// <summary>True where the box holds no pixel.</summary>
    public bool IsEmpty => Width <= 0 || Height <= 0;

    /// <summary>True where the pixel lies inside.</summary>
    public bool Contains(int x, int y) => x >= X && y >= Y && x < Right && y < Bottom;

    /// <summary>The smallest box around both; an empty box adds nothing.</summary>
    public Box Around(Box other)
    {
        if (IsEmpty)
        {
            return other;
        }

        if (other.IsEmpty)
        {
            return this;
        }

        int x = Math.Min(X, other.X), y = Math.Min(Y, other.Y);
        return new Box(x, y, Math.Max(Right, other.Right) - x, Math.Max(Bottom, other.Bottom) - y);
    }

    /// <summary>What both boxes share; empty where they share nothing.</summary>
    public Box Within(Box other)
    {
        int x = Math.Max(X, other.X), y = Math.Max(Y, other.Y);
        return new Box(x, y, Math.Max(0, Math.Min(Right, other.Right) - x), Math.Max(0, Math.Min(Bottom, other.Bottom) - y));
    }

    /// <summary>The box with a margin of so many px on every side.</summary>
    public Box Grow(int margin) => new(X - margin, Y - margin, Width + (2 * margin), Height + (2 * margin));

    /// <summary><c>x,y,w,h</c>.</summary>
    public override string ToString() => $"{X},{Y},{Width},{Height}";
}
