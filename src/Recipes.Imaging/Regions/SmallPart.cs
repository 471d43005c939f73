namespace Recipes.Imaging;

/// <summary>A speck of ink or a hole that is small enough to be dirt.</summary>
/// <param name="Ink">True for ink, false for a hole.</param>
/// <param name="Number">Of its island.</param>
/// <param name="Bounds">Around it; of a hole, with the mixes that belong to it.</param>
/// <param name="Area">Its px2, 0 or more; of a hole, with its share of the mixes, and 0 where another hole counts them already.</param>
/// <param name="NearLarge">It is near something larger of its kind.</param>
/// <param name="Faint">It is hardly seen on its ground.</param>
internal readonly record struct SmallPart(bool Ink, int Number, Box Bounds, double Area, bool NearLarge, bool Faint)
{
    /// <summary>Levels up to which a difference is hardly seen: the tolerance of near-white beside the art.</summary>
    public const int Hardly = 23;

    /// <summary>
    /// How far from each other two things are near, in sides of a square of the area: about 0.75 mm for 0.06 mm2. The period
    /// of text so small that it is a speck by size lies nearer to its letter, and the dots of an ellipsis to each other. Ours;
    /// no source.
    /// </summary>
    public const double Near = 3;

    /// <summary>With what is near and holds no bare pixel, it is no smaller than the area.</summary>
    public bool Accompanied { get; init; }

    /// <summary>Between the nearest pixels of the two boxes, px; 0 where they overlap.</summary>
    public double Gap(SmallPart other)
    {
        Box a = Bounds, b = other.Bounds;
        int dx = Math.Max(0, Math.Max(a.X - b.Right, b.X - a.Right) + 1), dy = Math.Max(0, Math.Max(a.Y - b.Bottom, b.Y - a.Bottom) + 1);
        return Math.Round(Math.Sqrt(((double)dx * dx) + ((double)dy * dy)), 6);
    }

    /// <summary>Between the centers of the two boxes, px.</summary>
    public double Apart(SmallPart other)
    {
        double dx = (TwiceX - other.TwiceX) / 2.0, dy = (TwiceY - other.TwiceY) / 2.0;
        return Math.Round(Math.Sqrt((dx * dx) + (dy * dy)), 6);
    }

    /// <summary>Whether neither is larger than the other by more than a factor.</summary>
    public bool IsAlike(SmallPart other, double factor) => Math.Max(Area, other.Area) <= factor * Math.Max(1, Math.Min(Area, other.Area));

    /// <summary>Whether its center lies midway between two others', to a px.</summary>
    public bool IsMidway(SmallPart a, SmallPart b) =>
        Math.Abs(a.TwiceX + b.TwiceX - (2 * TwiceX)) <= 4 && Math.Abs(a.TwiceY + b.TwiceY - (2 * TwiceY)) <= 4;

    // The center in half px.
    private int TwiceX => (2 * Bounds.X) + Bounds.Width;

    private int TwiceY => (2 * Bounds.Y) + Bounds.Height;
}

/// <summary>What a small part is taken for.</summary>
internal enum SmallPartKind
{
    /// <summary>Part of something larger.</summary>
    Art,

    /// <summary>It stands alone.</summary>
    Dirt,

    /// <summary>One of many, or of a raster.</summary>
    Pattern,
}
