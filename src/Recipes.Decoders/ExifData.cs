using System.Buffers.Binary;

namespace Recipes.Decoders;

/// <summary>The few EXIF fields that matter for print: a bounds-checked walk over at most three directories.</summary>
/// <remarks>TIFF 6.0 for the directory, Exif 2.32 (CIPA DC-008) for the fields.</remarks>
internal sealed record ExifData
{
    private const int Orientated = 274, HorizontalResolution = 282, Unit = 296;
    private const int ExifDirectory = 34665, Space = 40961, InteroperabilityDirectory = 40965, Index = 1;
    private const int Byte = 1, Ascii = 2, Short = 3, Long = 4, Rational = 5;

    /// <summary>1 to 8 as stored; 1 where absent or out of range.</summary>
    public int Orientation { get; init; } = 1;

    /// <summary>Null where absent or without a unit.</summary>
    public double? PixelsPerInch { get; init; }

    /// <summary>1 sRGB, 65535 uncalibrated; null where absent.</summary>
    public int? ColorSpace { get; init; }

    /// <summary>Interoperability index R03, which cameras write beside uncalibrated for the wider DCF color space.</summary>
    public bool IsWideCameraSpace { get; init; }

    /// <summary>Reads a TIFF-structured block; null where it is damaged.</summary>
    public static ExifData? Read(ReadOnlySpan<byte> block)
    {
        // WebP and PNG writers sometimes keep the prefix that belongs to JPEG alone.
        if (block.StartsWith("Exif\0\0"u8))
        {
            block = block[6..];
        }

        bool little = block.StartsWith("II*\0"u8);
        if (block.Length < 8 || (!little && !block.StartsWith("MM\0*"u8)))
        {
            return null;
        }

        var reader = new Reader(block, little);
        var main = reader.Directory(reader.UInt32(4));
        if (main < 0)
        {
            return null;
        }

        double? resolution = reader.RationalOf(main, HorizontalResolution);
        int exif = reader.Directory(reader.NumberOf(main, ExifDirectory));
        int interoperability = exif < 0 ? -1 : reader.Directory(reader.NumberOf(exif, InteroperabilityDirectory));
        return new ExifData
        {
            Orientation = reader.NumberOf(main, Orientated) is { } o and >= 1 and <= 8 ? (int)o : 1,
            PixelsPerInch = (reader.NumberOf(main, Unit) ?? 2) switch
            {
                2 => resolution,
                3 => resolution * 2.54,
                _ => null,
            },
            ColorSpace = exif < 0 ? null : (int?)reader.NumberOf(exif, Space),
            IsWideCameraSpace = interoperability >= 0 && reader.TextIs(interoperability, Index, "R03"u8),
        };
    }

    private readonly ref struct Reader(ReadOnlySpan<byte> block, bool little)
    {
        private readonly ReadOnlySpan<byte> block = block;

        public uint UInt32(int at) => little ? BinaryPrimitives.ReadUInt32LittleEndian(block[at..]) : BinaryPrimitives.ReadUInt32BigEndian(block[at..]);

        private ushort UInt16(int at) => little ? BinaryPrimitives.ReadUInt16LittleEndian(block[at..]) : BinaryPrimitives.ReadUInt16BigEndian(block[at..]);

        // The offset of a directory whose entries lie inside the block, or -1.
        public int Directory(uint? at) =>
            at is { } offset && offset >= 8 && offset <= block.Length - 2 && offset + 2L + (12L * UInt16((int)offset)) <= block.Length ? (int)offset : -1;

        // The offset of an entry (tag, type, count, value) of that tag, or -1.
        private int Entry(int directory, int tag)
        {
            int count = UInt16(directory);
            for (int i = 0; i < count; i++)
            {
                int at = directory + 2 + (12 * i);
                if (UInt16(at) == tag)
                {
                    return at;
                }
            }

            return -1;
        }

        public uint? NumberOf(int directory, int tag) => Entry(directory, tag) switch
        {
            < 0 => null,
            var at when UInt32(at + 4) != 1 => null,
            var at when UInt16(at + 2) == Byte => block[at + 8],
            var at when UInt16(at + 2) == Short => UInt16(at + 8),
            var at when UInt16(at + 2) == Long => UInt32(at + 8),
            _ => null,
        };

        public double? RationalOf(int directory, int tag)
        {
            int at = Entry(directory, tag);
            if (at < 0 || UInt16(at + 2) != Rational || UInt32(at + 4) != 1 || UInt32(at + 8) > block.Length - 8L)
            {
                return null;
            }

            int value = (int)UInt32(at + 8);
            uint above = UInt32(value), below = UInt32(value + 4);
            return above == 0 || below == 0 ? null : (double)above / below;
        }

        // Text of at most four bytes lies in the entry itself.
        public bool TextIs(int directory, int tag, ReadOnlySpan<byte> text)
        {
            int at = Entry(directory, tag);
            return at >= 0 && UInt16(at + 2) == Ascii && UInt32(at + 4) == text.Length + 1 && block.Slice(at + 8, text.Length).SequenceEqual(text);
        }
    }
}
