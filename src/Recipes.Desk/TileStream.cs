using System.Buffers.Binary;
using System.Runtime.InteropServices;
using Recipes.Imaging;

namespace Recipes.Desk;

/// <summary>
/// Tiles of a picture as the page reads them, one behind the other: index (int32), width and height (uint16), little-endian, then a byte 0 and one RGBA value
/// that all of it has, or a byte 1 and its RGBA values in rows from the top.
/// </summary>
internal static class TileStream
{
    private const int HeadBytes = 9;

    /// <summary>Writes the tiles of these numbers, in their order; numbers that the picture doesn't have are left out.</summary>
    public static async Task Write(Stream stream, Plane<Rgba8> picture, IEnumerable<int> tiles, CancellationToken cancel)
    {
        foreach (int index in tiles.Where(index => index >= 0 && index < picture.Tiles.Length))
        {
            await stream.WriteAsync(Bytes(index, picture.Tiles[index]), cancel).ConfigureAwait(false);
        }
    }

    private static byte[] Bytes(int index, Tile<Rgba8> tile)
    {
        var pixels = tile.IsOneValue ? [tile.Value] : tile.Samples;
        var bytes = new byte[HeadBytes + (4 * pixels.Length)];
        BinaryPrimitives.WriteInt32LittleEndian(bytes, index);
        BinaryPrimitives.WriteUInt16LittleEndian(bytes.AsSpan(4), (ushort)tile.Width);
        BinaryPrimitives.WriteUInt16LittleEndian(bytes.AsSpan(6), (ushort)tile.Height);
        bytes[8] = tile.IsOneValue ? (byte)0 : (byte)1;
        MemoryMarshal.AsBytes(pixels).CopyTo(bytes.AsSpan(HeadBytes));
        return bytes;
    }
}
