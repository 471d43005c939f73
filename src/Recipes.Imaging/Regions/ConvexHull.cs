namespace Recipes.Imaging;

/// <summary>The convex hull of a region's pixels, as corners of pixels, clockwise from the topmost.</summary>
internal static class ConvexHull
{
    public static (int X, int Y)[] Of(Plane<byte> mask)
    {
        // A row's outermost pixels are enough.
        var left = new List<(int X, int Y)>();
        var right = new List<(int X, int Y)>();
        var row = new byte[mask.Width];
        for (int y = 0; y < mask.Height; y++)
        {
            mask.CopyRowTo(y, row);
            int first = row.AsSpan().IndexOfAnyExcept((byte)0);
            if (first >= 0)
            {
                int last = row.AsSpan().LastIndexOfAnyExcept((byte)0) + 1;
                Add(right, (last, y), 1);
                Add(right, (last, y + 1), 1);
                Add(left, (first, y), -1);
                Add(left, (first, y + 1), -1);
            }
        }

        left.Reverse();
        return [.. right.Concat(left)];
    }

    /// <summary>The sides of a hull, where corners that lie within so many px of a straight line are left out.</summary>
    public static (int X, int Y)[] Straightened((int X, int Y)[] hull, double within)
    {
        if (hull.Length < 4)
        {
            return hull;
        }

        int far = Enumerable.Range(1, hull.Length - 1).MaxBy(i => Square(hull[0], hull[i]));
        return Turned([.. Kept(hull[..(far + 1)], within).SkipLast(1), .. Kept([.. hull[far..], hull[0]], within).SkipLast(1)], within);
    }

    // Where it began may be in the middle of a side.
    private static (int X, int Y)[] Turned((int X, int Y)[] corners, double within) =>
        [.. corners.Where((corner, i) => Off(corner, corners[(i + corners.Length - 1) % corners.Length], corners[(i + 1) % corners.Length]) > within)];

    private static IEnumerable<(int X, int Y)> Kept((int X, int Y)[] line, double within)
    {
        if (line.Length < 3)
        {
            return line;
        }

        int far = Enumerable.Range(1, line.Length - 2).MaxBy(i => Off(line[i], line[0], line[^1]));
        return Off(line[far], line[0], line[^1]) <= within ? [line[0], line[^1]]
            : Kept(line[..(far + 1)], within).SkipLast(1).Concat(Kept(line[far..], within));
    }

    // Keeps a chain convex; side is 1 for one that turns clockwise on a screen, going down.
    private static void Add(List<(int X, int Y)> chain, (int X, int Y) next, int side)
    {
        while (chain.Count > 1 && Cross(chain[^2], chain[^1], next) * side <= 0)
        {
            chain.RemoveAt(chain.Count - 1);
        }

        if (chain.Count == 0 || chain[^1] != next)
        {
            chain.Add(next);
        }
    }

    private static double Off((int X, int Y) at, (int X, int Y) from, (int X, int Y) to) =>
        Math.Round(Math.Abs(Cross(from, to, at)) / Math.Sqrt(Math.Max(1, Square(from, to))), 6);

    private static long Square((int X, int Y) a, (int X, int Y) b) => ((long)(a.X - b.X) * (a.X - b.X)) + ((long)(a.Y - b.Y) * (a.Y - b.Y));

    private static long Cross((int X, int Y) a, (int X, int Y) b, (int X, int Y) c) => ((long)(b.X - a.X) * (c.Y - a.Y)) - ((long)(b.Y - a.Y) * (c.X - a.X));
}
