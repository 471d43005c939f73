using System.Buffers.Binary;
using Recipes.Problems;

namespace Recipes.Decoders;

/// <summary>The marker segments of a JPEG file, checked up to its end marker; no entropy-coded byte is decoded.</summary>
/// <remarks>ITU-T T.81 for the markers, T.871 for JFIF, ICC.1 Annex B.4 for the profile's pieces.</remarks>
internal sealed class JpegStructure(Refusal refusal)
{
    private const byte StartOfScan = 0xDA, EndOfImage = 0xD9, StartOfImage = 0xD8;

    private readonly Heading heading = new() { Format = "JPEG", NeedsLibrary = true };
    private readonly SortedDictionary<int, byte[]> profile = [];
    private int components, scans, adobeTransform = -1, profilePieces = -1;

    public static Heading Read(ReadOnlySpan<byte> file, Refusal refusal)
    {
        var jpeg = new JpegStructure(refusal);
        jpeg.ReadSegments(file);
        jpeg.Describe();
        return jpeg.heading;
    }

    private void ReadSegments(ReadOnlySpan<byte> file)
    {
        for (int at = 2; NextMarker(file, ref at) is var marker && marker != EndOfImage;)
        {
            // Markers without a segment: restarts between scans, TEM.
            if (marker is (>= 0xD0 and <= 0xD7) or 0x01)
            {
                continue;
            }

            if (marker == StartOfImage || file.Length - at < 2)
            {
                throw marker == StartOfImage ? refusal.Damaged("a second picture begins inside it") : CutShort();
            }

            int length = BinaryPrimitives.ReadUInt16BigEndian(file[at..]);
            if (length < 2)
            {
                throw refusal.Damaged("a segment has an impossible length");
            }

            if (length > file.Length - at)
            {
                throw CutShort();
            }

            Take(marker, file.Slice(at + 2, length - 2), at + 2);
            at += length;
        }
    }

    private void Take(byte marker, ReadOnlySpan<byte> data, int place)
    {
        switch (marker)
        {
            case 0xC0 or 0xC1 or 0xC2:
                if (components != 0)
                {
                    throw refusal.Damaged("it has two frame headers");
                }

                components = ReadFrame(data);
                heading.Mode = components switch { 1 => "8-bit gray", 4 => "8-bit CMYK", _ => "8-bit RGB" } + (marker == 0xC2 ? ", progressive" : "");
                break;
            case 0xC3 or 0xC5 or 0xC6 or 0xC7 or 0xDE or 0xDF:
                throw refusal.Unsupported(marker == 0xC3 ? "a lossless JPEG picture" : "a hierarchical JPEG picture");
            case >= 0xC9 and <= 0xCF and not 0xCC:
                throw refusal.Unsupported("a JPEG picture with arithmetic coding");
            case StartOfScan when components == 0:
                throw refusal.Damaged("its pixel data comes before its frame header");
            case StartOfScan:
                scans++;
                break;
            case 0xE0 when data.Length >= 12 && data.StartsWith("JFIF\0"u8):
                if (data[5] != 1)
                {
                    // T.871 knows one major version, and what another one would change concerns no pixel; the library takes it for damage.
                    heading.Shown.Add((place + 5, 1));
                }

                // Units: 1 dots per inch, 2 dots per centimeter, 0 an aspect ratio only.
                int density = BinaryPrimitives.ReadUInt16BigEndian(data[8..]);
                heading.PixelsPerInch ??= density == 0 ? null : data[7] switch { 1 => density, 2 => density * 2.54, _ => null };
                break;
            case 0xE1 when data.StartsWith("Exif\0\0"u8):
                heading.TakeExif(data);
                break;
            case 0xE2 when data.Length >= 14 && data.StartsWith("ICC_PROFILE\0"u8):
                profilePieces = data[13];
                if (!profile.TryAdd(data[12], data[14..].ToArray()))
                {
                    throw refusal.Foreign("its color profile is damaged");
                }

                break;
            case 0xEE when data.Length >= 12 && data.StartsWith("Adobe"u8):
                adobeTransform = data[11];
                break;
        }
    }

    private void Describe()
    {
        if (scans == 0)
        {
            throw refusal.Damaged("it holds no pixel data");
        }

        heading.Model = components switch { 1 => ColorModel.Gray, 4 => ColorModel.Cmyk, _ => ColorModel.Rgb };
        if (components == 4 && adobeTransform == 2)
        {
            heading.Mode += ", stored as YCCK";
        }

        if (profilePieces >= 0)
        {
            // Pieces are numbered from 1 without gaps.
            if (profile.Count != profilePieces || profile.Keys.First() != 1 || profile.Keys.Last() != profilePieces)
            {
                throw refusal.Foreign("its color profile is damaged");
            }

            heading.TakeProfile(profile.Values.SelectMany(piece => piece).ToArray(), refusal);
        }

        heading.NoteConversion();
        if (components == 1)
        {
            heading.Notes.Add("gray expanded to RGB");
        }
    }

    // Returns the marker and moves behind it. Inside a scan, anything up to the next true marker is entropy-coded data.
    private byte NextMarker(ReadOnlySpan<byte> file, ref int at)
    {
        while (true)
        {
            int next = at < file.Length ? file[at..].IndexOf((byte)0xFF) : -1;
            if (next < 0)
            {
                throw CutShort();
            }

            if (next > 0 && scans == 0)
            {
                throw refusal.Damaged("there is stray data between its segments");
            }

            at += next;
            // Any number of FF may fill the space before a marker (T.81 B.1.1.2).
            int code = file[at..].IndexOfAnyExcept((byte)0xFF);
            if (code < 0)
            {
                throw CutShort();
            }

            at += code + 1;
            byte marker = file[at - 1];
            if (marker != 0)
            {
                return marker;
            }

            if (scans == 0)
            {
                throw refusal.Damaged("there is stray data between its segments");
            }
        }
    }

    // Returns the number of components: 1, 3 or 4.
    private int ReadFrame(ReadOnlySpan<byte> data)
    {
        if (data.Length < 6 || data.Length != 6 + (3 * data[5]))
        {
            throw refusal.Damaged("its frame header is malformed");
        }

        if (data[0] != 8)
        {
            throw refusal.Unsupported($"a JPEG picture with {data[0]} bits per channel");
        }

        heading.Height = BinaryPrimitives.ReadUInt16BigEndian(data[1..]);
        heading.Width = BinaryPrimitives.ReadUInt16BigEndian(data[3..]);
        refusal.CheckSize(heading.Width, heading.Height);
        return data[5] is 1 or 3 or 4 ? data[5] : throw refusal.Unsupported($"a JPEG picture with {data[5]} channels");
    }

    private ProblemException CutShort() => refusal.Damaged("it was cut short; its end marker is missing");
}
