namespace Recipes.Imaging;

/// <summary>That one picture is another one moved: the same art on a canvas that was padded, trimmed or shifted.</summary>
/// <param name="X">How many px it moved to the right, below 0 to the left.</param>
/// <param name="Y">How many px it moved down, below 0 up.</param>
public sealed record PictureMove(int X, int Y)
{
    /// <summary>Finds how far a picture moved; null where it didn't, or isn't the same one.</summary>
    /// <remarks>
    /// Both are seen on one ground after the other, each color of their corners: what a picture shows lies in the smallest box around all that differs from
    /// it, the whole canvas where nothing at its edge has that color. Where both boxes show the same, one is the other moved.
    /// </remarks>
    /// <param name="before">The picture.</param>
    /// <param name="after">The other.</param>
    /// <param name="levels">How many levels a channel may differ by and count as equal, 0 to 255.</param>
    public static PictureMove? Between(Plane<Rgba8> before, Plane<Rgba8> after, int levels = 0)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        foreach (var ground in Corners(before).Concat(Corners(after)).Distinct())
        {
            Box from = Shown(before, ground, levels), to = Shown(after, ground, levels);
            var move = new PictureMove(to.X - from.X, to.Y - from.Y);
            bool stays = move is { X: 0, Y: 0 } && before.Grid == after.Grid;
            if (!stays && !from.IsEmpty && (from.Width, from.Height) == (to.Width, to.Height) && Equal(before, from, after, to, levels))
            {
                return move;
            }
        }

        return null;
    }

    private static Rgba8[] Corners(Plane<Rgba8> plane)
    {
        int right = plane.Width - 1, bottom = plane.Height - 1;
        return [plane[0, 0], plane[right, 0], plane[0, bottom], plane[right, bottom]];
    }

    private static Box Shown(Plane<Rgba8> plane, Rgba8 ground, int levels)
    {
        Box shown = default;
        var row = new Rgba8[plane.Width];
        for (int y = 0; y < plane.Height; y++)
        {
            plane.CopyRowTo(y, row);
            int left = 0, right = row.Length;
            while (left < right && Equal(row[left], ground, levels))
            {
                left++;
            }

            while (right > left && Equal(row[right - 1], ground, levels))
            {
                right--;
            }

            shown = left == right ? shown : shown.Around(new Box(left, y, right - left, 1));
        }

        return shown;
    }

    private static bool Equal(Plane<Rgba8> before, Box from, Plane<Rgba8> after, Box to, int levels)
    {
        Rgba8[] row = new Rgba8[before.Width], other = new Rgba8[after.Width];
        for (int y = 0; y < from.Height; y++)
        {
            before.CopyRowTo(from.Y + y, row);
            after.CopyRowTo(to.Y + y, other);
            for (int x = 0; x < from.Width; x++)
            {
                if (!Equal(row[from.X + x], other[to.X + x], levels))
                {
                    return false;
                }
            }
        }

        return true;
    }

    private static bool Equal(Rgba8 a, Rgba8 b, int levels) => !ArtworkDiff.DiffersByMore(a, b, levels);
}
