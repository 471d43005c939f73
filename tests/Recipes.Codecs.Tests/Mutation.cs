using System.Buffers.Binary;
using Recipes.Tests;

namespace Recipes.Codecs.Tests;

/// <summary>Damaged pictures: a few bytes, or the structure that a format has.</summary>
internal static class Mutation
{
    private static readonly uint[] Extremes = [0, 1, 2, 7, 255, 65_535, 65_536, 30_000, 30_001, 200_000, int.MaxValue, 0x8000_0000, uint.MaxValue];

    /// <summary>Good files of each format and mode.</summary>
    public static byte[][] Seeds()
    {
        return
        [
            DecodePngTests.Sample(3, 4, true, 30, 20), DecodePngTests.Sample(6, 8, false, 30, 20), DecodePngTests.Sample(0, 2, true, 30, 20),
            .. ConvertedSeeds(), Oracle.Webp(40, 30, Oracle.Puffin, true), Oracle.Webp(40, 30, Oracle.Puffin, false), Oracle.Webp(40, 30, (x, y) => Oracle.Puffin(x, y).WithAlpha((byte)(x * 6)), false),
        ];
    }

    /// <summary>Good files that only the converting reader takes.</summary>
    public static byte[][] ConvertedSeeds()
    {
        byte[] p3 = NetVips.Image.ProfileLoad("p3"), jpeg = Oracle.Jpeg(40, 30, Oracle.Puffin),
            exif = [.. "Exif\0\0"u8, .. Oracle.Exif(false, (274, 3, 6, 0), (282, 5, 300, 1), (34665, 4, 8, 0))];
        using var ink = NetVips.Image.Black(40, 30, 4).Copy(interpretation: NetVips.Enums.Interpretation.Cmyk);
        using var wide = NetVips.Image.Black(40, 30, 3).Copy(interpretation: NetVips.Enums.Interpretation.Srgb).Mutate(image => image.Set(NetVips.GValue.BlobType, "icc-profile-data", p3));
        return
        [
            new TestTiff(40, 30, 8, 4) { Extra = 2, Compression = 5 }.Bytes(), new TestTiff(40, 30, 16, 3) { Compression = 8, Predictor = true, Little = false }.Bytes(),
            new TestTiff(40, 30, 8, 4) { Photometric = 5, Tile = 16 }.Bytes(), new TestTiff(40, 30, 8, 3) { Apart = true, Compression = 32773, Profile = p3 }.Bytes(),
            new TestTiff(40, 30, 8, 4) { Extra = 1, Typed = (338, 4), Fields = [(339, 1, [4, 4, 4, 4])] }.Bytes(),
            new TestPng(30, 20, 8, 2) { Early = [TestPng.Chunk("gAMA", TestPng.Words(55556)), TestPng.Chunk("cHRM", TestPng.Words(31270, 32900, 64000, 33000, 21000, 71000, 15000, 6000))] }.Bytes(),
            new TestPng(30, 20, 16, 6) { Early = [TestPng.Chunk("cICP", 12, 13, 0, 1)] }.Bytes(),
            Oracle.WithSegment(jpeg, 0xE1, exif), Oracle.Jpeg(40, 30, Oracle.Puffin, 80, halved: true),
            wide.JpegsaveBuffer(interlace: true, restartInterval: 1, subsampleMode: NetVips.Enums.ForeignSubsample.On, keep: NetVips.Enums.ForeignKeep.None),
            ink.JpegsaveBuffer(keep: NetVips.Enums.ForeignKeep.None), Oracle.WithSegment(jpeg, 0xE2, [.. "ICC_PROFILE\0"u8, 1, 1, .. p3]),
            new TestPng(30, 20, 16, 6).Bytes(), Interlaced(0, 4), Interlaced(2, 16), wide.WebpsaveBuffer(lossless: true),
            OpenRasterTests.Ora("<image w='4' h='3'><stack><layer name='puffin' src='a.png' x='1'/><layer name='sea' src='a.png'/></stack></image>"),
        ];
    }

    private static byte[] Interlaced(int type, int depth)
    {
        var png = new TestPng(30, 20, depth, type);
        return (png with { Interlace = 1, Rows = [.. Enumerable.Range(0, 20).Select(y => Enumerable.Range(0, 30 * png.Channels * depth / 8).Select(i => (byte)(i * y)).ToArray())] }).Bytes();
    }

    /// <summary>A changed structure, changed bytes, or both.</summary>
    public static byte[] Structured(byte[] seed, Random random)
    {
        byte[] file = (random.Next(4), seed[0]) switch
        {
            (0, _) => seed,
            (_, 0x89) => PngChunks(seed, random),
            (_, 0xff) => JpegSegments(seed, random),
            (_, (byte)'I' or (byte)'M') => TiffFields(seed, random),
            (_, (byte)'P') => Of(seed, random),
            _ => WebpChunks(seed, random),
        };
        return random.Next(3) == 0 && file.Length > 40 ? Of(file, random) : file;
    }

    // PNG (ISO/IEC 15948), 5.3: length, type, data, CRC. The header's fields lie at 0 width, 4 height, 8 depth, 9 color type, 12 interlace.
    private static byte[] PngChunks(byte[] seed, Random random)
    {
        var chunks = new List<byte[]>();
        for (int at = 8; at + 12 <= seed.Length;)
        {
            int length = 12 + (int)BinaryPrimitives.ReadUInt32BigEndian(seed.AsSpan(at));
            chunks.Add(seed[at..(at + length)]);
            at += length;
        }

        int picked = random.Next(chunks.Count);
        byte[] chunk = [.. chunks[picked]];
        bool mend = true;
        switch (random.Next(8))
        {
            case 0:
                chunks.RemoveAt(picked);
                break;
            case 1:
                chunks.Insert(random.Next(chunks.Count + 1), chunk);
                break;
            case 2:
                (chunks[0], chunks[picked]) = (chunks[picked], chunks[0]);
                break;
            case 3:
                BinaryPrimitives.WriteUInt32BigEndian(chunk, Extremes[random.Next(Extremes.Length)]);
                chunks[picked] = chunk;
                mend = false;
                break;
            case 4:
                chunk = [.. chunk[..(8 + random.Next(chunk.Length - 11))], .. new byte[4]];
                BinaryPrimitives.WriteUInt32BigEndian(chunk, (uint)chunk.Length - 12);
                chunks[picked] = chunk;
                break;
            default:
                byte[] header = [.. chunks[0]];
                if (random.Next(2) == 0)
                {
                    BinaryPrimitives.WriteUInt32BigEndian(header.AsSpan(8 + (4 * random.Next(2))), Extremes[random.Next(Extremes.Length)]);
                }
                else
                {
                    header[16 + random.Next(5)] = (byte)random.Next(20);
                }

                chunks[0] = header;
                break;
        }

        if (mend)
        {
            foreach (byte[] one in chunks)
            {
                BinaryPrimitives.WriteUInt32BigEndian(one.AsSpan(one.Length - 4), TestPng.Crc(one.AsSpan(4, one.Length - 8)));
            }
        }

        byte[] whole = [.. seed[..8], .. chunks.SelectMany(one => one)];
        return random.Next(8) == 0 ? whole[..random.Next(9, whole.Length)] : whole;
    }

    // TIFF 6.0, section 2: one directory of 12-byte entries, whose place stands at 4.
    private static byte[] TiffFields(byte[] seed, Random random)
    {
        byte[] file = [.. seed];
        bool little = file[0] == (byte)'I';
        int directory = (int)Read(4, 4), count = (int)Read(directory, 2), entry = directory + 2 + (12 * random.Next(count));
        switch (random.Next(6))
        {
            case 0:
                Write(entry + 2, 2, (uint)random.Next(14));
                return file;
            case 1:
                Write(entry + 4, 4, Extremes[random.Next(Extremes.Length)]);
                return file;
            case 2:
                Write(directory + 2 + (12 * count), 4, Extremes[random.Next(Extremes.Length)]);
                return file;
            case 3:
                return file[..random.Next(9, file.Length)];
            case 4:
                Write(entry, 2, (uint)random.Next(250, 345));
                return file;
            default:
                Write(entry + 8, random.Next(2) == 0 ? 4 : 2, random.Next(2) == 0 ? Extremes[random.Next(Extremes.Length)] : (uint)random.Next(20));
                return file;
        }

        uint Read(int at, int size) => size == 2
            ? little ? BinaryPrimitives.ReadUInt16LittleEndian(file.AsSpan(at)) : BinaryPrimitives.ReadUInt16BigEndian(file.AsSpan(at))
            : little ? BinaryPrimitives.ReadUInt32LittleEndian(file.AsSpan(at)) : BinaryPrimitives.ReadUInt32BigEndian(file.AsSpan(at));

        void Write(int at, int size, uint value)
        {
            for (int i = 0; i < size; i++)
            {
                file[at + i] = (byte)(value >> (8 * (little ? i : size - 1 - i)));
            }
        }
    }

    // JPEG (ITU-T T.81), B.1: a marker, then for most a length of two bytes that counts itself.
    private static byte[] JpegSegments(byte[] seed, Random random)
    {
        var starts = new List<int>();
        for (int at = 2; at + 4 < seed.Length && seed[at] == 0xff;)
        {
            starts.Add(at);
            if (seed[at + 1] == 0xda)
            {
                break;
            }

            at += 2 + BinaryPrimitives.ReadUInt16BigEndian(seed.AsSpan(at + 2));
        }

        int start = starts[random.Next(starts.Count)], length = 2 + BinaryPrimitives.ReadUInt16BigEndian(seed.AsSpan(start + 2));
        byte[] file = [.. seed];
        switch (random.Next(5))
        {
            case 0:
                BinaryPrimitives.WriteUInt16BigEndian(file.AsSpan(start + 2), (ushort)Extremes[random.Next(Extremes.Length)]);
                return file;
            case 1:
                file[start + 1] = (byte)random.Next(0xc0, 0x100);
                return file;
            case 2:
                return [.. file[..start], .. file[(start + length)..]];
            case 3:
                return [.. file[..start], .. file[start..(start + length)], .. file[start..]];
            default:
                file[start + 4 + random.Next(Math.Max(1, length - 4))] = (byte)Extremes[random.Next(Extremes.Length)];
                return random.Next(4) == 0 ? file[..random.Next(start, file.Length)] : file;
        }
    }

    // WebP container: RIFF chunks, a name and a little-endian length; sizes of the picture lie at the start of a chunk's data.
    private static byte[] WebpChunks(byte[] seed, Random random)
    {
        byte[] file = [.. seed];
        var starts = new List<int> { 0 };
        for (int at = 12; at + 8 <= file.Length;)
        {
            starts.Add(at);
            at += 8 + (int)((BinaryPrimitives.ReadUInt32LittleEndian(file.AsSpan(at + 4)) + 1) & ~1u);
        }

        int start = starts[random.Next(starts.Count)];
        switch (random.Next(4))
        {
            case 0:
                BinaryPrimitives.WriteUInt32LittleEndian(file.AsSpan(start + 4), Extremes[random.Next(Extremes.Length)]);
                return file;
            case 1:
                file[start + random.Next(4)] = (byte)"VP8LXANIMFICEXIFALPH "[random.Next(21)];
                return file;
            case 2:
                return file[..random.Next(13, file.Length)];
            default:
                file[Math.Min(file.Length - 1, start + 8 + random.Next(12))] = (byte)random.Next(256);
                return file;
        }
    }

    /// <summary>One to four changes of a byte, a bit or a piece; half of the PNG files get their checksums mended, so that the damage gets further in.</summary>
    public static byte[] Of(byte[] seed, Random random)
    {
        var file = seed.ToList();
        for (int n = random.Next(1, 5); n > 0 && file.Count > 20; n--)
        {
            Damage.Do(file, random.Next(file.Count), 9, random);
        }

        byte[] bytes = [.. file];
        if (bytes[0] == 0x89 && random.Next(2) == 0)
        {
            for (long at = 8; at + 12 <= bytes.Length;)
            {
                long length = BinaryPrimitives.ReadUInt32BigEndian(bytes.AsSpan((int)at));
                if (length > bytes.Length - at - 12)
                {
                    break;
                }

                BinaryPrimitives.WriteUInt32BigEndian(bytes.AsSpan((int)(at + 8 + length)), TestPng.Crc(bytes.AsSpan((int)at + 4, 4 + (int)length)));
                at += 12 + length;
            }
        }

        return bytes;
    }
}
