using System.Buffers.Binary;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Recipes.Codecs;

/// <summary>Some whole rows of a PNG, filtered and deflated on their own, so that other threads do other rows meanwhile.</summary>
/// <remarks>
/// Each row takes the filter None, Sub, Up or Average whose output has the smallest sum of absolute values (PNG 3rd edition, 12.7,
/// without Paeth: docs/decisions/0004-codecs.md). A strip that others follow ends in a flush, which fills the last byte of a
/// deflated stream without ending it (RFC 1951, 3.2.4: an empty stored block), so strips one after the other are one stream, in
/// which no strip refers back to another. Code with vectors isn't compiled ahead, so it is marked to be optimized at its first call.
/// </remarks>
/// <param name="length">Bytes of a row.</param>
/// <param name="step">Bytes of a pixel.</param>
/// <param name="capacity">The most rows it takes.</param>
#pragma warning disable CA1001 // A memory stream holds nothing that must be given back.
internal sealed class PngStrip(int length, int step, int capacity)
#pragma warning restore CA1001
{
    // Level 2 of the base library's deflater; the figures are in docs/decisions/0004-codecs.md. The sample is as long as that looks back.
    private const int Level = 2, SampleBytes = 1 << 15;

    // RFC 1950, 9: of 5552 bytes, no sum exceeds 32 bits.
    private const int SumBytes = 5552;
    private const uint Modulus = 65521;

    private readonly byte[] filtered = new byte[(1 + length) * capacity];
    private readonly MemoryStream deflated = new();
    private readonly SampledDeflater deflater = new(Level, SampleBytes);

    // A pixel of zeros stands before each row: what the first pixel has to its left (9.2).
    private byte[] row = new byte[step + length], above = new byte[step + length];

    // RFC 1950, 2.2: deflate, a window of 32 KB, compression "fast".
    private static ReadOnlySpan<byte> ZlibHeader => [0x78, 0x5E];

    /// <summary>Writes the samples of one row.</summary>
    public delegate void Source(int y, Span<byte> row);

    /// <summary>The deflated bytes: behind a zlib header in the first strip, and before room for the whole picture's checksum in the last.</summary>
    public Memory<byte> Data { get; private set; }

    /// <summary>How many bytes they inflate to.</summary>
    public int Length { get; private set; }

    /// <summary>The Adler-32 of those.</summary>
    public uint Adler { get; private set; }

    /// <summary>Makes the strip of the rows from <paramref name="top"/> on.</summary>
    public void Make(Source source, int top, int rows, bool last)
    {
        if (top == 0)
        {
            above.AsSpan().Clear();
        }
        else
        {
            source(top - 1, above.AsSpan(step));
        }

        Length = (1 + length) * rows;
        long cost = 0;
        for (int at = 0, y = top; at < Length; at += 1 + length, y++)
        {
            source(y, row.AsSpan(step));
            cost += Filter(row.AsSpan(step), row.AsSpan(0, length), above.AsSpan(step), filtered.AsSpan(at, 1 + length));
            (row, above) = (above, row);
        }

        var whole = filtered.AsSpan(0, Length);
        Adler = Sum(whole);
        deflated.SetLength(0);
        if (top == 0)
        {
            deflated.Write(ZlibHeader);
        }

        // Where bytes are mostly zeros, both ways are fast and the library finds more.
        deflater.Deflate(whole, last, deflated, mayBeGrain: cost >= Length);

        if (last)
        {
            deflated.Write(stackalloc byte[sizeof(uint)]);
        }

        Data = deflated.GetBuffer().AsMemory(0, (int)deflated.Length);
    }

    private static uint Sum(ReadOnlySpan<byte> bytes)
    {
        uint adler = 1;
        for (; !bytes.IsEmpty; bytes = bytes[Math.Min(SumBytes, bytes.Length)..])
        {
            var part = bytes[..Math.Min(SumBytes, bytes.Length)];
            adler = Append(adler, SumPart(part), part.Length);
        }

        return adler;
    }

    // s1 and s2 from 1 and 0 on: s2 holds each byte as often as there are bytes from it to the end.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static uint SumPart(ReadOnlySpan<byte> bytes)
    {
        var vectors = Vectors(bytes);
        var before = Vector128<uint>.Zero;
        var sums = Vector128<uint>.Zero;
        var weighed = Vector128<uint>.Zero;
        Vector128<ushort> lowWeights = Vector128.Create((ushort)16, 15, 14, 13, 12, 11, 10, 9), highWeights = Vector128.Create((ushort)8, 7, 6, 5, 4, 3, 2, 1);
        foreach (var vector in vectors)
        {
            before += sums;
            var (low, high) = Vector128.Widen(vector);
            // 255 x (16 + 8) at most, and 2 x 255: both fit 16 bits.
            var (weighedLow, weighedHigh) = Vector128.Widen((low * lowWeights) + (high * highWeights));
            weighed += weighedLow + weighedHigh;
            var (sumLow, sumHigh) = Vector128.Widen(low + high);
            sums += sumLow + sumHigh;
        }

        int whole = vectors.Length * Vector128<byte>.Count;
        uint s1 = 1 + Vector128.Sum(sums), s2 = (uint)whole + (16 * Vector128.Sum(before)) + Vector128.Sum(weighed);
        foreach (byte b in bytes[whole..])
        {
            s1 += b;
            s2 += s1;
        }

        return ((s2 % Modulus) << 16) | (s1 % Modulus);
    }

    /// <summary>The Adler-32 of bytes with that of further bytes, <paramref name="length"/> in number, behind them.</summary>
    /// <remarks>RFC 1950, 8.2: s1 is 1 plus the sum of all bytes, s2 the sum of all values of s1, both modulo 65521.</remarks>
    public static uint Append(uint adler, uint further, int length)
    {
        long s1 = adler & 0xFFFF, s2 = adler >> 16, more1 = further & 0xFFFF, more2 = further >> 16;
        // The further s1 began at 1 instead of at this one's, in each of its values.
        long before = s1 - 1 + Modulus;
        return (uint)(((s2 + more2 + (before * (length % Modulus))) % Modulus << 16) | ((before + more1) % Modulus));
    }

    private static long Filter(ReadOnlySpan<byte> row, ReadOnlySpan<byte> left, ReadOnlySpan<byte> above, Span<byte> target)
    {
        var filtered = target[1..];
        if (row.SequenceEqual(above))
        {
            target[0] = Up.Number;
            filtered.Clear();
            return 0;
        }

        long none = Cost<None>(row, left, above), sub = Cost<Sub>(row, left, above), up = Cost<Up>(row, left, above), average = Cost<Average>(row, left, above);
        long least = Math.Min(Math.Min(none, sub), Math.Min(up, average));
        target[0] = least switch
        {
            _ when least == none => None.Number,
            _ when least == sub => Sub.Number,
            _ when least == up => Up.Number,
            _ => Average.Number,
        };
        switch (target[0])
        {
            case None.Number:
                row.CopyTo(filtered);
                break;
            case Sub.Number:
                Apply<Sub>(row, left, above, filtered);
                break;
            case Up.Number:
                Apply<Up>(row, left, above, filtered);
                break;
            default:
                Apply<Average>(row, left, above, filtered);
                break;
        }

        return least;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Apply<TFilter>(ReadOnlySpan<byte> row, ReadOnlySpan<byte> left, ReadOnlySpan<byte> above, Span<byte> filtered)
        where TFilter : IFilter
    {
        ReadOnlySpan<Vector128<byte>> rows = Vectors(row), lefts = Vectors(left)[..rows.Length], aboves = Vectors(above)[..rows.Length];
        var targets = MemoryMarshal.Cast<byte, Vector128<byte>>(filtered)[..rows.Length];
        for (int i = 0; i < rows.Length; i++)
        {
            targets[i] = TFilter.Of(rows[i], lefts[i], aboves[i]);
        }

        int rest = rows.Length * Vector128<byte>.Count;
        Span<byte> padded = stackalloc byte[Vector128<byte>.Count];
        TFilter.Of(Padded(row[rest..]), Padded(left[rest..]), Padded(above[rest..])).CopyTo(padded);
        padded[..(row.Length - rest)].CopyTo(filtered[rest..]);
    }

    // The sum of absolute values, each byte read as signed: the smaller of b and 256 - b.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static long Cost<TFilter>(ReadOnlySpan<byte> row, ReadOnlySpan<byte> left, ReadOnlySpan<byte> above)
        where TFilter : IFilter
    {
        ReadOnlySpan<Vector128<byte>> rows = Vectors(row), lefts = Vectors(left)[..rows.Length], aboves = Vectors(above)[..rows.Length];
        int rest = rows.Length * Vector128<byte>.Count;
        // Padding costs nothing: every filter makes 0 of zeros.
        long sum = Vector128.Sum(Pairs(TFilter.Of(Padded(row[rest..]), Padded(left[rest..]), Padded(above[rest..]))));
        for (int from = 0; from < rows.Length; from += 255)
        {
            // A lane gains at most 2 x 128 a turn, so 255 turns fit 16 bits.
            var lanes = Vector128<ushort>.Zero;
            for (int i = from; i < Math.Min(from + 255, rows.Length); i++)
            {
                lanes += Pairs(TFilter.Of(rows[i], lefts[i], aboves[i]));
            }

            var (low, high) = Vector128.Widen(lanes);
            sum += Vector128.Sum(low + high);
        }

        return sum;

        static Vector128<ushort> Pairs(Vector128<byte> bytes)
        {
            var (low, high) = Vector128.Widen(Vector128.Min(bytes, Vector128<byte>.Zero - bytes));
            return low + high;
        }
    }

    private static ReadOnlySpan<Vector128<byte>> Vectors(ReadOnlySpan<byte> bytes) => MemoryMarshal.Cast<byte, Vector128<byte>>(bytes);

    // Up to a vector's worth of bytes, zeros behind them.
    private static Vector128<byte> Padded(ReadOnlySpan<byte> bytes)
    {
        Span<byte> padded = stackalloc byte[Vector128<byte>.Count];
        padded.Clear();
        bytes[..Math.Min(bytes.Length, padded.Length)].CopyTo(padded);
        return Vector128.Create<byte>(padded);
    }

    // 9.2: what is left of a byte that is told from its neighbors, modulo 256.
    private interface IFilter
    {
        static abstract Vector128<byte> Of(Vector128<byte> row, Vector128<byte> left, Vector128<byte> above);
    }

    private readonly struct None : IFilter
    {
        public const byte Number = 0;

        public static Vector128<byte> Of(Vector128<byte> row, Vector128<byte> left, Vector128<byte> above) => row;
    }

    private readonly struct Sub : IFilter
    {
        public const byte Number = 1;

        public static Vector128<byte> Of(Vector128<byte> row, Vector128<byte> left, Vector128<byte> above) => row - left;
    }

    private readonly struct Up : IFilter
    {
        public const byte Number = 2;

        public static Vector128<byte> Of(Vector128<byte> row, Vector128<byte> left, Vector128<byte> above) => row - above;
    }

    private readonly struct Average : IFilter
    {
        public const byte Number = 3;

        // (a + b) / 2 rounded down: the shared bits and half of the others.
        public static Vector128<byte> Of(Vector128<byte> row, Vector128<byte> left, Vector128<byte> above)
        {
            var others = (left ^ above) & Vector128.Create((byte)0xFE);
            return row - ((left & above) + Vector128.ShiftRightLogical(others.AsUInt16(), 1).AsByte());
        }
    }
}
