using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Recipes.Hosting.Work;

/// <summary>Rows of bytes told by their differences from the row above, modulo 256; the first row stands as it is.</summary>
/// <remarks>Code with vectors isn't compiled ahead, so it is marked to be optimized at its first call.</remarks>
internal static class RowDifferences
{
    /// <summary>The differences of rows of <paramref name="length"/> bytes.</summary>
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

    /// <summary>Turns differences into the rows again, in place.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Undo(Span<byte> rows, int length)
    {
        int i = length;
        // As long as a whole vector of the row above is known.
        if (length >= Vector128<byte>.Count)
        {
            for (; i + Vector128<byte>.Count <= rows.Length; i += Vector128<byte>.Count)
            {
                (Vector128.Create<byte>(rows[i..]) + Vector128.Create<byte>(rows[(i - length)..])).CopyTo(rows[i..]);
            }
        }

        for (; i < rows.Length; i++)
        {
            rows[i] += rows[i - length];
        }
    }
}
