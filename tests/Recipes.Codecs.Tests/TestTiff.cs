using System.Buffers.Binary;

namespace Recipes.Codecs.Tests;

/// <summary>Builds TIFF files byte by byte from TIFF 6.0, sharing nothing with the code under test.</summary>
internal sealed record TestTiff(int Width, int Height, int Depth, int Channels)
{
    public bool Little { get; init; } = true;

    /// <summary>1 none, 5 LZW, 8 deflate, 32773 PackBits.</summary>
    public int Compression { get; init; } = 1;

    /// <summary>0 white is zero, 1 black is zero, 2 RGB, 5 separated.</summary>
    public int Photometric { get; init; } = 2;

    /// <summary>ExtraSamples: 0 unspecified, 1 associated, 2 unassociated; null leaves the field out.</summary>
    public int? Extra { get; init; }

    public int RowsPerStrip { get; init; } = 5;

    /// <summary>Side of tiles, a multiple of 16; 0 for strips.</summary>
    public int Tile { get; init; }

    public bool Apart { get; init; }

    /// <summary>Horizontal differencing (section 14).</summary>
    public bool Predictor { get; init; }

    public byte[]? Profile { get; init; }

    /// <summary>More fields, or other values of fields: tag, type, values.</summary>
    public (int Tag, int Type, uint[] Values)[] Fields { get; init; } = [];

    /// <summary>The field that is written with another type: 1 BYTE, 3 SHORT, 4 LONG.</summary>
    public (int Tag, int Type)? Typed { get; init; }

    /// <summary>Fields that are left out.</summary>
    public int[] Absent { get; init; } = [];

    /// <summary>How many pages of the same picture; those behind the first are of this NewSubfileType.</summary>
    public int Pages { get; init; } = 1;

    public uint LaterSubfileType { get; init; }

    /// <summary>The sample at a place and channel.</summary>
    public Func<int, int, int, int> Sample { get; init; } = (x, y, c) => (x * 7) + (y * 13) + (c * 50);

    public byte[] Bytes()
    {
        var file = new List<byte>();
        file.AddRange(Little ? "II"u8.ToArray() : "MM"u8.ToArray());
        file.AddRange(Number(42, 2));
        file.AddRange(Number(0, 4));
        int link = 4;
        for (int page = 0; page < Pages; page++)
        {
            var pieces = Pieces().Select(Pack).ToList();
            var offsets = new List<uint>();
            foreach (byte[] piece in pieces)
            {
                offsets.Add((uint)file.Count);
                file.AddRange(piece);
                if (file.Count % 2 == 1)
                {
                    file.Add(0);
                }
            }

            var fields = new SortedDictionary<int, (int Type, byte[] Data, int Count)>();
            Put(256, 4, (uint)Width);
            Put(257, 4, (uint)Height);
            Put(258, 3, [.. Enumerable.Repeat((uint)Depth, Channels)]);
            Put(259, 3, (uint)Compression);
            Put(262, 3, (uint)Photometric);
            Put(277, 3, (uint)Channels);
            Put(284, 3, Apart ? 2u : 1u);
            Put(Tile > 0 ? 324 : 273, 4, [.. offsets]);
            Put(Tile > 0 ? 325 : 279, 4, [.. pieces.Select(piece => (uint)piece.Length)]);
            if (Tile > 0)
            {
                Put(322, 3, (uint)Tile);
                Put(323, 3, (uint)Tile);
            }
            else
            {
                Put(278, 4, (uint)RowsPerStrip);
            }

            if (Predictor)
            {
                Put(317, 3, 2);
            }

            if (Extra is { } extra)
            {
                Put(338, 3, (uint)extra);
            }

            if (page > 0)
            {
                Put(254, 4, LaterSubfileType);
            }

            if (Profile is not null)
            {
                fields[34675] = (7, Profile, Profile.Length);
            }

            foreach (var (tag, type, values) in Fields)
            {
                Put(tag, type, values);
            }

            foreach (int tag in Absent)
            {
                fields.Remove(tag);
            }

            int directory = file.Count;
            Number((uint)directory, 4).CopyTo(0, file, link);
            file.AddRange(Number((uint)fields.Count, 2));
            int after = directory + 2 + (12 * fields.Count) + 4;
            var outside = new List<byte>();
            foreach (var (tag, (type, data, count)) in fields)
            {
                file.AddRange(Number((uint)tag, 2));
                file.AddRange(Number((uint)type, 2));
                file.AddRange(Number((uint)count, 4));
                if (data.Length <= 4)
                {
                    file.AddRange([.. data, .. new byte[4 - data.Length]]);
                }
                else
                {
                    file.AddRange(Number((uint)(after + outside.Count), 4));
                    outside.AddRange(data);
                    outside.AddRange(new byte[outside.Count % 2]);
                }
            }

            link = file.Count;
            file.AddRange(Number(0, 4));
            file.AddRange(outside);

            void Put(int tag, int type, params uint[] values)
            {
                type = Typed is { } typed && typed.Tag == tag ? typed.Type : type;
                int size = type switch { 1 => 1, 3 => 2, 5 => 4, _ => 4 };
                fields[tag] = (type, [.. values.SelectMany(value => Number(value, size))], type == 5 ? values.Length / 2 : values.Length);
            }
        }

        return [.. file];
    }

    // Unpacked strips or tiles, plane by plane where they lie apart (sections 7 and 15); tiles are padded with the last sample.
    private IEnumerable<byte[]> Pieces()
    {
        foreach (var planes in Apart ? Enumerable.Range(0, Channels).Select(c => new[] { c }) : [[.. Enumerable.Range(0, Channels)]])
        {
            int pieceWidth = Tile > 0 ? Tile : Width, pieceHeight = Tile > 0 ? Tile : RowsPerStrip;
            for (int top = 0; top < Height; top += pieceHeight)
            {
                for (int left = 0; left < Width; left += pieceWidth)
                {
                    int rows = Tile > 0 ? Tile : Math.Min(pieceHeight, Height - top);
                    var piece = new List<byte>();
                    for (int y = top; y < top + rows; y++)
                    {
                        var before = new int[planes.Length];
                        for (int x = left; x < left + pieceWidth; x++)
                        {
                            for (int p = 0; p < planes.Length; p++)
                            {
                                int mask = (1 << Depth) - 1, value = Sample(Math.Min(x, Width - 1), Math.Min(y, Height - 1), planes[p]) & mask;
                                piece.AddRange(Number((uint)((Predictor && x > left ? value - before[p] : value) & mask), Depth / 8));
                                before[p] = value;
                            }
                        }
                    }

                    yield return [.. piece];
                }
            }
        }
    }

    private byte[] Pack(byte[] plain) => Compression switch
    {
        5 => Lzw(plain),
        8 or 32946 => TestPng.Deflate(plain),
        32773 => [.. plain.SelectMany(b => (byte[])[0, b])],
        _ => plain,
    };

    // Section 13 without a table: literal codes of nine bits, most significant first, and a clear code (256) before the table
    // would need ten.
    private static byte[] Lzw(byte[] plain)
    {
        var codes = new List<int> { 256 };
        for (int i = 0; i < plain.Length; i++)
        {
            if (i > 0 && i % 200 == 0)
            {
                codes.Add(256);
            }

            codes.Add(plain[i]);
        }

        codes.Add(257);
        byte[] packed = new byte[((codes.Count * 9) + 7) / 8];
        for (int i = 0; i < codes.Count * 9; i++)
        {
            packed[i / 8] |= (byte)(((codes[i / 9] >> (8 - (i % 9))) & 1) << (7 - (i % 8)));
        }

        return packed;
    }

    private byte[] Number(uint value, int size)
    {
        byte[] bytes = new byte[4];
        if (Little)
        {
            BinaryPrimitives.WriteUInt32LittleEndian(bytes, value);
            return bytes[..size];
        }

        BinaryPrimitives.WriteUInt32BigEndian(bytes, value);
        return bytes[(4 - size)..];
    }
}

file static class ListExtensions
{
    public static void CopyTo(this byte[] bytes, int from, List<byte> target, int at)
    {
        for (int i = from; i < bytes.Length; i++)
        {
            target[at + i] = bytes[i];
        }
    }
}
