using System.Buffers.Binary;
using System.IO.Compression;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Security.Cryptography;
using Recipes.Imaging;

namespace Recipes.Hosting.Work;

/// <summary>A tile as it lies in a work file: its samples in a zlib stream (RFC 1950), found by the SHA-256 of what it is.</summary>
internal static class TileBytes
{
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

    /// <summary>The samples, compressed.</summary>
    public static byte[] Pack<T>(Tile<T> tile)
        where T : unmanaged, IEquatable<T>
    {
        var target = new MemoryStream();
        using (var zlib = new ZLibStream(target, CompressionLevel.Fastest, leaveOpen: true))
        {
            zlib.Write(MemoryMarshal.AsBytes(tile.Samples));
        }

        return target.ToArray();
    }

    /// <summary>The tile of a known size; null where the bytes are not exactly one of that size and hash.</summary>
    public static Tile<T>? Unpack<T>(int width, int height, byte[] data, byte[] hash)
        where T : unmanaged, IEquatable<T>
    {
        var samples = new T[width * height];
        try
        {
            using var zlib = new ZLibStream(new MemoryStream(data), CompressionMode.Decompress);
            zlib.ReadExactly(MemoryMarshal.AsBytes(samples.AsSpan()));
            if (zlib.ReadByte() != -1)
            {
                return null;
            }
        }
        catch (Exception e) when (e is InvalidDataException or EndOfStreamException)
        {
            return null;
        }

        var tile = Tile<T>.Adopt(width, height, samples);
        return !tile.IsOneValue && Hash(tile).AsSpan().SequenceEqual(hash) ? tile : null;
    }
}
