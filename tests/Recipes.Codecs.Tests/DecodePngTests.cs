using System.Globalization;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Codecs.Tests;

/// <summary>Every PNG pixel format up to 8 bits, exactly as two independent libraries read it.</summary>
public class DecodePngTests
{
    // PNG 3rd edition, table 12: allowed color types and depths; widths that leave bits over in the last byte.
    public static TheoryData<int, int, bool> Kinds()
    {
        var kinds = new TheoryData<int, int, bool>();
        foreach (var (type, depths) in new[] { (0, new[] { 1, 2, 4, 8 }), (2, [8]), (3, [1, 2, 4, 8]), (4, [8]), (6, [8]) })
        {
            foreach (int depth in depths)
            {
                kinds.Add(type, depth, false);
                if (type is 0 or 2 or 3)
                {
                    kinds.Add(type, depth, true);
                }
            }
        }

        return kinds;
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void Equals_two_other_libraries_pixel_by_pixel(int type, int depth, bool transparent)
    {
        Oracle.Require();
        // 131 x 133 crosses tile borders at 128.
        foreach (var (width, height) in new[] { (1, 1), (3, 2), (131, 133) })
        {
            byte[] file = Sample(type, depth, transparent, width, height);
            var art = Oracle.Decode(file);
            (art.Width, art.Height, art.Format).ShouldBe((width, height, "PNG"));
            byte[] pixels = Oracle.Bytes(art.Pixels);
            pixels.ShouldBe(Oracle.Skia(file), $"SkiaSharp, {width} x {height}");
            pixels.ShouldBe(Oracle.Vips(file), $"NetVips, {width} x {height}");
        }
    }

    // All filters by turns over few alike colors: where rows are alike, so are the stretches that need no arithmetic.
    [Theory]
    [InlineData(0, 1), InlineData(0, 8), InlineData(2, 8), InlineData(4, 8), InlineData(6, 8)]
    public void Flat_art_equals_two_other_libraries_pixel_by_pixel(int type, int depth)
    {
        Oracle.Require();
        var png = new TestPng(150, 140, depth, type);
        int bytes = Math.Max(1, png.Channels * depth / 8);
        // A disk on a field, with a slanted edge across both, and a row in nine that is noise.
        var random = new Random(5);
        byte[][] rows = [.. Enumerable.Range(0, png.Height).Select(y => (byte[])[.. Enumerable.Range(0, ((png.Width * png.Channels * depth) + 7) / 8)
            .Select(i => (X: i / bytes, Channel: i % bytes))
            .Select(at => (byte)(y % 9 == 8 && at.X > 100 ? random.Next(256)
                : ((at.X - 70) * (at.X - 70)) + ((y - 60) * (y - 60)) < 2500 ? 250 - at.Channel : at.X > y ? 17 * at.Channel : 90))])];
        byte[] file = (png with { Rows = rows }).Bytes();
        byte[] pixels = Oracle.Bytes(Oracle.Decode(file).Pixels);
        pixels.ShouldBe(Oracle.Skia(file), "SkiaSharp");
        pixels.ShouldBe(Oracle.Vips(file), "NetVips");
    }

    [Theory]
    [InlineData(0, 1, false, "1-bit gray")]
    [InlineData(0, 8, true, "8-bit gray with a transparent value")]
    [InlineData(2, 8, false, "8-bit RGB")]
    [InlineData(3, 4, true, "4-bit palette with transparency")]
    [InlineData(4, 8, false, "8-bit gray + alpha")]
    [InlineData(6, 8, false, "8-bit RGBA")]
    public void Says_in_words_how_the_file_stores_its_pixels(int type, int depth, bool transparent, string mode) =>
        Oracle.Decode(Sample(type, depth, transparent, 3, 3)).Mode.ShouldBe(mode);

    [Fact]
    public void Keeps_the_color_under_alpha_0()
    {
        byte[] file = new TestPng(2, 1, 8, 6) { Rows = [[10, 20, 30, 0, 255, 255, 255, 0]] }.Bytes();
        var pixels = Oracle.Decode(file).Pixels;
        pixels[0, 0].ShouldBe(new Rgba8(10, 20, 30, 0));
        pixels[1, 0].ShouldBe(Rgba8.ClearWhite);
    }

    // PNG 3rd edition, 11.3.1.1: only the low bits of a key count.
    [Fact]
    public void Masks_the_transparent_value_to_the_depth()
    {
        byte[] file = new TestPng(4, 1, 2, 0) { Rows = [[0b00_01_10_11]], Transparency = [0xFF, 0b1111_1110] }.Bytes();
        var pixels = Oracle.Decode(file).Pixels;
        Enumerable.Range(0, 4).Select(x => (int)pixels[x, 0].A).ShouldBe([255, 255, 0, 255]);
        // 13.12: 2-bit samples become 0, 85, 170, 255.
        Enumerable.Range(0, 4).Select(x => (int)pixels[x, 0].R).ShouldBe([0, 85, 170, 255]);
    }

    // Values/resolution_units.csv: PNG 3rd edition, 11.3.4.3; the reader rounds to 0.01.
    [Fact]
    public void Reads_the_resolution_to_a_hundredth()
    {
        foreach (var row in Table("resolution_units.csv"))
        {
            uint perMeter = uint.Parse(row[1], CultureInfo.InvariantCulture);
            double back = double.Parse(row[2], CultureInfo.InvariantCulture);
            var art = Oracle.Decode(new TestPng(1, 1, 8, 2) { Early = [TestPng.Physical(perMeter, perMeter, 1)] }.Bytes());
            art.PixelsPerInch.ShouldNotBeNull().ShouldBe(back, 0.0051);
            Math.Round(art.PixelsPerInch.Value, 2).ShouldBe(art.PixelsPerInch.Value);
        }

        Oracle.Decode(new TestPng(1, 1, 8, 2) { Early = [TestPng.Physical(11811, 11811, 1)] }.Bytes()).PixelsPerInch.ShouldBe(300);
    }

    [Fact]
    public void Knows_no_resolution_where_the_unit_is_unknown_or_the_value_0()
    {
        Oracle.Decode(new TestPng(1, 1, 8, 2) { Early = [TestPng.Physical(2, 1, 0)] }.Bytes()).PixelsPerInch.ShouldBeNull();
        Oracle.Decode(new TestPng(1, 1, 8, 2) { Early = [TestPng.Physical(0, 0, 1)] }.Bytes()).PixelsPerInch.ShouldBeNull();
        Oracle.Decode(new TestPng(1, 1, 8, 2).Bytes()).PixelsPerInch.ShouldBeNull();
    }

    // An inch is 0.0254 m (exact since 1959): 39 per meter are 0.99 per inch, 40 are 1.02; 3,937,008 are just above 100,000.
    [Theory]
    [InlineData(39u, null, "0.99")]
    [InlineData(40u, 1.02, null)]
    [InlineData(3_937_007u, 99_999.98, null)]
    [InlineData(3_937_009u, null, "100000.03")]
    public void A_resolution_that_nobody_can_have_meant_is_told_and_taken_for_none(uint perMeter, double? back, string? told)
    {
        var art = Oracle.Decode(new TestPng(1, 1, 8, 2) { Early = [TestPng.Physical(perMeter, perMeter, 1)] }.Bytes());
        art.PixelsPerInch.ShouldBe(back);
        art.Notes.ShouldBe(told is null ? [] : [$"it states {told} pixels per inch, which nobody can have meant; taken for none"]);
    }

    [Fact]
    public void Ignores_data_after_the_end_chunk()
    {
        byte[] file = new TestPng(5, 5, 8, 6).Bytes();
        Oracle.Decode([.. file, 1, 2, 3]).Pixels.SameSamples(Oracle.Decode(file).Pixels).ShouldBeTrue();
    }

    // 11.3.3.4, plain and compressed.
    [Fact]
    public void Reads_its_own_provenance_up_to_64_KB()
    {
        byte[] text = Encoding.UTF8.GetBytes("{\"step\":3,\"note\":\"Möwe\"}");
        With(TestPng.Chunk("iTXt", [.. "Recipes\0\0\0\0\0"u8, .. text])).ShouldBe("{\"step\":3,\"note\":\"Möwe\"}");
        With(TestPng.Chunk("iTXt", [.. "Recipes\0\x1\0en\0\0"u8, .. TestPng.Deflate(text)])).ShouldBe("{\"step\":3,\"note\":\"Möwe\"}");
        With(TestPng.Chunk("iTXt", [.. "Comment\0\0\0\0\0"u8, .. text])).ShouldBeNull();
        With(TestPng.Chunk("iTXt", [.. "Recipes\0\0\0\0\0"u8, .. new byte[65537]])).ShouldBeNull();
        With(TestPng.Chunk("iTXt", [.. "Recipes\0\x1\0\0\0"u8, .. TestPng.Deflate(new byte[10_000_000])])).ShouldBeNull();
        With(TestPng.Chunk("iTXt", [.. "Recipes\0"u8])).ShouldBeNull();

        static string? With(byte[] chunk) => Oracle.Decode(new TestPng(1, 1, 8, 2) { Early = [chunk] }.Bytes()).Provenance;
    }

    internal static byte[] Sample(int type, int depth, bool transparent, int width, int height)
    {
        var random = new Random(7);
        byte[] palette = new byte[3 << depth], alphas = new byte[1 << depth];
        random.NextBytes(palette);
        random.NextBytes(alphas);
        var png = new TestPng(width, height, depth, type)
        {
            Palette = type == 3 ? palette : null,
            Transparency = !transparent ? null : type switch { 0 => [0, (byte)((1 << depth) / 2)], 2 => [0, 200, 0, 100, 0, 50], _ => alphas[..Math.Max(1, alphas.Length - 1)] },
        };
        return type == 2 && transparent
            ? (png with { Rows = [.. Enumerable.Range(0, height).Select(y => (byte[])[.. Enumerable.Range(0, width).SelectMany(x => (byte[])((x + y) % 3 == 0 ? [200, 100, 50] : [200, 100, (byte)(x ^ y)]))])] }).Bytes()
            : png.Bytes();
    }

    internal static IEnumerable<string[]> Table(string name) => File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Values", name))
        .Where(line => !line.StartsWith('#')).Skip(1).Select(line => line.Split(','));
}
