using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Recipes.Imaging;

/// <summary>Rows of bytes told by their differences from the row above, modulo 256: the filter Up of PNG (3rd edition, 9.2).</summary>
/// <remarks>What decodes a PNG file and what packs a tile of a work file share it.
/// Code with vectors isn't compiled ahead, so it is marked to be optimized at its first call.</remarks>
public static class RowDifferences
{
    /// <summary>The differences of rows of <paramref name="length"/> bytes; the first row stands as it is.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Of(ReadOnlySpan<byte> rows, int length, Span<byte> differences)
    {
        rows[..length].CopyTo(differences);
        int i = length;
        for (; i + Vector128<byte>.Count <= rows.Length; i += Vector128<byte>.Count)
        {
            (Vector128.Create(rows[i..]) - Vector128.Create(rows[(i - length)..])).CopyTo(differences[i..]);
        }

        for (; i < rows.Length; i++)
        {
            differences[i] = (byte)(rows[i] - rows[i - length]);
        }
    }

    /// <summary>Turns the differences of rows of <paramref name="length"/> bytes into the rows again, in place.</summary>
    public static void Undo(Span<byte> rows, int length)
    {
        for (int at = length; at < rows.Length; at += length)
        {
            Undo(rows.Slice(at, length), rows.Slice(at - length, length));
        }
    }

    /// <summary>Turns the differences of one row into the row again, in place.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Undo(Span<byte> row, ReadOnlySpan<byte> above)
    {
        int i = 0;
        for (; i + Vector128<byte>.Count <= row.Length; i += Vector128<byte>.Count)
        {
            (Vector128.Create<byte>(row[i..]) + Vector128.Create(above[i..])).CopyTo(row[i..]);
        }

        for (; i < row.Length; i++)
        {
            row[i] += above[i];
        }
    }
}
