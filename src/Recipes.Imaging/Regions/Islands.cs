using System.Collections;

namespace Recipes.Imaging;

/// <summary>One part of a region.</summary>
/// <param name="Number">From 1, in reading order of the first pixel.</param>
/// <param name="Bounds">The smallest box around it.</param>
/// <param name="Count">Its pixels.</param>
/// <param name="FirstX">Column of its first pixel in reading order.</param>
/// <param name="FirstY">Row of its first pixel in reading order.</param>
public sealed record Island(int Number, Box Bounds, long Count, int FirstX, int FirstY)
{
    /// <summary>What it is, where a list holds parts of several kinds: <see cref="Find.EnclosedWhite"/> or <see cref="Find.EdgeWhite"/>; else empty.</summary>
    public string Class { get; init; } = "";
}

/// <summary>
/// The numbered parts of a region: its connected parts, 4-connected unless asked for otherwise, in reading order of their first
/// pixels; or groups of these. Coverage above 0 counts as in.
/// </summary>
public sealed class Islands : IReadOnlyList<Island>
{
    private readonly Region region;
    private readonly ConnectedRegions parts;
    // For each connected part, and entry 0 for none, the number of the island that it belongs to; null where each is its own.
    private readonly int[]? groups;
    private readonly Island[]? grouped;
    private readonly string kind;

    internal Islands(Region region, bool diagonal, string kind = "")
    {
        this.region = region;
        this.kind = kind;
        parts = ConnectedRegions.Of(region.Coverage, diagonal);
    }

    /// <summary>Connected parts grouped to islands.</summary>
    /// <param name="region">The region.</param>
    /// <param name="parts">Its connected parts.</param>
    /// <param name="groups">For each part's number the number of its island, from 1 without a gap; entry 0 is 0.</param>
    /// <param name="classes">What each island is; entry 0 is of none.</param>
    internal Islands(Region region, ConnectedRegions parts, int[] groups, string[] classes)
    {
        this.region = region;
        this.parts = parts;
        this.groups = groups;
        kind = "";
        var found = new Island?[classes.Length];
        for (int part = 1; part < groups.Length; part++)
        {
            var one = parts[part];
            ref var island = ref found[groups[part]];
            island = island is null
                ? one with { Number = groups[part], Class = classes[groups[part]] }
                : island with { Bounds = island.Bounds.Around(one.Bounds), Count = island.Count + one.Count };
        }

        grouped = [.. found.Skip(1).Select(island => island!)];
    }

    /// <summary>What the figure lies on in the art that they were found in.</summary>
    internal Ground Ground => region.Ground;

    /// <summary>How many there are.</summary>
    public int Count => grouped?.Length ?? parts.Count;

    /// <summary>The island with number <paramref name="index"/> + 1.</summary>
    public Island this[int index]
    {
        get
        {
            ArgumentOutOfRangeException.ThrowIfNegative(index);
            ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(index, Count);
            return grouped?[index] ?? (kind.Length == 0 ? parts[index + 1] : parts[index + 1] with { Class = kind });
        }
    }

    /// <summary>The number of the island at a pixel; 0 where there is none.</summary>
    public int NumberAt(int x, int y) =>
        !new Box(0, 0, region.Coverage.Width, region.Coverage.Height).Contains(x, y) ? 0
        : groups is null ? parts.NumberAt(x, y) : groups[parts.NumberAt(x, y)];

    /// <summary>The numbers at places of a row, each so many px on from the one before; 0 where there is none, and beyond the picture.</summary>
    internal void NumbersAt(int x, int y, int step, Span<int> found)
    {
        if (y < 0 || y >= region.Coverage.Height)
        {
            found.Clear();
            return;
        }

        parts.NumbersAt(x, y, step, found);
        for (int i = 0; groups is not null && i < found.Length; i++)
        {
            found[i] = groups[found[i]];
        }
    }

    /// <summary>The region of the islands that satisfy a test, soft edges kept; the whole region itself where all do.</summary>
    public Region Pick(Func<Island, bool> wanted)
    {
        ArgumentNullException.ThrowIfNull(wanted);
        return Keep([false, .. this.Select(wanted)]);
    }

    /// <summary>Which numbers share a pixel with another region.</summary>
    internal bool[] Touching(Region other)
    {
        var touching = parts.Touching(other.Coverage);
        if (groups is null)
        {
            return touching;
        }

        var islands = new bool[Count + 1];
        for (int part = 1; part < touching.Length; part++)
        {
            islands[groups[part]] |= touching[part];
        }

        return islands;
    }

    internal Region AtLeast(double smallest) => Keep(parts.AtLeast(smallest));

    internal Region OnBorder() => Keep(parts.OnBorder());

    /// <summary>The region of the islands whose numbers are wanted; entry 0 is no island.</summary>
    internal Region Keep(bool[] wanted) =>
        region.With(parts.Keep(region.Coverage, groups is null ? wanted : Array.ConvertAll(groups, group => wanted[group])));

    /// <inheritdoc/>
    public IEnumerator<Island> GetEnumerator() => Enumerable.Range(0, Count).Select(index => this[index]).GetEnumerator();

    IEnumerator IEnumerable.GetEnumerator() => GetEnumerator();
}
