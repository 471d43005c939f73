using System.Collections;

namespace Recipes.Imaging;

/// <summary>One connected part of a region.</summary>
/// <param name="Number">From 1, in reading order of the first pixel.</param>
/// <param name="Bounds">The smallest box around it.</param>
/// <param name="Count">Its pixels.</param>
/// <param name="FirstX">Column of its first pixel in reading order.</param>
/// <param name="FirstY">Row of its first pixel in reading order.</param>
public sealed record Island(int Number, Box Bounds, long Count, int FirstX, int FirstY);

/// <summary>The connected parts of a region, 4-connected unless asked for otherwise, in reading order of their first pixels. Coverage above 0 counts as in.</summary>
public sealed class Islands : IReadOnlyList<Island>
{
    private readonly Region region;
    private readonly ConnectedRegions parts;

    internal Islands(Region region, bool diagonal)
    {
        this.region = region;
        parts = ConnectedRegions.Of(region.Coverage, diagonal);
    }

    /// <summary>How many there are.</summary>
    public int Count => parts.Count;

    /// <summary>The island with number <paramref name="index"/> + 1.</summary>
    public Island this[int index]
    {
        get
        {
            ArgumentOutOfRangeException.ThrowIfNegative(index);
            ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(index, Count);
            return parts[index + 1];
        }
    }

    /// <summary>The number of the island at a pixel; 0 where there is none.</summary>
    public int NumberAt(int x, int y) =>
        new Box(0, 0, region.Coverage.Width, region.Coverage.Height).Contains(x, y) ? parts.NumberAt(x, y) : 0;

    /// <summary>The region of the islands that satisfy a test, soft edges kept; the whole region itself where all do.</summary>
    public Region Pick(Func<Island, bool> wanted)
    {
        ArgumentNullException.ThrowIfNull(wanted);
        return Keep([false, .. this.Select(wanted)]);
    }

    /// <summary>Which numbers share a pixel with another region.</summary>
    internal bool[] Touching(Region other) => parts.Touching(other.Coverage);

    internal Region AtLeast(double smallest) => Keep(parts.AtLeast(smallest));

    internal Region OnBorder() => Keep(parts.OnBorder());

    private Region Keep(bool[] wanted) => region.With(parts.Keep(region.Coverage, wanted));

    /// <inheritdoc/>
    public IEnumerator<Island> GetEnumerator() => Enumerable.Range(1, Count).Select(number => parts[number]).GetEnumerator();

    IEnumerator IEnumerable.GetEnumerator() => GetEnumerator();
}
