using System.Globalization;
using Recipes.Imaging;

namespace Recipes.Codecs.Tests;

/// <summary>The eight EXIF orientations (Values/exif_orientation.csv: TIFF 6.0, section 8).</summary>
public class OrientationTests
{
    // Stored: ABC over DEF. Each letter becomes a color of its own.
    private static Rgba8 Color(char letter) => new((byte)(40 * (letter - 'A')), 200, (byte)(255 - (40 * (letter - 'A'))));

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void A_PNG_file_is_turned_upright(bool little)
    {
        foreach (var row in DecodePngTests.Table("exif_orientation.csv"))
        {
            uint orientation = uint.Parse(row[0], CultureInfo.InvariantCulture);
            byte[][] rows = [.. new[] { "ABC", "DEF" }.Select(line => (byte[])[.. line.SelectMany(c => (byte[])[Color(c).R, Color(c).G, Color(c).B])])];
            var art = Oracle.Decode(new TestPng(3, 2, 8, 2) { Rows = rows, Early = [TestPng.Chunk("eXIf", Oracle.Exif(little, (274, 3, orientation, 0)))] }.Bytes());
            Read(art.Pixels).ShouldBe(row[4], row[3]);
            art.Notes.Any(n => n.Contains($"orientation {orientation}", StringComparison.Ordinal)).ShouldBe(orientation != 1);
        }
    }

    [Fact]
    public void A_JPEG_and_a_WebP_file_are_turned_upright()
    {
        Oracle.Require();
        // 16 px a letter, so that each fills whole blocks.
        byte[] jpeg = Oracle.Jpeg(48, 32, (x, y) => Color((char)('A' + (x / 16) + (3 * (y / 16)))), 95);
        byte[] webp = Oracle.Webp(48, 32, (x, y) => Color((char)('A' + (x / 16) + (3 * (y / 16)))), lossless: true);
        foreach (var row in DecodePngTests.Table("exif_orientation.csv"))
        {
            byte[] exif = Oracle.Exif(true, (274, 3, uint.Parse(row[0], CultureInfo.InvariantCulture), 0));
            Read(Oracle.Decode(Oracle.WithSegment(jpeg, 0xE1, [.. "Exif\0\0"u8, .. exif])).Pixels, 16).ShouldBe(row[4], row[3]);

            byte[] chunk = [.. "EXIF"u8, (byte)exif.Length, 0, 0, 0, .. exif, .. new byte[exif.Length & 1]];
            byte[] file = [.. webp, .. chunk];
            BitConverter.TryWriteBytes(file.AsSpan(4), file.Length - 8).ShouldBeTrue();
            Read(Oracle.Decode(file).Pixels, 16).ShouldBe(row[4], row[3]);
        }
    }

    [Fact]
    public void Large_pictures_turn_across_tiles()
    {
        var rows = Enumerable.Range(0, 300).Select(y => Enumerable.Range(0, 150).SelectMany(x => (byte[])[(byte)x, (byte)y, (byte)(y >> 8)]).ToArray()).ToArray();
        var art = Oracle.Decode(new TestPng(150, 300, 8, 2) { Rows = rows, Early = [TestPng.Chunk("eXIf", Oracle.Exif(false, (274, 3, 6, 0)))] }.Bytes());
        (art.Width, art.Height).ShouldBe((300, 150));
        // A quarter turn clockwise puts the stored bottom row into the first column.
        art.Pixels[0, 0].ShouldBe(new Rgba8(0, 299 & 255, 1));
        art.Pixels[299, 149].ShouldBe(new Rgba8(149, 0, 0));
    }

    private static string Read(Plane<Rgba8> pixels, int size = 1) => string.Join('/', Enumerable.Range(0, pixels.Height / size).Select(y =>
        new string([.. Enumerable.Range(0, pixels.Width / size).Select(x => "ABCDEF".MinBy(c => pixels[(x * size) + (size / 2), (y * size) + (size / 2)].LargestDifference(Color(c))))])));
}
