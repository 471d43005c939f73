using System.Numerics;
using System.Runtime.CompilerServices;

[assembly: InternalsVisibleTo("Recipes.Imaging.Tests")]

namespace Recipes.Imaging;

/// <summary>Combines the coverage of two regions; both forms give the same bytes.</summary>
internal interface ISetOperation
{
    static abstract byte Apply(byte a, byte b);

    static abstract Vector<byte> Apply(Vector<byte> a, Vector<byte> b);
}

internal readonly struct UnionOperation : ISetOperation
{
    public static byte Apply(byte a, byte b) => Math.Max(a, b);

    public static Vector<byte> Apply(Vector<byte> a, Vector<byte> b) => Vector.Max(a, b);
}

internal readonly struct IntersectOperation : ISetOperation
{
    public static byte Apply(byte a, byte b) => Math.Min(a, b);

    public static Vector<byte> Apply(Vector<byte> a, Vector<byte> b) => Vector.Min(a, b);
}

internal readonly struct ExceptOperation : ISetOperation
{
    public static byte Apply(byte a, byte b) => Math.Min(a, (byte)~b);

    public static Vector<byte> Apply(Vector<byte> a, Vector<byte> b) => Vector.Min(a, ~b);
}

internal static class SetOperations
{
    /// <summary>Combines in place, in vectors; what is left over at the end goes one by one.</summary>
    // Code with vectors isn't compiled ahead, so it is optimized at its first call.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void InVectors<TOperation>(Span<byte> a, ReadOnlySpan<byte> b)
        where TOperation : ISetOperation
    {
        int i = 0;
        for (; i <= a.Length - Vector<byte>.Count; i += Vector<byte>.Count)
        {
            TOperation.Apply(new Vector<byte>(a[i..]), new Vector<byte>(b[i..])).CopyTo(a[i..]);
        }

        OneByOne<TOperation>(a[i..], b[i..]);
    }

    /// <summary>The scalar twin of <see cref="InVectors"/>.</summary>
    public static void OneByOne<TOperation>(Span<byte> a, ReadOnlySpan<byte> b)
        where TOperation : ISetOperation
    {
        for (int i = 0; i < a.Length; i++)
        {
            a[i] = TOperation.Apply(a[i], b[i]);
        }
    }
}
