using System.Buffers.Binary;
using System.Runtime.InteropServices;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Codecs;

/// <summary>Writes baseline TIFF files: one picture, 8-bit RGB, or RGBA with straight alpha where a pixel isn't opaque,
/// with a profile of sRGB; or gray.</summary>
/// <remarks>
/// TIFF 6.0, part 1. Strips aren't compressed: that is what every reader of TIFF must read, and the bytes then depend on the
/// pixels alone. Little-endian; the directory comes before the pixels, so that the file is written from front to end.
/// </remarks>
public static class TiffWriter
{
    private const int Ascii = 2, Short = 3, Long = 4, Rational = 5, Undefined = 7;
    private const int BytesPerStrip = 1 << 20;

    // Offsets in the file are 32 bits.
    private const long Longest = uint.MaxValue;

    /// <summary>Writes pixels, without their alpha where all of it is 255.</summary>
    /// <param name="target">Written from its position on, which must be the start of the file; neither flushed nor closed.</param>
    /// <param name="pixels">Straight alpha; the color under alpha 0 is kept.</param>
    /// <param name="pixelsPerInch">Resolution above 0, kept to 0.01; null says that there is none.</param>
    /// <param name="description">ASCII text for the field ImageDescription; null leaves it out.</param>
    /// <exception cref="ArgumentException">The resolution or the text can't be stored, or the file would be over 4 GB.</exception>
    public static void Write(Stream target, Plane<Rgba8> pixels, double? pixelsPerInch = null, string? description = null)
    {
        ArgumentNullException.ThrowIfNull(target);
        ArgumentNullException.ThrowIfNull(pixels);
        int channels = pixels.Tiles.All(IsOpaque) ? 3 : 4;
        WriteHead(target, pixels.Grid, channels, pixelsPerInch, description);
        WriteRows(target, pixels, channels);
    }

    /// <summary>Writes one channel as gray without a profile, such as an underbase, 0 black to 255 white.</summary>
    /// <inheritdoc cref="Write(Stream, Plane{Rgba8}, double?, string?)"/>
    public static void Write(Stream target, Plane<byte> samples, double? pixelsPerInch = null, string? description = null)
    {
        ArgumentNullException.ThrowIfNull(target);
        ArgumentNullException.ThrowIfNull(samples);
        WriteHead(target, samples.Grid, 1, pixelsPerInch, description);
        byte[] row = new byte[samples.Width];
        for (int y = 0; y < samples.Height; y++)
        {
            samples.CopyRowTo(y, row);
            target.Write(row);
        }
    }

    // Everything before the pixels. One channel is gray counted from black, three or four are RGB.
    private static void WriteHead(Stream target, TileGrid size, int channels, double? pixelsPerInch, string? description)
    {
        if (description is not null && description.Any(c => c is < ' ' or > '~'))
        {
            throw new ArgumentException("A TIFF text is printable ASCII.", nameof(description));
        }

        double hundredths = Math.Round((pixelsPerInch ?? 1) * 100, MidpointRounding.AwayFromZero);
        if (hundredths is not (>= 1 and <= uint.MaxValue))
        {
            throw new ArgumentOutOfRangeException(nameof(pixelsPerInch), "The resolution can't be stored in a TIFF file.");
        }

        int rowBytes = size.Width * channels, rows = Math.Clamp(BytesPerStrip / rowBytes, 1, size.Height);
        int strips = (size.Height + rows - 1) / rows;
        uint[] counts = [.. Enumerable.Range(0, strips).Select(i => (uint)(Math.Min(rows, size.Height - (i * rows)) * rowBytes))];
        uint[] resolution = [(uint)hundredths, 100];

        // Tag, type, values; in ascending order, as section 2 demands.
        List<(int Tag, int Type, uint[] Values)> fields =
        [
            (256, Long, [(uint)size.Width]), (257, Long, [(uint)size.Height]), (258, Short, [.. Enumerable.Repeat(8u, channels)]),
            (259, Short, [1]), (262, Short, [channels == 1 ? 1u : 2u]), (273, Long, new uint[strips]), (277, Short, [(uint)channels]),
            (278, Long, [(uint)rows]), (279, Long, counts),
            (282, Rational, resolution), (283, Rational, resolution), (284, Short, [1]), (296, Short, [pixelsPerInch is null ? 1u : 2u]),
        ];
        if (description is not null)
        {
            fields.Insert(5, (270, Ascii, Text(description)));
        }

        fields.Add((305, Ascii, Text("Recipes")));
        if (channels == 4)
        {
            fields.Add((338, Short, [2]));
        }

        if (channels > 1)
        {
            fields.Add((34675, Undefined, [.. SrgbProfile.Bytes.Select(b => (uint)b)]));
        }

        int directory = 2 + (12 * fields.Count) + 4;
        int outside = fields.Sum(field => Length(field.Type, field.Values) is var length and > 4 ? length + (length & 1) : 0);
        long start = 8L + directory + outside;
        if (start + ((long)rowBytes * size.Height) > Longest)
        {
            throw new ArgumentException("A TIFF file holds at most 4 GB.", nameof(size));
        }

        uint[] offsets = fields.First(field => field.Tag == 273).Values;
        for (int i = 0; i < strips; i++)
        {
            offsets[i] = (uint)(start + ((long)i * rows * rowBytes));
        }

        target.Write(Head(fields, 8 + directory));
    }

    private static byte[] Head(List<(int Tag, int Type, uint[] Values)> fields, int outsideAt)
    {
        using var head = new MemoryStream();
        using var after = new MemoryStream();
        using var writer = new BinaryWriter(head);
        writer.Write("II*\0"u8);
        writer.Write(8);
        writer.Write((ushort)fields.Count);
        foreach (var (tag, type, values) in fields)
        {
            byte[] data = Data(type, values);
            writer.Write((ushort)tag);
            writer.Write((ushort)type);
            writer.Write(type == Rational ? values.Length / 2 : values.Length);
            if (data.Length <= 4)
            {
                writer.Write([.. data, .. new byte[4 - data.Length]]);
            }
            else
            {
                writer.Write(outsideAt + (int)after.Length);
                // Values begin at even places.
                after.Write([.. data, .. new byte[data.Length & 1]]);
            }
        }

        writer.Write(0);
        writer.Write(after.ToArray());
        return head.ToArray();
    }

    private static int Length(int type, uint[] values) => values.Length * (type switch { Ascii or Undefined => 1, Short => 2, _ => 4 });

    private static byte[] Data(int type, uint[] values)
    {
        byte[] data = new byte[Length(type, values)];
        for (int i = 0; i < values.Length; i++)
        {
            switch (type)
            {
                case Ascii or Undefined:
                    data[i] = (byte)values[i];
                    break;
                case Short:
                    BinaryPrimitives.WriteUInt16LittleEndian(data.AsSpan(2 * i), (ushort)values[i]);
                    break;
                default:
                    BinaryPrimitives.WriteUInt32LittleEndian(data.AsSpan(4 * i), values[i]);
                    break;
            }
        }

        return data;
    }

    private static uint[] Text(string text) => [.. Encoding.ASCII.GetBytes(text).Select(b => (uint)b), 0];

    private static void WriteRows(Stream target, Plane<Rgba8> pixels, int channels)
    {
        var row = new Rgba8[pixels.Width];
        byte[] packed = new byte[pixels.Width * channels];
        for (int y = 0; y < pixels.Height; y++)
        {
            pixels.CopyRowTo(y, row);
            if (channels == 4)
            {
                target.Write(MemoryMarshal.AsBytes<Rgba8>(row));
                continue;
            }

            for (int x = 0, i = 0; x < row.Length; x++, i += 3)
            {
                (packed[i], packed[i + 1], packed[i + 2]) = (row[x].R, row[x].G, row[x].B);
            }

            target.Write(packed);
        }
    }

    private static bool IsOpaque(Tile<Rgba8> tile)
    {
        if (tile.IsOneValue)
        {
            return tile.Value.A == 255;
        }

        foreach (var pixel in tile.Samples)
        {
            if (pixel.A != 255)
            {
                return false;
            }
        }

        return true;
    }
}
