using System.Diagnostics;
using Recipes.Decoders;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Codecs.Tests;

/// <summary>
/// Kinds of TIFF that scanners, fax programs and older programs write. libtiff's own tools (Debian's libtiff-tools) pack the files and say what their
/// pixels are: <c>tiffcp</c> and <c>tiff2rgba</c>, in another version than the decoder's.
/// </summary>
public sealed class TiffKindsTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-tiff-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    // What tiffcp is told, the picture that it gets, and how far the colors may be off: JPEG's inverse transform and the conversion from YCbCr round
    // differently from version to version (ITU-T T.81, A.3.3, leaves it open within a level; each of the two steps may take one).
    public static TheoryData<string, string, int> Kinds => new()
    {
        { "-8", "rgb", 0 }, { "-8 -B", "rgb", 0 }, { "-8 -c lzw -t -w 32 -l 32", "rgb", 0 }, { "-8 -c zip", "gray", 0 },
        { "-p separate", "rgb", 0 }, { "-p separate -c zip", "rgb", 0 }, { "-p separate -c lzw:2", "rgb", 0 }, { "-p separate -c jpeg:r:95 -r 16", "rgb", 2 },
        { "-c none", "palette", 0 }, { "-c lzw", "palette", 0 }, { "-c zip -t -w 32 -l 32", "palette", 0 }, { "-c packbits", "grays", 0 },
        { "-c none", "bits", 0 }, { "-c lzw", "bits", 0 }, { "-c g3", "bits", 0 }, { "-c g3:2d:fill", "bits", 0 },
        { "-c g4", "bits", 0 }, { "-c g4 -f lsb2msb", "bits", 0 },
        { "-c g4", "inverted", 0 }, { "-8 -c g4 -r 3", "bits", 0 }, { "-c zip", "rgb", 0 },
        { "-c jpeg:95 -r 16", "rgb", 2 }, { "-c jpeg:r:95 -r 16", "rgb", 2 }, { "-c jpeg:95 -t -w 32 -l 32", "rgb", 2 }, { "-c jpeg:90 -r 16", "gray", 2 },
    };

    [Theory]
    [MemberData(nameof(Kinds))]
    public void A_kind_of_TIFF_is_read_as_libtiff_reads_it(string how, string picture, int levels)
    {
        Oracle.RequireTool("tiffcp", "libtiff-tools");
        string stored = Write("stored.tif", Drawn(picture)), packed = At("packed.tif"), plain = At("plain.tif");
        Tool("tiffcp", [.. how.Split(' '), stored, packed]);
        Tool("tiff2rgba", ["-c", "none", packed, plain]);
        byte[] due = Oracle.Vips(File.ReadAllBytes(plain));
        var art = Oracle.Decode(File.ReadAllBytes(packed));
        Oracle.Difference(Oracle.Bytes(art.Pixels), due).Largest.ShouldBeLessThanOrEqualTo(levels, art.Mode);
        // The control: the pixels are many, and not of one color.
        due.Chunk(4).Select(pixel => (pixel[0], pixel[1], pixel[2])).Distinct().Count().ShouldBeGreaterThan(1);
    }

    [Theory]
    [InlineData("")]
    [InlineData("-B")]
    public void BigTIFF_says_how_it_lies_and_how_large_it_is(string order)
    {
        Oracle.RequireTool("tiffcp", "libtiff-tools");
        // Orientation 6 turns it by a quarter (TIFF 6.0, section 8); 118 pixels a centimeter.
        byte[] turned = new TestTiff(40, 24, 8, 3) { Fields = [(274, 3, [6]), (282, 5, [118, 1]), (283, 5, [118, 1]), (296, 3, [3])] }.Bytes();
        string packed = At("packed.tif");
        Tool("tiffcp", [.. (string[])(order.Length == 0 ? ["-8"] : ["-8", order]), Write("stored.tif", turned), packed]);
        File.ReadAllBytes(packed)[order.Length == 0 ? 2 : 3].ShouldBe((byte)43);
        DecodedArt big = Oracle.Decode(File.ReadAllBytes(packed)), classic = Oracle.Decode(turned);
        (big.Pixels.Grid.Width, big.Pixels.Grid.Height, big.PixelsPerInch).ShouldBe((24, 40, classic.PixelsPerInch));
        Oracle.Bytes(big.Pixels).ShouldBe(Oracle.Bytes(classic.Pixels));
    }

    [Theory]
    [InlineData("-c jpeg:90 -r 16", "rgb")]
    [InlineData("-c g4", "bits")]
    [InlineData("-c lzw -8", "palette")]
    public void A_damaged_or_shortened_file_gives_no_made_up_pixels(string how, string picture)
    {
        Oracle.RequireTool("tiffcp", "libtiff-tools");
        string packed = At("packed.tif");
        Tool("tiffcp", [.. how.Split(' '), Write("stored.tif", Drawn(picture)), packed]);
        byte[] file = File.ReadAllBytes(packed);
        Should.Throw<ProblemException>(() => Oracle.Decode(file[..(file.Length / 2)])).Problems[0].Code.ShouldBe(Codes.DamagedPicture);
        // The pixels lie before the directory: a stretch of them is gone.
        file.AsSpan(60, 40).Clear();
        Should.Throw<ProblemException>(() => Oracle.Decode(file)).Problems[0].Code.ShouldBe(Codes.DamagedPicture);
    }

    [Fact]
    public void A_field_that_the_library_does_not_know_is_no_damage()
    {
        // Layers that a program kept privately.
        Oracle.RequireTool("tiffcp", "libtiff-tools");
        string packed = At("packed.tif"), plain = At("plain.tif");
        Tool("tiffcp", ["-c", "jpeg:95", "-r", "16", Write("stored.tif", Drawn("rgb")), packed]);
        byte[] file = File.ReadAllBytes(packed);
        // The directory's last field becomes one of a number that nobody registered.
        int directory = BitConverter.ToInt32(file, 4), last = directory + 2 + (12 * (BitConverter.ToUInt16(file, directory) - 1));
        TestContext.Current.TestOutputHelper!.WriteLine($"{BitConverter.ToUInt16(file, last)}");
        BitConverter.TryWriteBytes(file.AsSpan(last), (ushort)65123).ShouldBeTrue();
        File.WriteAllBytes(plain, file);
        Oracle.Decode(file).Mode.ShouldBe("8-bit YCbCr, JPEG");
    }

    private static byte[] Drawn(string picture)
    {
        var colors = new TestTiff(101, 60, 8, 3)
        {
            Sample = (x, y, c) => c switch { 0 => Oracle.Puffin(x, y).R, 1 => Oracle.Puffin(x, y).G, _ => Oracle.Puffin(x, y).B },
        };
        // A row of 13 bytes of 8 pixels, of which the last 3 aren't shown.
        var bits = new TestTiff(13, 60, 8, 1) { Photometric = 1, Sample = Eight, Fields = [(256, 4, [101]), (258, 3, [1])] };
        return picture switch
        {
            "rgb" => colors.Bytes(),
            "gray" => (colors with { Channels = 1, Photometric = 1 }).Bytes(),
            // Section 5: all reds, then all greens, then all blues, each of 16 bits.
            "palette" => Indexed(i => i, i => 255 - i, i => i * 7 % 256),
            "grays" => Indexed(i => 255 - i, i => 255 - i, i => 255 - i),
            "bits" => bits.Bytes(),
            _ => (bits with { Photometric = 0 }).Bytes(),
        };

        byte[] Indexed(params Func<int, int>[] channels) =>
            (colors with { Channels = 1, Photometric = 3, Fields = [(320, 3, [.. channels.SelectMany(Map)])] }).Bytes();
        static IEnumerable<uint> Map(Func<int, int> value) => Enumerable.Range(0, 256).Select(i => (uint)(257 * value(i)));
        static int Eight(int x, int y, int c) => Enumerable.Range(0, 8).Sum(bit => Oracle.Puffin((8 * x) + bit, y).G > 150 ? 128 >> bit : 0);
    }

    private string At(string name) => Path.Combine(folder, name);

    private string Write(string name, byte[] bytes)
    {
        File.WriteAllBytes(At(name), bytes);
        return At(name);
    }

    private static void Tool(string name, string[] arguments)
    {
        using var process = Process.Start(
            new ProcessStartInfo(name, arguments) { RedirectStandardError = true, RedirectStandardOutput = true, UseShellExecute = false })!;
        string errors = process.StandardError.ReadToEnd();
        process.WaitForExit();
        process.ExitCode.ShouldBe(0, errors);
    }
}
