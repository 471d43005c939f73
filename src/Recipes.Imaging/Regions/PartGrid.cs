namespace Recipes.Imaging;

/// <summary>Small parts by squares of a grid, to find what is near without looking at all of them. In order of their indices, square by square.</summary>
internal sealed class PartGrid
{
    private readonly Dictionary<(int X, int Y), List<int>> squares = [];
    private readonly double side;

    /// <param name="parts">The parts.</param>
    /// <param name="which">The indices of those that are found.</param>
    /// <param name="side">The side of a square, px.</param>
    public PartGrid(IReadOnlyList<SmallPart> parts, IEnumerable<int> which, double side)
    {
        this.side = Math.Max(1, side);
        foreach (int i in which)
        {
            var at = SquareOf(parts[i].Bounds);
            if (!squares.TryGetValue(at, out var square))
            {
                squares[at] = square = [];
            }

            square.Add(i);
        }
    }

    /// <summary>All whose first corner lies within so many squares of a box's first corner, and some beyond.</summary>
    public IEnumerable<int> Around(Box box, int steps = 1)
    {
        var (column, row) = SquareOf(box);
        for (int y = row - steps; y <= row + steps; y++)
        {
            for (int x = column - steps; x <= column + steps; x++)
            {
                if (squares.TryGetValue((x, y), out var square))
                {
                    foreach (int i in square)
                    {
                        yield return i;
                    }
                }
            }
        }
    }

    private (int, int) SquareOf(Box box) => ((int)(box.X / side), (int)(box.Y / side));
}
