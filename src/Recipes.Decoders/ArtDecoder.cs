using System.Globalization;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Decoders;

/// <summary>Turns a customer's file into pixels, or says plainly why not. For use inside a confined worker process only.</summary>
/// <remarks>
/// A structure reader of our own judges the whole file before any pixel is decoded: format by content, size, color, wholeness.
/// Decoding time is not limited here; the host ends a worker that takes too long.
/// </remarks>
public static class ArtDecoder
{
    /// <summary>Decodes a PNG, JPEG, WebP, TIFF or OpenRaster file, and converts it to 8-bit sRGB where it is something else.</summary>
    /// <param name="file">The whole file.</param>
    /// <param name="name">The file's name as the user knows it, for messages only; the format is judged by content.</param>
    /// <exception cref="ProblemException">
    /// <see cref="Codes.NotAPicture"/>, <see cref="Codes.DamagedPicture"/>, <see cref="Codes.UnsupportedPicture"/>,
    /// <see cref="Codes.PictureSize"/> (over 30,000 px a side or 200 megapixels, or no pixels) or <see cref="Codes.ForeignProfile"/>.
    /// </exception>
    public static DecodedArt Decode(ReadOnlyMemory<byte> file, string name) => Read(file, name, plainOnly: false)!;

    /// <summary>
    /// Decodes what needs no conversion, without loading the library that converts; null where the file is sound as far as its
    /// structure shows and needs <see cref="Decode"/>.
    /// </summary>
    /// <inheritdoc cref="Decode"/>
    public static DecodedArt? DecodePlain(ReadOnlyMemory<byte> file, string name) => Read(file, name, plainOnly: true);

    /// <summary>Loads what <see cref="Decode"/> may need beyond <see cref="DecodePlain"/>; nothing is opened after that.</summary>
    public static void PrepareConversion() => ConvertedPixels.Prepare();

    private static DecodedArt? Read(ReadOnlyMemory<byte> file, string name, bool plainOnly)
    {
        ArgumentNullException.ThrowIfNull(name);
        var refusal = new Refusal(name);
        Heading heading;
        Func<Plane<Rgba8>> plain;
        switch (FileKind.Recognize(file.Span, refusal))
        {
            case FileFormat.Png:
                var png = PngStructure.Read(file, refusal);
                (heading, plain) = (png.Heading, () => PngPixels.Decode(png, refusal));
                break;
            case FileFormat.Jpeg:
                heading = JpegStructure.Read(file.Span, refusal);
                plain = () => ConvertedPixels.Decode(file, heading, refusal);
                break;
            case FileFormat.Webp:
                heading = WebpStructure.Read(file.Span, refusal);
                plain = () => WebpPixels.Decode(file.Span, heading, refusal);
                break;
            case FileFormat.Tiff:
                heading = TiffStructure.Read(file, refusal);
                plain = () => ConvertedPixels.Decode(file, heading, refusal);
                break;
            default:
                return OpenRasterFile.Read(file, refusal, plainOnly);
        }

        CheckExifColor(heading, refusal);
        return !heading.NeedsConversion ? Finish(heading, plain())
            : plainOnly ? null
            : Finish(heading, ConvertedPixels.Decode(file, heading, refusal));
    }

    // Cameras say their color space in EXIF alone; a profile or color chunk outranks it.
    private static void CheckExifColor(Heading heading, Refusal refusal)
    {
        if (heading.StatesColor || heading.Exif is not { } exif)
        {
            return;
        }

        if (exif.IsWideCameraSpace || exif.ColorSpace == 2)
        {
            throw refusal.Foreign("its EXIF data names Adobe RGB");
        }

        if (exif.ColorSpace is not (null or 1))
        {
            heading.Notes.Add("its EXIF data calls its colors uncalibrated and it carries no profile; taken for sRGB");
        }
    }

    private static DecodedArt Finish(Heading heading, Plane<Rgba8> stored)
    {
        int orientation = heading.Exif?.Orientation ?? 1;
        if (orientation != 1)
        {
            heading.Notes.Add($"turned upright as its EXIF orientation {orientation} says");
        }

        double? ppi = (heading.PixelsPerInch ?? heading.Exif?.PixelsPerInch) is { } stated ? Math.Round(stated, 2, MidpointRounding.AwayFromZero) : null;
        if (ppi is { } read && !Artwork.IsResolution(read))
        {
            heading.Notes.Add(string.Create(CultureInfo.InvariantCulture,
                $"it states {ppi:0.##} pixels per inch, which nobody can have meant; taken for none"));
            ppi = null;
        }

        return new DecodedArt(heading.Format, heading.Mode, heading.Notes, Artwork.FromPixels(Upright.Turn(stored, orientation), ppi), heading.Provenance);
    }
}
