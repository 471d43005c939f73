using System.Buffers.Binary;
using System.IO.Compression;
using System.Text;

namespace Recipes.Codecs.Tests;

/// <summary>Builds PNG files byte by byte from the specification, sharing nothing with the code under test.</summary>
internal sealed record TestPng(int Width, int Height, int Depth, int ColorType)
{
    public byte Interlace { get; init; }

    public byte[]? Palette { get; init; }

    public byte[]? Transparency { get; init; }

    /// <summary>Whole chunks between IHDR and PLTE.</summary>
    public byte[][] Early { get; init; } = [];

    /// <summary>Packed rows, unfiltered; random ones of a fixed seed where null.</summary>
    public byte[][]? Rows { get; init; }

    public int Channels => ColorType switch { 2 => 3, 4 => 2, 6 => 4, _ => 1 };

    private int RowBytes => ((Width * Channels * Depth) + 7) / 8;

    public static byte[] Signature => [0x89, (byte)'P', (byte)'N', (byte)'G', 13, 10, 26, 10];

    public static byte[] Header(uint width, uint height, byte depth, byte colorType, byte interlace = 0)
    {
        byte[] data = new byte[13];
        BinaryPrimitives.WriteUInt32BigEndian(data, width);
        BinaryPrimitives.WriteUInt32BigEndian(data.AsSpan(4), height);
        (data[8], data[9], data[12]) = (depth, colorType, interlace);
        return Chunk("IHDR", data);
    }

    public static byte[] Chunk(string type, params byte[] data)
    {
        byte[] typed = [.. Encoding.ASCII.GetBytes(type), .. data];
        byte[] chunk = [0, 0, 0, 0, .. typed, 0, 0, 0, 0];
        BinaryPrimitives.WriteInt32BigEndian(chunk, data.Length);
        BinaryPrimitives.WriteUInt32BigEndian(chunk.AsSpan(chunk.Length - 4), Crc(typed));
        return chunk;
    }

    public static byte[] Physical(uint x, uint y, byte unit)
    {
        byte[] data = new byte[9];
        BinaryPrimitives.WriteUInt32BigEndian(data, x);
        BinaryPrimitives.WriteUInt32BigEndian(data.AsSpan(4), y);
        data[8] = unit;
        return Chunk("pHYs", data);
    }

    public static byte[] Words(params uint[] words)
    {
        byte[] data = new byte[4 * words.Length];
        for (int i = 0; i < words.Length; i++)
        {
            BinaryPrimitives.WriteUInt32BigEndian(data.AsSpan(4 * i), words[i]);
        }

        return data;
    }

    public static byte[] Deflate(ReadOnlySpan<byte> plain)
    {
        using var target = new MemoryStream();
        using (var zlib = new ZLibStream(target, CompressionLevel.Optimal))
        {
            zlib.Write(plain);
        }

        return target.ToArray();
    }

    public byte[] Bytes()
    {
        byte[] deflated = Deflate(Filtered());
        int half = deflated.Length / 2;
        return
        [
            .. Signature, .. Header((uint)Width, (uint)Height, (byte)Depth, (byte)ColorType, Interlace), .. Early.SelectMany(c => c),
            .. Palette is null ? [] : Chunk("PLTE", Palette), .. Transparency is null ? [] : Chunk("tRNS", Transparency),
            .. Chunk("IDAT", deflated[..half]), .. Chunk("IDAT", deflated[half..]), .. Chunk("IEND"),
        ];
    }

    // PNG 3rd edition, 8.1 (Adam7): first column, first row, and the distances between them, for each of seven passes.
    private static readonly (int X, int Y, int AcrossBy, int DownBy)[] Passes = [(0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2)];

    /// <summary>The same picture interlaced; its rows must be given.</summary>
    public TestPng Interlaced() => this with { Interlace = 1 };

    private byte[] InterlacedRows()
    {
        int bits = Channels * Depth;
        var all = new List<byte>();
        foreach (var (left, top, acrossBy, downBy) in Passes)
        {
            int width = (Width - left + acrossBy - 1) / acrossBy, height = (Height - top + downBy - 1) / downBy;
            if (width <= 0 || height <= 0)
            {
                continue;
            }

            var rows = new byte[height][];
            for (int y = 0; y < height; y++)
            {
                rows[y] = new byte[((width * bits) + 7) / 8];
                for (int bit = 0; bit < width * bits; bit++)
                {
                    int from = ((left + (bit / bits * acrossBy)) * bits) + (bit % bits);
                    rows[y][bit / 8] |= (byte)(((Rows![top + (y * downBy)][from / 8] >> (7 - (from % 8))) & 1) << (7 - (bit % 8)));
                }
            }

            all.AddRange((this with { Width = width, Height = height, Rows = rows, Interlace = 0 }).Filtered());
        }

        return [.. all];
    }

    // All five filters by turns (9.2), written from their definition.
    public byte[] Filtered()
    {
        if (Interlace == 1 && Rows is not null)
        {
            return InterlacedRows();
        }

        var random = new Random(11);
        int step = Math.Max(1, Channels * Depth / 8);
        byte[] above = new byte[RowBytes];
        var all = new List<byte>();
        for (int y = 0; y < Height; y++)
        {
            byte[] row = new byte[RowBytes];
            if (Rows is null)
            {
                random.NextBytes(row);
            }
            else
            {
                Rows[y].CopyTo(row, 0);
            }

            int filter = y % 5;
            all.Add((byte)filter);
            for (int i = 0; i < row.Length; i++)
            {
                int a = i < step ? 0 : row[i - step], b = above[i], c = i < step ? 0 : above[i - step], p = a + b - c;
                int paeth = Math.Abs(p - a) <= Math.Abs(p - b) && Math.Abs(p - a) <= Math.Abs(p - c) ? a : Math.Abs(p - b) <= Math.Abs(p - c) ? b : c;
                all.Add((byte)(row[i] - filter switch { 0 => 0, 1 => a, 2 => b, 3 => (a + b) / 2, _ => paeth }));
            }

            above = row;
        }

        return [.. all];
    }

    // Annex D, bit by bit.
    public static uint Crc(ReadOnlySpan<byte> bytes)
    {
        uint crc = 0xFFFFFFFF;
        foreach (byte b in bytes)
        {
            crc ^= b;
            for (int bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) != 0 ? 0xEDB88320 ^ (crc >> 1) : crc >> 1;
            }
        }

        return ~crc;
    }

    /// <summary>Names and data of a file's chunks; every CRC is checked.</summary>
    public static List<(string Type, byte[] Data)> Chunks(byte[] file)
    {
        file[..8].ShouldBe(Signature);
        var chunks = new List<(string, byte[])>();
        for (int at = 8; at < file.Length;)
        {
            int length = BinaryPrimitives.ReadInt32BigEndian(file.AsSpan(at));
            BinaryPrimitives.ReadUInt32BigEndian(file.AsSpan(at + 8 + length)).ShouldBe(Crc(file.AsSpan(at + 4, 4 + length)));
            chunks.Add((Encoding.ASCII.GetString(file, at + 4, 4), file[(at + 8)..(at + 8 + length)]));
            at += 12 + length;
        }

        return chunks;
    }
}
