using System.Text;
using Recipes.Problems;

namespace Recipes.Decoders;

/// <summary>The formats that are decoded.</summary>
internal enum FileFormat
{
    Png,
    Jpeg,
    Webp,
    Tiff,
    OpenRaster,
}

/// <summary>Tells what a file is by its first bytes, never by its name.</summary>
internal static class FileKind
{
    // Leading bytes of known kinds, from their specifications and the IANA media type registrations.
    private static readonly (byte[] Magic, string What)[] Unsupported =
    [
        ("GIF8"u8.ToArray(), "a GIF picture"),
        ("%PDF"u8.ToArray(), "a PDF document"),
        ("%!PS"u8.ToArray(), "a PostScript document"),
        ([0xC5, 0xD0, 0xD3, 0xC6], "a PostScript document"),
        ("8BPS"u8.ToArray(), "a layered image file"),
        ([0x67, 0x69, 0x6D, 0x70, 0x20, 0x78, 0x63, 0x66], "a layered image file"),
        ([0, 0, 1, 0], "an icon file"),
        ([0, 0, 0, 12, (byte)'j', (byte)'P'], "a JPEG 2000 picture"),
        ([0, 0, 0, 12, (byte)'J', (byte)'X', (byte)'L'], "a JPEG XL picture"),
        ([0xFF, 0x0A], "a JPEG XL picture"),
        ([0x8A, (byte)'M', (byte)'N', (byte)'G'], "an animated picture (MNG)"),
        ([0x8B, (byte)'J', (byte)'N', (byte)'G'], "a JNG picture"),
        ("qoif"u8.ToArray(), "a QOI picture"),
    ];

    public static FileFormat Recognize(ReadOnlySpan<byte> file, Refusal refusal)
    {
        if (file.IsEmpty)
        {
            throw refusal.NotAPicture("is empty");
        }

        if (file.StartsWith(PngStructure.Signature))
        {
            return FileFormat.Png;
        }

        if (file.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF]))
        {
            return FileFormat.Jpeg;
        }

        // The latter are BigTIFF's.
        if (file.StartsWith("II*\0"u8) || file.StartsWith("MM\0*"u8) || file.StartsWith("II+\0"u8) || file.StartsWith("MM\0+"u8))
        {
            return FileFormat.Tiff;
        }

        if (file.Length >= 12 && file.StartsWith("RIFF"u8))
        {
            return file[8..12].SequenceEqual("WEBP"u8) ? FileFormat.Webp : throw refusal.NotAPicture("is a sound or video file, not a picture");
        }

        // ISO base media: a length, then "ftyp" and a brand.
        if (file.Length >= 12 && file[4..8].SequenceEqual("ftyp"u8))
        {
            throw Encoding.ASCII.GetString(file[8..12]) switch
            {
                "heic" or "heix" or "hevc" or "hevx" or "heim" or "heis" or "mif1" or "msf1" => refusal.Unsupported("an HEIC picture"),
                "avif" or "avis" => refusal.Unsupported("an AVIF picture"),
                _ => refusal.NotAPicture("is a video file, not a picture"),
            };
        }

        if (file.StartsWith("PK\u0003\u0004"u8))
        {
            // OpenRaster: the first entry of the archive is a stored "mimetype", so its content follows the 30-byte header and the name.
            return file.Length >= 54 && file[38..54].SequenceEqual("image/openraster"u8)
                ? FileFormat.OpenRaster
                : throw refusal.NotAPicture("is a zip archive, not a picture");
        }

        throw Other(file, refusal);
    }

    private static ProblemException Other(ReadOnlySpan<byte> file, Refusal refusal)
    {
        // Two letters are little to go by; the four reserved bytes behind the length are 0.
        if (file.Length >= 26 && file.StartsWith("BM"u8) && !file[6..10].ContainsAnyExcept((byte)0))
        {
            return refusal.Unsupported("a BMP picture");
        }

        foreach (var (magic, what) in Unsupported)
        {
            if (file.StartsWith(magic))
            {
                return refusal.Unsupported(what);
            }
        }

        var head = file[..Math.Min(file.Length, 1024)];
        return !IsText(head) ? refusal.NotAPicture("is not a picture of a known format")
            : head.IndexOf("<svg"u8) >= 0 ? refusal.Unsupported("an SVG drawing")
            : refusal.NotAPicture("is text, not a picture");
    }

    // UTF-8 or a single-byte code, or UTF-16 with its mark: no control characters but tab, line ends and form feed.
    private static bool IsText(ReadOnlySpan<byte> head)
    {
        if (head.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE]) || head.StartsWith((ReadOnlySpan<byte>)[0xFE, 0xFF]))
        {
            return true;
        }

        foreach (byte b in head)
        {
            if (b < 0x20 && b is not (0x09 or 0x0A or 0x0C or 0x0D))
            {
                return false;
            }
        }

        return true;
    }
}
