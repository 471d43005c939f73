using System.Globalization;
using Recipes.Imaging;

namespace Recipes.Codecs.Tests;

/// <summary>JPEG and WebP pixels beside SkiaSharp's and NetVips'.</summary>
public class DecodeLossyTests
{
    // SkiaSharp's is a libjpeg-turbo of its own: accurate transform, fancy upsampling. DecodeJpegTests has the bounds' reason, and djpeg.
    [Theory]
    [InlineData(75, false)]
    [InlineData(90, false)]
    [InlineData(100, false)]
    [InlineData(75, true)]
    [InlineData(95, true)]
    public void A_JPEG_file_comes_as_SkiaSharp_shows_it(int quality, bool halved)
    {
        Oracle.Require();
        byte[] file = Oracle.Jpeg(203, 141, Oracle.Puffin, quality, halved);
        Near(Oracle.Bytes(Oracle.Decode(file).Pixels), Oracle.Skia(file), 0.1, 3);
    }

    [Fact]
    public void Flat_white_and_black_stay_exact()
    {
        Oracle.Require();
        // A flat block has a direct-current coefficient alone, so any conforming decoder gives the level back (T.81 A.3.3).
        foreach (var color in new[] { Rgba8.White, Rgba8.Black })
        {
            Oracle.Decode(Oracle.Jpeg(40, 40, (_, _) => color, 75, halved: true)).Pixels.Tiles.ShouldAllBe(tile => tile.IsAll(color));
        }
    }

    [Fact]
    public void A_gray_JPEG_file_and_a_progressive_one_decode()
    {
        Oracle.Require();
        using var image = NetVips.Image.NewFromBuffer(Oracle.Jpeg(120, 90, Oracle.Puffin, 95));
        using var gray = image.Colourspace(NetVips.Enums.Interpretation.Bw);
        byte[] file = gray.JpegsaveBuffer(q: 90, keep: NetVips.Enums.ForeignKeep.None);
        var art = Oracle.Decode(file);
        art.Mode.ShouldBe("8-bit gray");
        Near(Oracle.Bytes(art.Pixels), Oracle.Skia(file), 0.1, 3);

        byte[] progressive = image.JpegsaveBuffer(q: 90, interlace: true, subsampleMode: NetVips.Enums.ForeignSubsample.Off, keep: NetVips.Enums.ForeignKeep.None);
        art = Oracle.Decode(progressive);
        art.Mode.ShouldBe("8-bit RGB, progressive");
        Near(Oracle.Bytes(art.Pixels), Oracle.Skia(progressive), 0.1, 3);
    }

    [Fact]
    public void A_lossless_WebP_file_is_exact_with_alpha()
    {
        Oracle.Require();
        byte[] file = Oracle.Webp(203, 141, (x, y) => Oracle.Puffin(x, y).WithAlpha((byte)Math.Max(1, x)), lossless: true);
        var art = Oracle.Decode(file);
        (art.Format, art.Mode).ShouldBe(("WebP", "8-bit RGB + alpha"));
        Oracle.Bytes(art.Pixels).ShouldBe(Oracle.Skia(file));
        Oracle.Bytes(art.Pixels).ShouldBe(Oracle.Vips(file));

        byte[] opaque = Oracle.Webp(64, 33, Oracle.Puffin, lossless: true);
        Oracle.Bytes(Oracle.Decode(opaque).Pixels).ShouldBe(Oracle.Bytes(Oracle.Plane(64, 33, Oracle.Puffin)));
    }

    // RFC 6386 defines the decoded planes exactly; growing the halved chroma and the conversion to RGB are the reader's (common practice, no source: mean 1).
    [Fact]
    public void A_lossy_WebP_file_stays_near()
    {
        Oracle.Require();
        byte[] file = Oracle.Webp(203, 141, Oracle.Puffin, lossless: false);
        Near(Oracle.Bytes(Oracle.Decode(file).Pixels), Oracle.Skia(file), 1.0, 8);
        Near(Oracle.Bytes(Oracle.Decode(file).Pixels), Oracle.Vips(file), 1.0, 8);
    }

    // JFIF (T.871): units 1 per inch, 2 per centimeter, 0 none. EXIF: XResolution with ResolutionUnit 2 inch (default) or 3 centimeter.
    [Fact]
    public void Resolution_comes_from_JFIF_and_else_from_EXIF()
    {
        Oracle.Require();
        byte[] jpeg = Oracle.Jpeg(16, 16, Oracle.Puffin);
        jpeg[..4].ShouldBe([0xFF, 0xD8, 0xFF, 0xE0], "the encoder writes JFIF first");
        Jfif(1, 300).ShouldBe(300);
        Jfif(2, 118).ShouldBe(299.72);
        Jfif(0, 300).ShouldBeNull();
        Jfif(1, 0).ShouldBeNull();

        (jpeg[13], jpeg[14], jpeg[15]) = (0, 0, 1);
        WithExif((282, 5, 3000, 10)).ShouldBe(300);
        WithExif((282, 5, 118, 1), (296, 3, 3, 0)).ShouldBe(299.72);
        WithExif((282, 5, 300, 1), (296, 3, 1, 0)).ShouldBeNull();
        WithExif((282, 5, 300, 0)).ShouldBeNull();

        double? Jfif(byte unit, int density)
        {
            byte[] file = [.. jpeg];
            (file[13], file[14], file[15]) = (unit, (byte)(density >> 8), (byte)density);
            return Oracle.Decode(file).PixelsPerInch;
        }

        double? WithExif(params (int, int, uint, uint)[] entries) =>
            Oracle.Decode(Oracle.WithSegment(jpeg, 0xE1, [.. "Exif\0\0"u8, .. Oracle.Exif(false, entries)])).PixelsPerInch;
    }

    // Values/resolution_units.csv: JFIF has whole numbers, EXIF fractions; an inch is 2.54 cm.
    [Fact]
    public void Resolutions_in_inches_and_centimeters_come_to_a_hundredth()
    {
        Oracle.Require();
        byte[] jpeg = Oracle.Jpeg(16, 16, Oracle.Puffin);
        foreach (var row in DecodePngTests.Table("resolution_units.csv"))
        {
            int ppi = int.Parse(row[0], CultureInfo.InvariantCulture);
            double perCentimeter = double.Parse(row[3], CultureInfo.InvariantCulture);
            With(1, ppi, false).ShouldBe(ppi);
            With(2, (int)Math.Round(perCentimeter), false).ShouldBe(Math.Round(Math.Round(perCentimeter) * 2.54, 2), row[0]);
            // 1:1 without a unit is no resolution, so EXIF's counts.
            With(0, 1, true).ShouldBe(ppi, row[0]);

            double? With(byte unit, int density, bool exif)
            {
                byte[] file = [.. jpeg];
                (file[13], file[14], file[15]) = (unit, (byte)(density >> 8), (byte)density);
                byte[] block = [.. "Exif\0\0"u8, .. Oracle.Exif(true, (282, 5, (uint)Math.Round(perCentimeter * 10_000), 10_000), (296, 3, 3, 0))];
                return Oracle.Decode(exif ? Oracle.WithSegment(file, 0xE1, block) : file).PixelsPerInch;
            }
        }
    }

    private static void Near(byte[] pixels, byte[] other, double mean, int largest)
    {
        var difference = Oracle.Difference(pixels, other);
        difference.Mean.ShouldBeLessThanOrEqualTo(mean, $"largest {difference.Largest}");
        difference.Largest.ShouldBeLessThanOrEqualTo(largest, $"mean {difference.Mean}");
    }
}
