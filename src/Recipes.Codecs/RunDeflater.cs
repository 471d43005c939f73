using System.Buffers.Binary;
using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Recipes.Codecs;

/// <summary>Deflates bytes that repeat in runs of one value or not at all, such as a filtered photograph, without looking for any other repetition.</summary>
/// <remarks>
/// RFC 1951: blocks of dynamic Huffman codes whose only matches are at distance 1. Why there is one of our own beside the base
/// library's: docs/decisions/0004-codecs.md.
/// </remarks>
internal sealed class RunDeflater
{
    private const int BlockBytes = 1 << 17;
    private const int EndOfBlock = 256, Symbols = 286;
    private const int ShortestRun = 3, LongestRun = 258;

    // Four codes of 12 bits and the 7 that were left over fit one word. The format allows 15.
    private const int LongestCode = 12;

    // Each byte takes at most a code; a block's codes take 4 bits each, besides the words and a last word that overhangs.
    private readonly byte[] target = new byte[(BlockBytes * LongestCode / 8) + (Symbols / 2) + 64];
    private readonly int[] counts = new int[4 * 256], frequencies = new int[Symbols];
    private readonly byte[] lengths = new byte[Symbols];

    // Of each symbol, its code from bit 4 on, and in bits 0 to 3 how many bits that has.
    private readonly uint[] packed = new uint[Symbols];
    private readonly List<(int Literals, int Run)> pieces = [];

    private ulong bits;
    private int waiting, at;

    /// <summary>Deflates bytes to the end of a whole byte, so that the result can be followed by more, unless it is the last.</summary>
    /// <param name="bytes">Any number of them.</param>
    /// <param name="last">True ends the deflated stream.</param>
    /// <param name="into">Where it goes.</param>
    public void Deflate(ReadOnlySpan<byte> bytes, bool last, Stream into)
    {
        for (; !bytes.IsEmpty; bytes = bytes[Math.Min(BlockBytes, bytes.Length)..])
        {
            Block(bytes[..Math.Min(BlockBytes, bytes.Length)]);
            into.Write(target, 0, at);
            at = 0;
        }

        // An empty stored block (3.2.4) begins at a whole byte: its length, 0, and the complement of that.
        Put(last ? 1u : 0, 3);
        Put(0, (8 - waiting) & 7);
        Put(0, 16);
        Put(0xFFFF, 16);
        into.Write(target, 0, at);
        at = 0;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Block(ReadOnlySpan<byte> bytes)
    {
        pieces.Clear();
        counts.AsSpan().Clear();
        frequencies.AsSpan().Clear();
        for (int i = 0; i < bytes.Length;)
        {
            int start = NextRun(bytes, i), end = start;
            Count(bytes[i..start]);
            if (start < bytes.Length)
            {
                int length = bytes[start..].IndexOfAnyExcept(bytes[start]);
                end = length < 0 ? bytes.Length : start + length;
                for (int left = end - start; left > 0; left -= Part(left))
                {
                    frequencies[Match(Part(left)).Symbol]++;
                }
            }

            pieces.Add((start - i, end - start));
            i = end;
        }

        for (int i = 0; i < 256; i++)
        {
            frequencies[i] = counts[i] + counts[256 + i] + counts[512 + i] + counts[768 + i];
        }

        frequencies[EndOfBlock] = 1;
        MakeLengths();
        MakeCodes();
        PutCodes();
        foreach (var (literals, run) in pieces)
        {
            PutLiterals(bytes[..literals]);
            for (int left = run; left > 0; left -= Part(left))
            {
                var (symbol, extra, extraBits) = Match(Part(left));
                Put(symbol);
                // The distance code is the single bit 0, behind the length's extra bits.
                Put(extra, extraBits + 1);
            }

            bytes = bytes[(literals + run)..];
        }

        Put(EndOfBlock);
    }

    // Where the next bytes begin that repeat the one before them, at least three; the end where there are none.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static int NextRun(ReadOnlySpan<byte> bytes, int from)
    {
        ref byte first = ref MemoryMarshal.GetReference(bytes);
        int i = from + 1;
        for (; i + ShortestRun - 1 + Vector128<byte>.Count <= bytes.Length; i += Vector128<byte>.Count)
        {
            var before = Vector128.LoadUnsafe(ref first, (nuint)(i - 1));
            var same = Vector128.Equals(before, Vector128.LoadUnsafe(ref first, (nuint)i))
                & Vector128.Equals(before, Vector128.LoadUnsafe(ref first, (nuint)(i + 1)))
                & Vector128.Equals(before, Vector128.LoadUnsafe(ref first, (nuint)(i + 2)));
            if (same != Vector128<byte>.Zero)
            {
                return i + BitOperations.TrailingZeroCount(same.ExtractMostSignificantBits());
            }
        }

        for (; i + ShortestRun <= bytes.Length; i++)
        {
            if (!bytes.Slice(i, ShortestRun).ContainsAnyExcept(bytes[i - 1]))
            {
                return i;
            }
        }

        return bytes.Length;
    }

    // As much of a run as one match takes, leaving nothing that is too short for another.
    private static int Part(int run) => run <= LongestRun ? run : Math.Min(LongestRun, run - ShortestRun);

    // 3.2.5: the symbol of a length, and the bits behind it. Eight symbols have none, then each four have one more; 258 has its own.
    private static (int Symbol, uint Extra, int Bits) Match(int length)
    {
        if (length == LongestRun)
        {
            return (285, 0, 0);
        }

        int beyond = length - ShortestRun, extra = Math.Max(0, BitOperations.Log2((uint)beyond | 1) - 2);
        return (257 + (4 * extra) + (beyond >> extra), (uint)beyond & ((1u << extra) - 1), extra);
    }

    // Four tables, since counting one value twice in a row makes the processor wait.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Count(ReadOnlySpan<byte> bytes)
    {
        int[] all = counts;
        int i = 0;
        for (; i + 4 <= bytes.Length; i += 4)
        {
            all[bytes[i]]++;
            all[256 + bytes[i + 1]]++;
            all[512 + bytes[i + 2]]++;
            all[768 + bytes[i + 3]]++;
        }

        for (; i < bytes.Length; i++)
        {
            all[bytes[i]]++;
        }
    }

    // Huffman's algorithm over sorted frequencies; where a code gets too long, again with frequencies that differ less.
    private void MakeLengths()
    {
        Span<long> sorted = stackalloc long[Symbols];
        Span<int> weights = stackalloc int[2 * Symbols], parents = stackalloc int[2 * Symbols], depths = stackalloc int[2 * Symbols];
        while (true)
        {
            int count = 0;
            for (int symbol = 0; symbol < Symbols; symbol++)
            {
                if (frequencies[symbol] > 0)
                {
                    sorted[count++] = ((long)frequencies[symbol] << 16) | (uint)symbol;
                }
            }

            // At least two: the first byte is no run, and a block ends.
            sorted[..count].Sort();
            for (int i = 0; i < count; i++)
            {
                weights[i] = (int)(sorted[i] >> 16);
            }

            int root = (2 * count) - 2;
            for (int node = count, leaf = 0, inner = count; node <= root; node++)
            {
                weights[node] = 0;
                for (int child = 0; child < 2; child++)
                {
                    int lightest = leaf < count && (inner == node || weights[leaf] <= weights[inner]) ? leaf++ : inner++;
                    parents[lightest] = node;
                    weights[node] += weights[lightest];
                }
            }

            lengths.AsSpan().Clear();
            depths[root] = 0;
            int longest = 0;
            for (int i = root - 1; i >= 0; i--)
            {
                depths[i] = depths[parents[i]] + 1;
                longest = Math.Max(longest, depths[i]);
                if (i < count)
                {
                    lengths[(int)sorted[i] & 0xFFFF] = (byte)depths[i];
                }
            }

            if (longest <= LongestCode)
            {
                return;
            }

            foreach (ref int frequency in frequencies.AsSpan())
            {
                frequency = (frequency + 1) / 2;
            }
        }
    }

    // 3.2.2: codes of one length are consecutive in the order of their symbols.
    private void MakeCodes()
    {
        uint next = 0;
        for (int length = 1; length <= LongestCode; length++, next <<= 1)
        {
            for (int symbol = 0; symbol < Symbols; symbol++)
            {
                if (lengths[symbol] == length)
                {
                    packed[symbol] = (Reversed(next++, length) << 4) | (uint)length;
                }
            }
        }
    }

    // 3.2.7, in the plainest way: all 286 symbols and one distance, their lengths in 4 bits each. So 16, 17 and 18, which repeat, have no code.
    private void PutCodes()
    {
        Put(0b100, 3);
        Put(Symbols - 257, 5);
        Put(0, 5);
        Put(19 - 4, 4);
        for (int i = 0; i < 19; i++)
        {
            Put(i < 3 ? 0u : 4, 3);
        }

        foreach (byte length in lengths)
        {
            Put(Reversed(length, 4), 4);
        }

        Put(Reversed(1, 4), 4);
    }

    // Codes are packed from their highest bit on (3.1.1).
    private static uint Reversed(uint code, int length)
    {
        uint reversed = 0;
        for (int i = 0; i < length; i++)
        {
            reversed = (reversed << 1) | ((code >> i) & 1);
        }

        return reversed;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void PutLiterals(ReadOnlySpan<byte> bytes)
    {
        uint[] table = packed;
        var (word, count, position) = (bits, waiting, at);
        for (; bytes.Length >= 4; bytes = bytes[4..])
        {
            uint a = table[bytes[0]], b = table[bytes[1]], c = table[bytes[2]], d = table[bytes[3]];
            word |= (ulong)(a >> 4) << count;
            count += (int)(a & 15);
            word |= (ulong)(b >> 4) << count;
            count += (int)(b & 15);
            word |= (ulong)(c >> 4) << count;
            count += (int)(c & 15);
            word |= (ulong)(d >> 4) << count;
            count += (int)(d & 15);
            BinaryPrimitives.WriteUInt64LittleEndian(target.AsSpan(position), word);
            position += count >> 3;
            word >>= count & ~7;
            count &= 7;
        }

        (bits, waiting, at) = (word, count, position);
        foreach (byte b in bytes)
        {
            Put(b);
        }
    }

    private void Put(int symbol) => Put(packed[symbol] >> 4, (int)(packed[symbol] & 15));

    private void Put(uint value, int length)
    {
        bits |= (ulong)value << waiting;
        waiting += length;
        BinaryPrimitives.WriteUInt64LittleEndian(target.AsSpan(at), bits);
        at += waiting >> 3;
        bits >>= waiting & ~7;
        waiting &= 7;
    }
}
