using System.Buffers.Binary;
using System.Globalization;
using System.IO.Compression;
using System.Text;
using Recipes.Codecs;

namespace Recipes.Decoders;

/// <summary>The chunks of a PNG file, checked: every length, every CRC, order, size, color.</summary>
/// <remarks>W3C Portable Network Graphics, 3rd edition. Color chunks count in its order of precedence: cICP, iCCP, sRGB, gAMA with cHRM.</remarks>
internal sealed class PngStructure
{
    public const byte Gray = 0, Rgb = 2, Indexed = 3, GrayAlpha = 4, Rgba = 6;

    private const int LargestProfile = 8 << 20, LargestProvenance = 64 << 10;
    private const string ProvenanceKeyword = "Recipes";
    private const double MetersPerInch = 0.0254;

    // What a writer of sRGB states for readers that don't know its chunk (11.3.2.5), within 1% and 0.005: that is sRGB itself, not the
    // pure power 2.2, which is up to 8 levels off in the darkest tones.
    private const double SrgbGamma = 0.45455, GammaTolerance = 0.00455, ChromaticityTolerance = 0.005, LargestGamma = 10;

    private readonly Dictionary<string, ReadOnlyMemory<byte>> first = [];

    public static ReadOnlySpan<byte> Signature => [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A];

    public Heading Heading { get; } = new() { Format = "PNG" };

    public int BitDepth { get; private set; }

    public byte ColorType { get; private set; }

    public int Channels => ColorType switch { Rgb => 3, GrayAlpha => 2, Rgba => 4, _ => 1 };

    /// <summary>Entries of three bytes; empty where there is none.</summary>
    public ReadOnlyMemory<byte> Palette { get; private set; }

    /// <summary>The tRNS chunk's data; empty where there is none.</summary>
    public ReadOnlyMemory<byte> Transparency { get; private set; }

    /// <summary>The deflated pixels, in pieces.</summary>
    public List<ReadOnlyMemory<byte>> Data { get; } = [];

    public static PngStructure Read(ReadOnlyMemory<byte> file, Refusal refusal)
    {
        var png = new PngStructure();
        png.ReadChunks(file, refusal);
        png.CheckColor(refusal);
        png.Describe();
        return png;
    }

    private void ReadChunks(ReadOnlyMemory<byte> file, Refusal refusal)
    {
        bool dataEnded = false;
        for (int at = Signature.Length; ;)
        {
            if (file.Length - at < 12)
            {
                throw refusal.Damaged("it was cut short; its end chunk is missing");
            }

            uint length = BinaryPrimitives.ReadUInt32BigEndian(file.Span[at..]);
            if (length > file.Length - at - 12)
            {
                throw refusal.Damaged("it was cut short inside a chunk");
            }

            var type = file.Slice(at + 4, 4);
            var data = file.Slice(at + 8, (int)length);
            string name = Encoding.Latin1.GetString(type.Span);
            if (name.Any(c => !char.IsAsciiLetter(c)))
            {
                throw refusal.Damaged("it holds a chunk without a valid name");
            }

            if (PngCrc.Of(type.Span, data.Span) != BinaryPrimitives.ReadUInt32BigEndian(file.Span[(at + 8 + (int)length)..]))
            {
                throw refusal.Damaged($"the checksum of its {name} chunk is wrong");
            }

            if (BitDepth == 0 && name != "IHDR")
            {
                throw refusal.Damaged("its header chunk is not the first");
            }

            dataEnded |= Data.Count > 0 && name != "IDAT";
            if (dataEnded && name == "IDAT")
            {
                throw refusal.Damaged("its pixel data is not in one piece");
            }

            if (name == "IEND")
            {
                CheckWhole(refusal);
                return;
            }

            Take(name, data, refusal);
            at += 12 + (int)length;
        }
    }

    private void Take(string name, ReadOnlyMemory<byte> data, Refusal refusal)
    {
        switch (name)
        {
            case "IHDR":
                ReadHeader(data.Span, refusal);
                break;
            case "PLTE":
                ReadPalette(data, refusal);
                break;
            case "tRNS":
                ReadTransparency(data, refusal);
                break;
            case "IDAT":
                Data.Add(data);
                break;
            case "acTL":
                throw refusal.Unsupported("an animated PNG picture", "Export one frame of it as an 8-bit sRGB PNG file.");
            case "iTXt":
                ReadText(data);
                break;
            // 5.4: an upper-case first letter marks a chunk without which the picture can't be shown.
            case var _ when char.IsAsciiLetterUpper(name[0]):
                throw refusal.Unsupported($"a PNG picture with the unknown chunk {name}");
            default:
                first.TryAdd(name, data);
                break;
        }
    }

    private void ReadHeader(ReadOnlySpan<byte> data, Refusal refusal)
    {
        if (BitDepth != 0 || data.Length != 13)
        {
            throw refusal.Damaged("its header chunk is malformed");
        }

        uint width = BinaryPrimitives.ReadUInt32BigEndian(data), height = BinaryPrimitives.ReadUInt32BigEndian(data[4..]);
        refusal.CheckSize(width, height);
        Heading.Width = (int)width;
        Heading.Height = (int)height;

        (BitDepth, ColorType) = (data[8], data[9]);
        bool allowed = ColorType switch
        {
            Gray => BitDepth is 1 or 2 or 4 or 8 or 16,
            Indexed => BitDepth is 1 or 2 or 4 or 8,
            Rgb or GrayAlpha or Rgba => BitDepth is 8 or 16,
            _ => false,
        };
        if (!allowed || data[10] != 0 || data[11] != 0 || data[12] > 1)
        {
            throw refusal.Damaged("its header names a pixel format that doesn't exist");
        }

        // Decoding fewer bits, the library expands them; it turns a palette into RGB.
        Heading.Depth = Math.Max(8, BitDepth);
        Heading.Model = ColorType is Gray or GrayAlpha ? ColorModel.Gray : ColorModel.Rgb;
        Heading.NeedsLibrary = data[12] == 1;
    }

    private void ReadPalette(ReadOnlyMemory<byte> data, Refusal refusal)
    {
        if (!Palette.IsEmpty || Data.Count > 0 || data.IsEmpty || data.Length % 3 != 0 || data.Length > 3 * 256
            || ColorType is Gray or GrayAlpha || (ColorType == Indexed && data.Length > 3 << BitDepth))
        {
            throw refusal.Damaged("its palette is malformed");
        }

        Palette = data;
    }

    private void ReadTransparency(ReadOnlyMemory<byte> data, Refusal refusal)
    {
        bool fits = ColorType switch
        {
            Gray => data.Length == 2,
            Rgb => data.Length == 6,
            Indexed => data.Length >= 1 && data.Length <= Palette.Length / 3,
            _ => false,
        };
        if (!fits || !Transparency.IsEmpty || Data.Count > 0)
        {
            throw refusal.Damaged("its transparency chunk is malformed");
        }

        Transparency = data;
    }

    private void CheckWhole(Refusal refusal)
    {
        if (Data.Count == 0)
        {
            throw refusal.Damaged("it holds no pixel data");
        }

        if (ColorType == Indexed && Palette.IsEmpty)
        {
            throw refusal.Damaged("its palette is missing");
        }
    }

    private void CheckColor(Refusal refusal)
    {
        if (first.TryGetValue("cICP", out var codes))
        {
            ReadCodePoints(codes.Span, refusal);
            Heading.StatesColor = true;
        }
        else if (first.TryGetValue("iCCP", out var compressed))
        {
            int end = compressed.Span.IndexOf((byte)0);
            byte[] profile = end is >= 1 and <= 79 && end + 2 <= compressed.Length && compressed.Span[end + 1] == 0
                ? Inflate(compressed[(end + 2)..], LargestProfile) ?? throw refusal.Foreign("its color profile is damaged or too large to be one")
                : throw refusal.Foreign("its color profile is damaged");
            Heading.TakeProfile(profile, refusal);
        }
        else if (first.ContainsKey("sRGB"))
        {
            Heading.StatesColor = true;
        }
        else
        {
            ReadGammaAndChromaticities(refusal);
        }
    }

    // ITU-T H.273: primaries 1 (BT.709) or 12 (Display P3), transfer 13 (IEC 61966-2-1); of RGB the matrix is 0 (11.3.2.6). Full range.
    private void ReadCodePoints(ReadOnlySpan<byte> codes, Refusal refusal)
    {
        switch (codes)
        {
            case [1, 13, 0, 1]:
                break;
            case [12, 13, 0, 1] when Heading.Model == ColorModel.Rgb:
                Heading.ConvertFrom(StatedColors.Rgb(StatedColors.DisplayP3, IccFile.SrgbCurve)!, "its cICP chunk says Display P3");
                break;
            case [12, 13, 0, 1]:
                // Gray has no primaries, and the curve is sRGB's.
                break;
            case [_, 16 or 18, _, _]:
                throw refusal.Foreign($"its cICP chunk says high dynamic range ({(codes[1] == 16 ? "PQ" : "HLG")}), which no print has");
            case { Length: 4 }:
                throw refusal.Foreign($"its cICP chunk names another color space ({string.Join(", ", codes.ToArray())})");
            default:
                throw refusal.Foreign("its cICP chunk is damaged");
        }
    }

    // 11.3.2.1 and 11.3.2.2: numbers times 100,000. What is not stated is taken for sRGB's.
    private void ReadGammaAndChromaticities(Refusal refusal)
    {
        double? gamma = null;
        if (first.TryGetValue("gAMA", out var gammaData))
        {
            gamma = gammaData.Length == 4 ? Stated(gammaData.Span) : 0;
            if (gamma is < 1 / LargestGamma or > LargestGamma)
            {
                throw refusal.Foreign("its gAMA chunk states an impossible gamma");
            }
        }

        double[]? chromaticities = null;
        if (first.TryGetValue("cHRM", out var data))
        {
            chromaticities = data.Length == 32 ? [.. Enumerable.Range(0, 8).Select(i => Stated(data.Span[(4 * i)..]))] : [];
            if (StatedColors.Rgb(chromaticities, IccFile.SrgbCurve) is null)
            {
                throw refusal.Foreign("its cHRM chunk states impossible primaries");
            }
        }

        Heading.StatesColor |= gamma is not null || chromaticities is not null;
        bool ownCurve = gamma is { } stated && Math.Round(Math.Abs(stated - SrgbGamma), 6) > GammaTolerance;
        // Gray has no primaries, and its white is the paper's.
        bool ownColors = Heading.Model == ColorModel.Rgb && chromaticities is not null
            && chromaticities.Zip(StatedColors.Srgb).Any(pair => Math.Round(Math.Abs(pair.First - pair.Second), 6) > ChromaticityTolerance);
        if (!ownCurve && !ownColors)
        {
            return;
        }

        Heading.Exponent = 1 / gamma;
        string power = gamma is { } said ? $"gamma {(1 / said).ToString("0.##", CultureInfo.InvariantCulture)}" : "";
        string what = !ownColors ? $"its gAMA chunk states {power}"
            : gamma is null ? "its cHRM chunk states other primaries or another white than sRGB's"
            : $"its gAMA and cHRM chunks state {power} and other primaries or another white than sRGB's";
        Heading.ConvertFrom(ownColors ? StatedColors.Rgb(chromaticities!, IccFile.SrgbCurve) : null, what);

        static double Stated(ReadOnlySpan<byte> number) => BinaryPrimitives.ReadUInt32BigEndian(number) / 100_000.0;
    }

    private void Describe()
    {
        bool key = !Transparency.IsEmpty;
        (Heading.Mode, string? note) = ColorType switch
        {
            Gray => ($"{BitDepth}-bit gray" + (key ? " with a transparent value" : ""), "gray expanded to RGB"),
            Rgb => ($"{BitDepth}-bit RGB" + (key ? " with a transparent color" : ""), null),
            Indexed => ($"{BitDepth}-bit palette" + (key ? " with transparency" : ""), "palette expanded to RGB"),
            GrayAlpha => ($"{BitDepth}-bit gray + alpha", "gray expanded to RGB"),
            _ => ($"{BitDepth}-bit RGBA", null),
        };
        Heading.Mode += Heading.NeedsLibrary ? ", interlaced" : "";
        Heading.Alpha = key || ColorType is GrayAlpha or Rgba ? AlphaKind.Straight : AlphaKind.None;
        Heading.NoteConversion();
        if (note is not null)
        {
            Heading.Notes.Add(note);
        }

        if (key)
        {
            Heading.Notes.Add(ColorType == Indexed ? "the palette's transparency turned into alpha" : "the transparent color turned into alpha");
        }

        if (first.TryGetValue("pHYs", out var physical) && physical.Length == 9 && physical.Span[8] == 1)
        {
            uint x = BinaryPrimitives.ReadUInt32BigEndian(physical.Span), y = BinaryPrimitives.ReadUInt32BigEndian(physical.Span[4..]);
            Heading.PixelsPerInch = x == 0 ? null : x * MetersPerInch;
            if (x != y)
            {
                Heading.Notes.Add("it states different resolutions across and down; the one across was taken");
            }
        }

        if (first.TryGetValue("eXIf", out var exif))
        {
            Heading.TakeExif(exif.Span);
        }
    }

    // 11.3.3.4: keyword, null, compression flag and method, language, null, translated keyword, null, text.
    private void ReadText(ReadOnlyMemory<byte> data)
    {
        int end = data.Span.IndexOf((byte)0);
        if (Heading.Provenance is not null || end < 0 || end + 3 > data.Length || !data.Span[..end].SequenceEqual(Encoding.ASCII.GetBytes(ProvenanceKeyword)))
        {
            return;
        }

        bool compressed = data.Span[end + 1] != 0;
        var rest = data[(end + 3)..];
        for (int i = 0; i < 2; i++)
        {
            int next = rest.Span.IndexOf((byte)0);
            if (next < 0)
            {
                return;
            }

            rest = rest[(next + 1)..];
        }

        if (compressed)
        {
            // A null array would turn into empty memory, so it is told apart here.
            if (Inflate(rest, LargestProvenance) is not { } inflated)
            {
                return;
            }

            rest = inflated;
        }

        if (rest.Length <= LargestProvenance)
        {
            Heading.Provenance = Encoding.UTF8.GetString(rest.Span);
        }
    }

    // Null where the data is damaged or grows beyond the cap.
    private static byte[]? Inflate(ReadOnlyMemory<byte> compressed, int cap)
    {
        try
        {
            using var inflate = new ZLibStream(new PieceStream([compressed]), CompressionMode.Decompress);
            using var whole = new MemoryStream();
            byte[] buffer = new byte[8192];
            for (int read; (read = inflate.Read(buffer)) > 0;)
            {
                whole.Write(buffer, 0, read);
                if (whole.Length > cap)
                {
                    return null;
                }
            }

            return whole.ToArray();
        }
        catch (Exception e) when (e is InvalidDataException or IOException)
        {
            return null;
        }
    }
}
