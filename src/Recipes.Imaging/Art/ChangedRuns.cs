using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Recipes.Imaging;

/// <summary>Neighboring pixels of a tile that all went from one value to another.</summary>
/// <param name="Box">Where they lie in the tile: a stretch of one row, or the whole tile where both its states are one value.</param>
/// <param name="Before">What they were.</param>
/// <param name="After">What they are.</param>
public readonly record struct ChangedRun(Box Box, Rgba8 Before, Rgba8 After)
{
    /// <summary>How many pixels.</summary>
    public int Pixels => Box.Width * Box.Height;

    /// <summary>True where the change counts: transparent before and after is no change, whatever color lies under it.</summary>
    public bool Counts => ArtworkDiff.Differs(Before, After);
}

/// <summary>The runs of pixels whose bytes differ between two states of a tile, in reading order, for <c>foreach</c>.</summary>
/// <remarks>Art is flat for the most part, so what is said of a run is said of many pixels at once; runs end with their row.</remarks>
public readonly ref struct ChangedRuns
{
    private readonly Tile<Rgba8> before;
    private readonly Tile<Rgba8> after;

    /// <summary>The runs between two tiles of one size.</summary>
    public ChangedRuns(Tile<Rgba8> before, Tile<Rgba8> after)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        if (before.Width != after.Width || before.Height != after.Height)
        {
            throw new ArgumentException("The two tiles differ in size.", nameof(after));
        }

        this.before = before;
        this.after = after;
    }

    /// <summary>Begins at the first row.</summary>
    public Enumerator GetEnumerator() => new(before, after);

    /// <summary>Goes from run to run.</summary>
    public ref struct Enumerator
    {
        private readonly ReadOnlySpan<uint> before;
        private readonly ReadOnlySpan<uint> after;
        private readonly int width;
        private readonly int height;
        // A tile of one value is a span of it alone, in which every pixel has the same place.
        private readonly int stepBefore;
        private readonly int stepAfter;
        private int at;

        internal Enumerator(Tile<Rgba8> before, Tile<Rgba8> after)
        {
            (width, height) = (before.Width, before.Height);
            this.before = Words(before, out stepBefore);
            this.after = Words(after, out stepAfter);
            at = ReferenceEquals(before, after) ? width * height : 0;
        }

        /// <summary>The run.</summary>
        public ChangedRun Current { get; private set; }

        /// <summary>Goes to the next run; false where there is none.</summary>
        public bool MoveNext()
        {
            int end = width * height;
            if (stepBefore + stepAfter == 0)
            {
                bool first = at == 0 && before[0] != after[0];
                at = end;
                Current = new ChangedRun(new Box(0, 0, width, height), Pixel(before[0]), Pixel(after[0]));
                return first;
            }

            at = SkipEqual(end);
            if (at == end)
            {
                return false;
            }

            int start = at, rowEnd = start - (start % width) + width;
            uint was = before[start * stepBefore], now = after[start * stepAfter];
            do
            {
                at++;
            }
            while (at < rowEnd && before[at * stepBefore] == was && after[at * stepAfter] == now);
            Current = new ChangedRun(new Box(start % width, start / width, at - start, 1), Pixel(was), Pixel(now));
            return true;
        }

        private readonly int SkipEqual(int end)
        {
            if (stepBefore + stepAfter == 2)
            {
                // As bytes the search is vectorized by the base class library, and comes as machine code.
                return at + (MemoryMarshal.AsBytes(before[at..]).CommonPrefixLength(MemoryMarshal.AsBytes(after[at..])) / sizeof(uint));
            }

            int next = at;
            while (next < end && before[next * stepBefore] == after[next * stepAfter])
            {
                next++;
            }

            return next;
        }

        private static ReadOnlySpan<uint> Words(Tile<Rgba8> tile, out int step)
        {
            step = tile.IsOneValue ? 0 : 1;
            return tile.IsOneValue ? new[] { Unsafe.BitCast<Rgba8, uint>(tile.Value) } : MemoryMarshal.Cast<Rgba8, uint>(tile.Samples);
        }

        private static Rgba8 Pixel(uint word) => Unsafe.BitCast<uint, Rgba8>(word);
    }
}
