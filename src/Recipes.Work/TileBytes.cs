using System.Buffers.Binary;
using System.IO.Compression;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Security.Cryptography;
using Recipes.Imaging;

namespace Recipes.Work;

/// <summary>A tile as it lies in a work file, found by the SHA-256 of what it is.</summary>
/// <remarks>
/// A byte 1, and then, as a deflated stream (RFC 1951), each byte of a sample less the one above it, modulo 256. Files of versions
/// 1 and 2 hold the samples as they are in a zlib stream (RFC 1950), whose first byte is 0x78.
/// </remarks>
internal static class TileBytes
{
    /// <summary>What stands before a tile that is packed row by row.</summary>
    public const byte ByRows = 1;

    /// <summary>The longest stream that is read: the samples of a whole tile of pixels, and what deflate adds at worst.</summary>
    public const int Longest = (TileGrid.Side * TileGrid.Side * 4 * 9 / 8) + 64;

    /// <summary>SHA-256 over width, height and bytes per sample (1 coverage, 4 pixels), 32 bits each, little-endian, and the samples.</summary>
    public static byte[] Hash<T>(Tile<T> tile)
        where T : unmanaged, IEquatable<T>
    {
        Span<byte> head = stackalloc byte[12];
        BinaryPrimitives.WriteInt32LittleEndian(head, tile.Width);
        BinaryPrimitives.WriteInt32LittleEndian(head[4..], tile.Height);
        BinaryPrimitives.WriteInt32LittleEndian(head[8..], Unsafe.SizeOf<T>());
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(head);
        hash.AppendData(MemoryMarshal.AsBytes(tile.Samples));
        return hash.GetHashAndReset();
    }

    /// <summary>The tile of a known size; null where the bytes are not exactly one of that size and hash.</summary>
    public static Tile<T>? Unpack<T>(int width, int height, byte[] data, byte[] hash)
        where T : unmanaged, IEquatable<T>
    {
        var samples = new T[width * height];
        var bytes = MemoryMarshal.AsBytes(samples.AsSpan());
        bool byRows = data is [ByRows, ..];
        try
        {
            using Stream inflate = byRows
                ? new DeflateStream(new MemoryStream(data, 1, data.Length - 1), CompressionMode.Decompress)
                : new ZLibStream(new MemoryStream(data), CompressionMode.Decompress);
            inflate.ReadExactly(bytes);
            if (inflate.ReadByte() != -1)
            {
                return null;
            }
        }
        catch (Exception e) when (e is InvalidDataException or IOException)
        {
            // Cut short, damaged, or a stream that asks for a preset dictionary (RFC 1950, 2.2).
            return null;
        }

        if (byRows)
        {
            RowDifferences.Undo(bytes, width * Unsafe.SizeOf<T>());
        }

        var tile = Tile<T>.Adopt(width, height, samples);
        return !tile.IsOneValue && Hash(tile).AsSpan().SequenceEqual(hash) ? tile : null;
    }
}
