using System.Buffers.Binary;
using System.IO.Compression;
using System.Runtime.InteropServices;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Hosting.Tests.Pages;

/// <summary>A small PNG writer by the W3C PNG specification: 8-bit RGBA, filter 0, one IDAT.</summary>
internal static class StoredPng
{
    public static byte[] Encode(Plane<Rgba8> plane)
    {
        using var png = new MemoryStream();
        png.Write([0x89, (byte)'P', (byte)'N', (byte)'G', 13, 10, 26, 10]);
        var header = new byte[13];
        BinaryPrimitives.WriteInt32BigEndian(header, plane.Width);
        BinaryPrimitives.WriteInt32BigEndian(header.AsSpan(4), plane.Height);
        header[8] = 8;
        header[9] = 6;
        Chunk(png, "IHDR", header);
        using var data = new MemoryStream();
        using (var deflate = new ZLibStream(data, CompressionLevel.Fastest, leaveOpen: true))
        {
            var row = new Rgba8[plane.Width];
            for (int y = 0; y < plane.Height; y++)
            {
                plane.CopyRowTo(y, row);
                deflate.WriteByte(0);
                deflate.Write(MemoryMarshal.AsBytes(row.AsSpan()));
            }
        }

        Chunk(png, "IDAT", data.ToArray());
        Chunk(png, "IEND", []);
        return png.ToArray();
    }

    private static void Chunk(Stream target, string type, byte[] body)
    {
        Span<byte> number = stackalloc byte[4];
        BinaryPrimitives.WriteInt32BigEndian(number, body.Length);
        target.Write(number);
        byte[] named = [.. Encoding.ASCII.GetBytes(type), .. body];
        target.Write(named);
        BinaryPrimitives.WriteUInt32BigEndian(number, Crc(named));
        target.Write(number);
    }

    // CRC-32 as PNG's annex D gives it.
    private static uint Crc(byte[] bytes)
    {
        uint crc = uint.MaxValue;
        foreach (byte value in bytes)
        {
            crc ^= value;
            for (int bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) != 0 ? 0xEDB88320 ^ (crc >> 1) : crc >> 1;
            }
        }

        return ~crc;
    }
}
