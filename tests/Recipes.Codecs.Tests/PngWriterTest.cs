using System.Buffers.Binary;
using System.Globalization;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Codecs.Tests;

/// <summary>Files that the writer makes, against the PNG specification and as other libraries read them.</summary>
public class PngWriterTest
{
    private static readonly Plane<Rgba8> Opaque = Oracle.Plane(300, 140, Oracle.Puffin);
    private static readonly Plane<Rgba8> Clear = Oracle.Plane(300, 140, (x, y) => Oracle.Puffin(x, y).WithAlpha((byte)(x * y)));

    [Fact]
    public void Other_libraries_read_back_every_pixel()
    {
        Oracle.Require();
        foreach (var plane in new[] { Opaque, Clear, Oracle.Plane(1, 1, (_, _) => new Rgba8(1, 2, 3, 0)), Noise(257, 129) })
        {
            byte[] file = Write(plane), pixels = Oracle.Bytes(plane);
            Oracle.Skia(file).ShouldBe(pixels);
            Oracle.Vips(file).ShouldBe(pixels);
            Oracle.Decode(file).Pixels.SameSamples(plane).ShouldBeTrue();
        }
    }

    [Fact]
    public void Gray_reads_back_too()
    {
        Oracle.Require();
        var plane = Plane<byte>.Build(200, 150, null, (bounds, samples) =>
        {
            for (int i = 0; i < samples.Length; i++)
            {
                samples[i] = (byte)((bounds.X + bounds.Y + i) * 7);
            }
        });
        using var target = new MemoryStream();
        PngWriter.Write(target, plane, 300);
        byte[] gray = [.. plane.ToContiguous().SelectMany(v => (byte[])[v, v, v, 255])];
        TestPng.Chunks(target.ToArray())[0].Data[9].ShouldBe((byte)0);
        Oracle.Skia(target.ToArray()).ShouldBe(gray);
        Oracle.Vips(target.ToArray()).ShouldBe(gray);
    }

    [Fact]
    public void Leaves_alpha_out_only_where_every_pixel_is_opaque()
    {
        TestPng.Chunks(Write(Opaque))[0].Data[8..].ShouldBe([8, 2, 0, 0, 0]);
        TestPng.Chunks(Write(Clear))[0].Data[8..].ShouldBe([8, 6, 0, 0, 0]);
        TestPng.Chunks(Write(Oracle.Plane(300, 140, (x, y) => Oracle.Puffin(x, y).WithAlpha(x == 299 && y == 139 ? (byte)254 : (byte)255))))[0].Data[9].ShouldBe((byte)6);
    }

    [Fact]
    public void Two_runs_give_the_same_bytes() => Write(Noise(400, 300)).ShouldBe(Write(Noise(400, 300)));

    // PNG 3rd edition: order in table 7; sRGB's gAMA and cHRM companions in 11.3.2.5; pHYs in 11.3.4.3.
    [Fact]
    public void Chunks_lie_in_order_and_say_sRGB()
    {
        var chunks = TestPng.Chunks(Write(Noise(300, 300), 300, [new PngText("Recipes", "Größe"), new PngText("Comment", "")]));
        chunks.Select(c => c.Type).Distinct().ShouldBe(["IHDR", "cHRM", "gAMA", "sRGB", "pHYs", "iTXt", "IDAT", "IEND"]);
        chunks.Count(c => c.Type == "iTXt").ShouldBe(2);
        chunks.Count(c => c.Type == "IDAT").ShouldBeGreaterThan(1, "noise fills more than one piece");
        chunks.SkipWhile(c => c.Type != "IDAT").Select(c => c.Type).Distinct().ShouldBe(["IDAT", "IEND"]);
        Data("gAMA").ShouldBe(TestPng.Words(45455));
        Data("cHRM").ShouldBe(TestPng.Words(31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000));
        Data("sRGB").Single().ShouldBeLessThanOrEqualTo((byte)3);
        Data("pHYs").ShouldBe([.. TestPng.Words(11811, 11811), 1]);
        Data("iTXt").ShouldBe([.. "Recipes\0\0\0\0\0"u8, .. Encoding.UTF8.GetBytes("Größe")]);

        byte[] Data(string type) => chunks.First(c => c.Type == type).Data;
    }

    // Values/resolution_units.csv.
    [Fact]
    public void Resolution_is_rounded_to_pixels_per_meter()
    {
        foreach (var row in DecodePngTest.Table("resolution_units.csv"))
        {
            var physical = TestPng.Chunks(Write(Opaque, double.Parse(row[0], CultureInfo.InvariantCulture))).Single(c => c.Type == "pHYs");
            BinaryPrimitives.ReadInt32BigEndian(physical.Data).ShouldBe(int.Parse(row[1], CultureInfo.InvariantCulture), row[0]);
        }

        TestPng.Chunks(Write(Opaque)).ShouldNotContain(c => c.Type == "pHYs");
    }

    [Fact]
    public void Own_decoder_reads_resolution_and_provenance_back()
    {
        var art = Oracle.Decode(Write(Clear, 240, [new PngText(PngText.Provenance, "{\"step\":2}")]));
        art.PixelsPerInch.ShouldBe(240);
        art.Provenance.ShouldBe("{\"step\":2}");
    }

    [Theory]
    [InlineData("")]
    [InlineData(" x")]
    [InlineData("x ")]
    [InlineData("a  b")]
    [InlineData("a\nb")]
    [InlineData("0123456789012345678901234567890123456789012345678901234567890123456789012345678X")]
    public void Keywords_follow_the_specification(string keyword)
    {
        // 11.3.3.2: 1 to 79 characters; the last case has 80 with its end.
        string word = keyword.EndsWith('X') ? keyword + "Y" : keyword;
        Should.Throw<ArgumentException>(() => Write(Opaque, null, [new PngText(word, "text")]));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(-300)]
    [InlineData(double.NaN)]
    [InlineData(1e9)]
    public void Impossible_resolutions_are_errors(double ppi) => Should.Throw<ArgumentException>(() => Write(Opaque, ppi));

    private static Plane<Rgba8> Noise(int width, int height) => Oracle.Plane(width, height, (x, y) =>
    {
        uint h = ((uint)x * 2654435761) ^ ((uint)y * 2246822519);
        h = (h ^ (h >> 15)) * 3266489917;
        return new Rgba8((byte)h, (byte)(h >> 8), (byte)(h >> 16), (byte)(h >> 24));
    });

    private static byte[] Write(Plane<Rgba8> plane, double? ppi = null, IReadOnlyList<PngText>? texts = null)
    {
        using var target = new MemoryStream();
        PngWriter.Write(target, plane, ppi, texts);
        return target.ToArray();
    }
}
