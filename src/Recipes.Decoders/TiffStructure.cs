using System.Buffers.Binary;
using System.Globalization;
using System.Text;

namespace Recipes.Decoders;

/// <summary>The directories of a TIFF file, checked: size, channels, compression, that all strips or tiles lie in the file.</summary>
/// <remarks>
/// TIFF 6.0 (1992); tag 34675 of ICC.1, Annex B.3; compressions 8 and 32946 both mean zlib's format (IANA's registration of
/// image/tiff and the registered tags); compression 7 of Technical Note 2; BigTIFF, whose places and counts have 8 bytes, as libtiff's
/// documentation describes it. One flat picture passes; everything that isn't read exactly is refused by name.
/// </remarks>
internal static class TiffStructure
{
    private const int NewSubfileType = 254, Columns = 256, Rows = 257, Bits = 258, Compression = 259, Photometric = 262, Description = 270,
        Orientation = 274, Resolution = 282, Unit = 296,
        StripOffsets = 273, SamplesPerPixel = 277, RowsPerStrip = 278, StripCounts = 279, Planar = 284, Software = 305, ColorMap = 320,
        TileColumns = 322, TileRows = 323, TileOffsets = 324, TileCounts = 325, InkSet = 332,
        ExtraSamples = 338, SampleFormat = 339, Profile = 34675, LayerData = 37724;

    private const string YCbCr = "YCbCr";

    private const int MostPages = 1000, MostEntries = 4096, LargestProfile = 8 << 20, LargestProvenance = 64 << 10;

    public static Heading Read(ReadOnlyMemory<byte> memory, Refusal refusal)
    {
        var file = memory.Span;
        if (file.Length < 8)
        {
            throw CutShort(refusal);
        }

        var shape = new Shape(Little: file[0] == (byte)'I', Big: file[2] == 43 || file[3] == 43);
        if (shape.Big && (file.Length < 16 || shape.Short(file[4..]) != 8))
        {
            throw CutShort(refusal);
        }

        var first = new TiffDirectory(memory, shape, shape.Big ? shape.Long(file[8..]) : shape.Word(file[4..]), refusal);
        var heading = new Heading { Format = "TIFF", NeedsLibrary = true };
        ReadPicture(first, heading, refusal);
        CheckPages(memory, shape, first, heading, refusal);
        if (!first.Bytes(LayerData).IsEmpty)
        {
            heading.Notes.Add("its private layer data was not read; the flat picture was taken");
        }

        if (shape.Big)
        {
            heading.Exif = first.Exif();
        }
        else
        {
            heading.TakeExif(file);
        }

        var profile = first.Bytes(Profile).Span;
        if (profile.Length > LargestProfile)
        {
            throw refusal.Foreign("its color profile is too large to be one");
        }

        if (!profile.IsEmpty)
        {
            heading.TakeProfile(profile, refusal);
        }

        if (heading.Model == ColorModel.Gray)
        {
            heading.Notes.Add("gray expanded to RGB");
        }

        heading.NoteConversion();
        var text = first.Bytes(Description).Span;
        if (text.Length is > 0 and <= LargestProvenance && first.Bytes(Software).Span.SequenceEqual("Recipes\0"u8))
        {
            heading.Provenance = Encoding.UTF8.GetString(text.TrimEnd((byte)0));
        }

        return heading;
    }

    private static void ReadPicture(TiffDirectory picture, Heading heading, Refusal refusal)
    {
        uint width = picture.Number(Columns, 0), height = picture.Number(Rows, 0);
        refusal.CheckSize(width, height);
        (heading.Width, heading.Height) = ((int)width, (int)height);

        uint samples = picture.Number(SamplesPerPixel, 1);
        if (samples is 0 or > 64)
        {
            throw refusal.Damaged("its number of channels is impossible");
        }

        var bits = picture.Numbers(Bits, 64);
        uint depth = bits.Length == 0 ? 1 : bits[0];
        if (bits.Any(each => each != depth))
        {
            throw refusal.Unsupported("a TIFF picture whose channels differ in depth");
        }

        var (colors, name) = Colors(picture, heading, depth, refusal);
        string packed = Packed(picture, depth, refusal);
        heading.IsPackedLoosely = packed is ", JPEG" or ", fax";
        CheckFormats(picture, heading, depth, refusal);
        CheckAlpha(picture, heading, samples, colors, refusal);
        bool apart = picture.Number(Planar, 1) == 2;
        if (apart && picture.Has(TileOffsets))
        {
            throw refusal.Unsupported("a TIFF picture in tiles with a plane for each channel");
        }

        uint planes = apart ? samples : 1;
        CheckData(picture, heading, planes, packed.Length == 0 && name != YCbCr ? samples / planes * depth : 0, refusal);
        heading.Mode = $"{Text(depth)}-bit {name}{(heading.Alpha == AlphaKind.None ? "" : " + alpha")}{packed}";
    }

    // How many channels have color, and what they are called.
    private static (int Colors, string Name) Colors(TiffDirectory picture, Heading heading, uint depth, Refusal refusal)
    {
        uint photometric = picture.Number(Photometric, uint.MaxValue);
        (heading.Model, int colors, string name) = photometric switch
        {
            0 or 1 when depth == 1 => (ColorModel.Gray, 1, "black and white"),
            0 or 1 => (ColorModel.Gray, 1, "gray"),
            2 => (ColorModel.Rgb, 3, "RGB"),
            3 => (ColorModel.Rgb, 1, "palette"),
            5 when picture.Number(InkSet, 1) == 1 => (ColorModel.Cmyk, 4, "CMYK"),
            5 => throw refusal.Unsupported("a TIFF picture of other inks than CMYK"),
            4 => throw refusal.Unsupported("a TIFF file that holds only a mask"),
            // Without JPEG around it the library takes it for RGB.
            6 when picture.Number(Compression, 1) == 7 => (ColorModel.Rgb, 3, YCbCr),
            6 => throw refusal.Unsupported("a TIFF picture in YCbCr without JPEG compression"),
            8 or 9 or 10 => throw refusal.Unsupported("a TIFF picture in L*a*b*"),
            32803 => throw refusal.Unsupported("a camera's raw TIFF file"),
            uint.MaxValue => throw refusal.Damaged("it doesn't say what its channels mean"),
            _ => throw refusal.Unsupported($"a TIFF picture of photometric interpretation {Text(photometric)}"),
        };
        heading.IsExpanded = name is "palette" or YCbCr;
        bool fits = name switch
        {
            "black and white" => true,
            "palette" => depth is 1 or 2 or 4 or 8,
            YCbCr => depth == 8,
            _ => depth is 8 or 16,
        };
        // A color map has three numbers for each index (section 5).
        if (fits && name == "palette" && picture.Numbers(ColorMap, 1024).Length != 3 << (int)depth)
        {
            throw refusal.Damaged("its color map is incomplete");
        }

        return fits ? (colors, name) : throw refusal.Unsupported($"a TIFF picture with {Text(depth)} bits per channel");
    }

    private static string Packed(TiffDirectory picture, uint depth, Refusal refusal)
    {
        uint compression = picture.Number(Compression, 1), photometric = picture.Number(Photometric, 0);
        return compression switch
        {
            1 => "",
            5 => ", LZW",
            8 or 32946 => ", deflate",
            32773 => ", PackBits",
            2 or 3 or 4 when depth == 1 => ", fax",
            2 or 3 or 4 => throw refusal.Unsupported("a fax-compressed TIFF picture that isn't black and white"),
            6 => throw refusal.Unsupported("a TIFF picture with the older kind of JPEG compression inside"),
            7 when depth == 8 && photometric is 0 or 1 or 2 or 6 => ", JPEG",
            7 => throw refusal.Unsupported("a TIFF picture of these colors with JPEG compression inside"),
            34712 => throw refusal.Unsupported("a TIFF picture with JPEG 2000 compression inside"),
            50000 => throw refusal.Unsupported("a TIFF picture with Zstandard compression"),
            50001 => throw refusal.Unsupported("a TIFF picture with WebP compression inside"),
            34887 => throw refusal.Unsupported("a TIFF picture with LERC compression"),
            _ => throw refusal.Unsupported($"a TIFF picture with compression {Text(compression)}"),
        };
    }

    private static void CheckFormats(TiffDirectory picture, Heading heading, uint depth, Refusal refusal)
    {
        var formats = picture.Numbers(SampleFormat, 64);
        // 4 says that the writer didn't know; it counts as if the field were absent (section 19), and the library is shown the default.
        for (int i = 0; i < formats.Length; i++)
        {
            if (formats[i] == 4)
            {
                heading.Shown.Add((picture.PlaceOf(SampleFormat, i), 1));
            }
        }

        if (formats.Any(format => format is not (1 or 4)))
        {
            throw refusal.Unsupported(formats.Contains(3u) ? $"a TIFF picture of {Text(depth)}-bit floating-point numbers"
                : "a TIFF picture of signed numbers");
        }

        heading.Depth = depth == 16 ? 16 : 8;
    }

    private static void CheckAlpha(TiffDirectory picture, Heading heading, uint samples, int colors, Refusal refusal)
    {
        var extra = picture.Numbers(ExtraSamples, 64);
        if (samples < colors)
        {
            throw refusal.Damaged("it has fewer channels than its colors need");
        }

        if (samples > colors && (heading.IsExpanded || picture.Number(Bits, 1) == 1))
        {
            throw refusal.Unsupported("a TIFF picture with a channel beside its palette, its YCbCr or its black and white", "Save it again as RGB.");
        }

        if (samples > colors + 1)
        {
            throw refusal.Unsupported($"a TIFF picture with {Text(samples - (uint)colors)} channels beside its colors",
                "Save it again without extra channels.");
        }

        if (samples == colors + 1)
        {
            heading.Alpha = extra is [var meaning, ..] ? meaning switch
            {
                1 => AlphaKind.Premultiplied,
                2 => AlphaKind.Straight,
                _ => throw Unspecified(refusal),
            } : throw Unspecified(refusal);
            if (heading.Alpha == AlphaKind.Premultiplied)
            {
                // The library would divide colors by their alpha and cut the result down, so that white under alpha 7 became 254. It
                // is told that they are straight.
                heading.Shown.Add((picture.PlaceOf(ExtraSamples, 0), 2));
            }
        }
    }

    // Without compression, the last number says how many bits a pixel of one piece takes, so that missing ones show; a row ends at a whole byte.
    private static void CheckData(TiffDirectory picture, Heading heading, uint planes, uint pixelBits, Refusal refusal)
    {
        bool tiled = picture.Has(TileOffsets);
        long width = heading.Width, height = heading.Height, across = 1, down, rows, pieceWidth = width;
        if (tiled)
        {
            pieceWidth = picture.Number(TileColumns, 0);
            rows = picture.Number(TileRows, 0);
            if (pieceWidth == 0 || rows == 0 || pieceWidth > 65536 || rows > 65536 || pieceWidth % 16 != 0 || rows % 16 != 0)
            {
                throw refusal.Damaged("its tiles have an impossible size");
            }

            across = (width + pieceWidth - 1) / pieceWidth;
        }
        else
        {
            rows = Math.Min(picture.Number(RowsPerStrip, uint.MaxValue), height);
            if (rows == 0)
            {
                throw refusal.Damaged("its strips have no rows");
            }
        }

        down = (height + rows - 1) / rows;
        long pieces = across * down * planes;
        // Every piece takes a few bytes of the file for its place and length.
        if (pieces > picture.FileLength)
        {
            throw CutShort(refusal);
        }

        uint[] offsets = picture.Numbers(tiled ? TileOffsets : StripOffsets, (int)pieces);
        uint[] counts = picture.Numbers(tiled ? TileCounts : StripCounts, (int)pieces);
        if (offsets.Length != pieces || counts.Length != pieces)
        {
            throw refusal.Damaged("the list of its pieces is incomplete");
        }

        for (int i = 0; i < pieces; i++)
        {
            if ((long)offsets[i] + counts[i] > picture.FileLength)
            {
                throw CutShort(refusal);
            }

            long pieceRows = tiled ? rows : Math.Min(rows, height - (i % down * rows));
            if (counts[i] == 0 || (pixelBits > 0 && counts[i] < ((pieceWidth * pixelBits) + 7) / 8 * pieceRows))
            {
                throw refusal.Damaged("a piece of its pixel data is too short");
            }
        }
    }

    // Later pictures may be small copies or masks (NewSubfileType, bits 0 and 2); anything else is a page.
    private static void CheckPages(ReadOnlyMemory<byte> file, Shape shape, TiffDirectory first, Heading heading, Refusal refusal)
    {
        int pages = 1, small = 0;
        var seen = new HashSet<ulong>();
        for (ulong next = first.Next; next != 0; pages++)
        {
            if (pages == MostPages || !seen.Add(next))
            {
                throw refusal.Damaged("its pages follow each other in a circle");
            }

            var page = new TiffDirectory(file, shape, next, refusal);
            small += (page.Number(NewSubfileType, 0) & 5) != 0 ? 1 : 0;
            next = page.Next;
        }

        if (pages > small + 1)
        {
            throw refusal.Unsupported($"a TIFF file of {Text((uint)(pages - small))} pages", "Export the page that is to be printed as a file of its own.");
        }

        if (small > 0)
        {
            heading.Notes.Add("small copies or masks in the file were left aside");
        }
    }

    private static Problems.ProblemException Unspecified(Refusal refusal) =>
        refusal.Unsupported("a TIFF picture with an extra channel that it doesn't call transparency",
            "Save it again with transparency, or without the extra channel.");

    private static Problems.ProblemException CutShort(Refusal refusal) => refusal.Damaged("it was cut short; parts of it lie behind its end");

    private static string Text(uint number) => number.ToString(CultureInfo.InvariantCulture);

    // Byte order, and whether places and counts have 8 bytes.
    private readonly record struct Shape(bool Little, bool Big)
    {
        public ushort Short(ReadOnlySpan<byte> bytes) => Little ? BinaryPrimitives.ReadUInt16LittleEndian(bytes) : BinaryPrimitives.ReadUInt16BigEndian(bytes);

        public uint Word(ReadOnlySpan<byte> bytes) => Little ? BinaryPrimitives.ReadUInt32LittleEndian(bytes) : BinaryPrimitives.ReadUInt32BigEndian(bytes);

        public ulong Long(ReadOnlySpan<byte> bytes) => Little ? BinaryPrimitives.ReadUInt64LittleEndian(bytes) : BinaryPrimitives.ReadUInt64BigEndian(bytes);
    }

    // One directory: how many entries (tag, type, count, value or its place), then the place of the next directory.
    private sealed class TiffDirectory
    {
        private readonly ReadOnlyMemory<byte> file;
        private readonly Shape shape;
        private readonly Dictionary<int, int> entries = [];
        private readonly Refusal refusal;

        public TiffDirectory(ReadOnlyMemory<byte> file, Shape shape, ulong at, Refusal refusal)
        {
            (this.file, this.shape, this.refusal) = (file, shape, refusal);
            int head = shape.Big ? 8 : 2, length = shape.Big ? 20 : 12;
            if (at < 8 || at > (ulong)(file.Length - head))
            {
                throw CutShort(refusal);
            }

            ulong count = shape.Big ? shape.Long(file.Span[(int)at..]) : Short((int)at);
            if (count is 0 or > MostEntries)
            {
                throw refusal.Damaged("one of its directories is malformed");
            }

            long end = (long)at + head + (length * (long)count);
            if (end + Wide > file.Length)
            {
                throw CutShort(refusal);
            }

            for (int i = 0; i < (int)count; i++)
            {
                int entry = (int)at + head + (length * i);
                if (!entries.TryAdd(Short(entry), entry))
                {
                    throw refusal.Damaged("one of its directories names a field twice");
                }
            }

            Next = Count((int)end);
        }

        public ulong Next { get; }

        public int FileLength => file.Length;

        // The bytes of a count and of a place.
        private int Wide => shape.Big ? 8 : 4;

        public bool Has(int tag) => entries.ContainsKey(tag);

        public uint Number(int tag, uint otherwise) => Numbers(tag, 1) is [var only, ..] ? only : otherwise;

        /// <summary>The numbers of a field, at most so many; empty where it is absent.</summary>
        public uint[] Numbers(int tag, int most)
        {
            if (!entries.TryGetValue(tag, out int entry))
            {
                return [];
            }

            int size = SizeOf(entry);
            var data = Data(entry, size).Span;
            var numbers = new uint[Math.Min(most, data.Length / size)];
            for (int i = 0; i < numbers.Length; i++)
            {
                var value = data.Slice(i * size, size);
                numbers[i] = size switch
                {
                    1 => value[0],
                    2 => shape.Short(value),
                    4 => shape.Word(value),
                    // No file is as long as that.
                    _ => (uint)Math.Min(shape.Long(value), uint.MaxValue),
                };
            }

            return numbers;
        }

        /// <summary>Where the lowest byte of a number of a field lies, which <see cref="Numbers"/> has given.</summary>
        public int PlaceOf(int tag, int index)
        {
            int entry = entries[tag], size = SizeOf(entry);
            return (int)Place(entry, size) + (index * size) + (shape.Little ? 0 : size - 1);
        }

        /// <summary>The bytes of a field of bytes, text or undefined data; empty where it is absent.</summary>
        public ReadOnlyMemory<byte> Bytes(int tag) => entries.TryGetValue(tag, out int entry) && Short(entry + 2) is 1 or 2 or 7 ? Data(entry, 1) : default;

        /// <summary>What the classic directory's fields of these names say in EXIF, which has no form with places of 8 bytes.</summary>
        public ExifData Exif() => new()
        {
            Orientation = Number(Orientation, 1) is var way and >= 1 and <= 8 ? (int)way : 1,
            PixelsPerInch = Number(Unit, 2) switch
            {
                2 => Ratio(Resolution),
                3 => Ratio(Resolution) * 2.54,
                _ => null,
            },
        };

        // Type 5 RATIONAL: two words.
        private double? Ratio(int tag) =>
            entries.TryGetValue(tag, out int entry) && Short(entry + 2) == 5 && Data(entry, 8).Span is { Length: 8 } both
                && shape.Word(both) is not 0 and var above && shape.Word(both[4..]) is not 0 and var below ? (double)above / below : null;

        // Types 1 BYTE, 3 SHORT, 4 LONG: each may hold any unsigned number (section 2); 16 LONG8 of BigTIFF.
        private int SizeOf(int entry) => Short(entry + 2) switch
        {
            1 => 1,
            3 => 2,
            4 => 4,
            16 when shape.Big => 8,
            _ => throw refusal.Damaged($"its field {Text(Short(entry))} is of the wrong type"),
        };

        // What fits into the room for the place lies there itself.
        private ulong Place(int entry, int size) =>
            Count(entry + 4) <= (ulong)(Wide / size) ? (ulong)(entry + 4 + Wide) : Count(entry + 4 + Wide);

        private ReadOnlyMemory<byte> Data(int entry, int size)
        {
            ulong count = Count(entry + 4), at = Place(entry, size), length = (ulong)file.Length;
            return at <= length && count <= (length - at) / (ulong)size ? file.Slice((int)at, (int)count * size) : throw CutShort(refusal);
        }

        private ulong Count(int at) => shape.Big ? shape.Long(file.Span[at..]) : shape.Word(file.Span[at..]);

        private ushort Short(int at) => shape.Short(file.Span[at..]);
    }
}
