using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Recipes.Imaging;

/// <summary>An immutable rectangle of samples: pixels (<see cref="Rgba8"/>) or coverage (<see cref="byte"/>, 0 to 255).</summary>
/// <remarks>A tile of one value stores that value alone. Equality is identity; <see cref="SameSamples"/> compares content.</remarks>
public sealed unsafe class Tile<T>
    where T : unmanaged, IEquatable<T>
{
    // Samples lie in an array, or in memory that isn't this runtime's, or are all this value.
    private readonly T[]? array;
    private readonly T* start;
    private readonly T value;
    private TileSummary? summary;

    private Tile(int width, int height, T value, T[]? array, T* start = null)
    {
        Width = width;
        Height = height;
        this.value = value;
        this.array = array;
        this.start = start;
    }

    /// <summary>Width in px, 1 to <see cref="TileGrid.Side"/>.</summary>
    public int Width { get; }

    /// <summary>Height in px, 1 to <see cref="TileGrid.Side"/>.</summary>
    public int Height { get; }

    /// <summary>Width times height.</summary>
    public int Count => Width * Height;

    /// <summary>True where the tile holds one value only; then <see cref="Value"/> is it.</summary>
    public bool IsOneValue => array is null && start is null;

    /// <summary>The value of a one-value tile; otherwise the first sample.</summary>
    public T Value => IsOneValue ? value : Samples[0];

    /// <summary>All samples in rows from the top; empty for a one-value tile.</summary>
    public ReadOnlySpan<T> Samples => start is null ? array : new ReadOnlySpan<T>(start, Count);

    /// <summary>The sample at a place inside the tile.</summary>
    public T this[int x, int y] => IsOneValue ? value : Samples[(y * Width) + x];

    /// <summary>A tile of one value.</summary>
    public static Tile<T> OneValue(int width, int height, T value) => new(width, height, value, null);

    /// <summary>
    /// Freezes samples: the predecessor itself where nothing changed, a one-value tile where all are alike,
    /// otherwise a copy.
    /// </summary>
    public static Tile<T> Freeze(int width, int height, ReadOnlySpan<T> samples, Tile<T>? predecessor = null)
    {
        if (samples.Length != width * height)
        {
            throw new ArgumentException("The samples do not fill the tile.", nameof(samples));
        }

        if (predecessor is not null && predecessor.Width == width && predecessor.Height == height && predecessor.Holds(samples))
        {
            return predecessor;
        }

        return AllAre(samples, samples[0])
            ? new Tile<T>(width, height, samples[0], null)
            : new Tile<T>(width, height, default, samples.ToArray());
    }

    /// <summary>Freezes samples without copying them: nobody may hold the array any more.</summary>
    /// <exception cref="ArgumentException">They don't fill the tile.</exception>
    public static Tile<T> Adopt(int width, int height, T[] samples)
    {
        ArgumentNullException.ThrowIfNull(samples);
        if (samples.Length != width * height)
        {
            throw new ArgumentException("The samples do not fill the tile.", nameof(samples));
        }

        return AllAre(samples, samples[0]) ? new Tile<T>(width, height, samples[0], null) : new Tile<T>(width, height, default, samples);
    }

    /// <summary>
    /// A tile of samples that lie in mapped memory, for a process that never lets it go: they aren't copied, and nothing but the
    /// process's end frees them.
    /// </summary>
    public static Tile<T> InPlace(int width, int height, ReadOnlySpan<T> samples)
    {
        if (samples.Length != width * height)
        {
            throw new ArgumentException("The samples do not fill the tile.", nameof(samples));
        }

        return AllAre(samples, samples[0])
            ? new Tile<T>(width, height, samples[0], null)
            : new Tile<T>(width, height, default, null, (T*)Unsafe.AsPointer(ref MemoryMarshal.GetReference(samples)));
    }

    /// <summary>True where both tiles hold the same samples.</summary>
    public bool SameSamples(Tile<T> other)
    {
        ArgumentNullException.ThrowIfNull(other);
        if (ReferenceEquals(this, other))
        {
            return true;
        }

        if (Width != other.Width || Height != other.Height)
        {
            return false;
        }

        return other.IsOneValue ? IsAll(other.value) : Holds(other.Samples);
    }

    /// <summary>Writes all samples, row by row, into a span of at least <see cref="Count"/>.</summary>
    public void CopyTo(Span<T> target)
    {
        if (IsOneValue)
        {
            target[..Count].Fill(value);
        }
        else
        {
            Samples.CopyTo(target);
        }
    }

    /// <summary>Writes one row.</summary>
    public void CopyRowTo(int y, Span<T> target)
    {
        if (IsOneValue)
        {
            target[..Width].Fill(value);
        }
        else
        {
            Samples.Slice(y * Width, Width).CopyTo(target);
        }
    }

    /// <summary>True where every sample is this value.</summary>
    public bool IsAll(T wanted) => IsOneValue ? value.Equals(wanted) : AllAre(Samples, wanted);

    internal TileSummary Summary(Func<Tile<T>, TileSummary> count) => summary ??= count(this);

    private bool Holds(ReadOnlySpan<T> other) => IsOneValue
        ? AllAre(other, value)
        : MemoryMarshal.AsBytes(Samples).SequenceEqual(MemoryMarshal.AsBytes(other));

    // Samples are 1 or 4 bytes wide; as integers the search is vectorized by the base class library.
    private static bool AllAre(ReadOnlySpan<T> span, T wanted) => Unsafe.SizeOf<T>() == 4
        ? MemoryMarshal.Cast<T, uint>(span).IndexOfAnyExcept(Unsafe.BitCast<T, uint>(wanted)) < 0
        : span.IndexOfAnyExcept(wanted) < 0;
}
