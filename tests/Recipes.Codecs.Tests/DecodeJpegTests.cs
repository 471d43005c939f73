using System.Diagnostics;
using System.Globalization;
using System.Text;
using Recipes.Hosting.Arts;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Codecs.Tests;

/// <summary>JPEG pixels beside those of Debian's djpeg and SkiaSharp, two other builds of libjpeg-turbo, which is what viewers show.</summary>
public sealed class DecodeJpegTests : IDisposable
{
    private const string Package = "libjpeg-turbo-progs";

    // How halved chroma grows back is not standardized (T.81 leaves it to the application): what everybody sees is the measure.
    // Asked: at most 3 levels from libjpeg-turbo, 0.1 on average.
    private const int Largest = 3;
    private const double Mean = 0.1;

    // Seven rows of five cells each, drawn by hand; a cell becomes 2 x 2 px.
    private static readonly string[] Lettering =
    [
        "##### #   # #   #   ####  #   # #   #",
        "#     #   # ##  #   #   # #   # ##  #",
        "#     #   # # # #   #   # #   # # # #",
        "####  #   # # # #   ####  #   # # # #",
        "#     #   # #  ##   # #   #   # #  ##",
        "#     #   # #   #   #  #  #   # #   #",
        "#      ###  #   #   #   #  ###  #   #",
    ];

    private readonly string folder = Directory.CreateTempSubdirectory("recipes-jpeg-").FullName;

    public void Dispose() => Directory.Delete(folder, true);

    // Horizontal times vertical sampling of luma over chroma: 4:4:4, 4:2:2, 4:4:0, 4:2:0, 4:1:1, and a rare one.
    [Theory]
    [InlineData("1x1")]
    [InlineData("2x1")]
    [InlineData("1x2")]
    [InlineData("2x2")]
    [InlineData("4x1")]
    [InlineData("2x4")]
    public void Every_sampling_of_chroma_comes_as_libjpeg_turbo_gives_it(string sampling)
    {
        Oracle.RequireTool("djpeg", Package);
        foreach (var (width, height) in new[] { (203, 141), (128, 128), (1, 1), (2, 3), (17, 9), (16, 300), (131, 257) })
        {
            foreach (string[] kind in new string[][] { [], ["-progressive"], ["-restart", "1B"], ["-progressive", "-restart", "1"] })
            {
                byte[] file = Cjpeg(width, height, Oracle.Puffin, ["-quality", "75", "-sample", sampling, .. kind]);
                Near(file, $"{sampling} {width} x {height} {string.Join(' ', kind)}");
            }
        }
    }

    [Theory]
    [InlineData(30)]
    [InlineData(60)]
    [InlineData(95)]
    public void Red_lettering_in_blocks_of_two_px_comes_as_viewers_show_it(int quality)
    {
        Oracle.RequireTool("djpeg", Package);
        foreach (int shift in new[] { 0, 1 })
        {
            byte[] file = Cjpeg(96, 33, (x, y) =>
                Letter(x - 8 - shift, y - 8 - shift) ? new Rgba8(220, 20, 30) : Rgba8.White, ["-quality", Text(quality), "-sample", "2x2"]);
            Near(file, $"quality {quality}, shifted by {shift}");

            // The same by a third build, and what it isn't: each halved sample simply doubled.
            var (mean, largest) = Oracle.Difference(Oracle.Bytes(Oracle.Decode(file).Pixels), Oracle.Skia(file));
            largest.ShouldBeLessThanOrEqualTo(Largest);
            Math.Round(mean, 6).ShouldBeLessThanOrEqualTo(Mean);
            Oracle.Difference(Colors(Oracle.Decode(file).Pixels), Djpeg(file, "-nosmooth")).Largest.ShouldBeGreaterThan(20);
        }

        static bool Letter(int x, int y) => x >= 0 && y is >= 0 and < 14 && x / 2 < Lettering[y / 2].Length && Lettering[y / 2][x / 2] == '#';
    }

    [Fact]
    public void Gray_and_colors_stored_as_RGB_come_as_libjpeg_turbo_gives_them()
    {
        Oracle.RequireTool("djpeg", Package);
        foreach (string[] kind in new string[][
            ] { ["-grayscale"], ["-grayscale", "-progressive"], ["-grayscale", "-sample", "2x2", "-restart", "1"], ["-rgb"] })
        {
            byte[] file = Cjpeg(203, 141, Oracle.Puffin, ["-quality", "80", .. kind]);
            Near(file, string.Join(' ', kind));
            Oracle.Decode(file).Mode.ShouldStartWith(kind[0] == "-rgb" ? "8-bit RGB" : "8-bit gray");
        }
    }

    // Turning comes after decoding: T.81 knows nothing of EXIF, and djpeg doesn't look at it. Orientation 6 is a quarter turn clockwise (EXIF 2.3, 4.6.4).
    [Fact]
    public void A_turned_file_has_the_same_pixels_elsewhere()
    {
        Oracle.RequireTool("djpeg", Package);
        byte[] file = Cjpeg(67, 45, Oracle.Puffin, ["-sample", "2x2"]), due = Djpeg(file);
        var art = Oracle.Decode(Oracle.WithSegment(file, 0xE1, [.. "Exif\0\0"u8, .. Oracle.Exif(false, (274, 3, 6, 0))]));
        (art.Width, art.Height).ShouldBe((45, 67));
        byte[] turned = new byte[due.Length];
        for (int y = 0; y < 45; y++)
        {
            for (int x = 0; x < 67; x++)
            {
                due.AsSpan(3 * ((y * 67) + x), 3).CopyTo(turned.AsSpan(3 * ((x * 45) + 44 - y)));
            }
        }

        Oracle.Difference(Colors(art.Pixels), turned).Largest.ShouldBeLessThanOrEqualTo(Largest);
    }

    // djpeg -strict fails where its library warns, and that warns where it went on with pixels that the file doesn't hold. Bits behind
    // the last pixel are nobody's loss: where that alone is wrong, a file may be read.
    [Theory]
    [InlineData]
    [InlineData("-progressive")]
    [InlineData("-restart", "1")]
    public void Pixel_data_that_libjpeg_turbo_calls_corrupt_is_refused(params string[] kind)
    {
        Oracle.RequireTool("djpeg", Package);
        byte[] whole = Cjpeg(120, 90, Oracle.Puffin, ["-quality", "75", "-sample", "2x2", .. kind]);
        // Behind the tables of the first scan.
        int first = whole.AsSpan().IndexOf((ReadOnlySpan<byte>)[0xFF, 0xDA]) + 14, refused = 0, read = 0;
        for (int seed = 0; seed < 60; seed++)
        {
            var random = new Random(seed);
            byte[] file = [.. whole];
            file[random.Next(first, file.Length - 2)] ^= (byte)(1 << random.Next(8));
            byte[]? pixels = Pixels(file);
            bool corrupt = Djpeg(file, out string said, "-strict") is null && !said.Contains("before marker 0xd9", StringComparison.Ordinal);
            (pixels is not null && corrupt).ShouldBeFalse($"seed {seed}: {said}");
            if (pixels is null)
            {
                refused++;
            }
            else
            {
                read++;
                Oracle.Difference(pixels, Djpeg(file, out said).ShouldNotBeNull(said)).Largest.ShouldBeLessThanOrEqualTo(Largest, $"seed {seed}");
            }
        }

        // Both happen: a wrong bit in the middle of a code is seldom an impossible one in a file without restarts.
        (refused, read).ShouldSatisfyAllConditions(() => refused.ShouldBeGreaterThan(0), () => read.ShouldBeGreaterThan(0));
    }

    // T.871 knows major version 1 alone; libjpeg-turbo warns of another and gives the same pixels.
    [Fact]
    public void Another_version_of_JFIF_is_no_damage()
    {
        Oracle.RequireTool("djpeg", Package);
        byte[] file = Cjpeg(40, 30, Oracle.Puffin, ["-sample", "2x2"]);
        file.AsSpan(6, 5).SequenceEqual("JFIF\0"u8).ShouldBeTrue();
        file[11] = 2;
        Djpeg(file, out string said, "-strict").ShouldBeNull();
        said.ShouldContain("JFIF");
        Near(file, "JFIF 2");
    }

    [Fact]
    public void The_first_bytes_tell_which_worker_reads_a_file()
    {
        Oracle.Require();
        byte[] jpeg = Oracle.Jpeg(16, 16, Oracle.Puffin);
        foreach (var (bytes, reader) in new[
            ] { (jpeg, "convert"), (new TestPng(2, 2, 8, 6).Bytes(), "decode"), (new byte[] { 0xFF, 0xD8 }, "decode"), ([], "decode") })
        {
            string path = Path.Combine(folder, "harbor-run.png");
            File.WriteAllBytes(path, bytes);
            ArtFile.ReaderAt(path).ShouldBe(reader);
            new ArtFile(path, bytes, "").Reader.ShouldBe(reader);
        }

        ArtFile.ReaderAt(Path.Combine(folder, "missing.jpg")).ShouldBe("decode");
        ArtFile.ReaderAt(folder).ShouldBe("decode");
    }

    private void Near(byte[] file, string what)
    {
        var (mean, largest) = Oracle.Difference(Colors(Oracle.Decode(file).Pixels), Djpeg(file));
        largest.ShouldBeLessThanOrEqualTo(Largest, what);
        Math.Round(mean, 6).ShouldBeLessThanOrEqualTo(Mean, what);
    }

    private static byte[]? Pixels(byte[] file)
    {
        try
        {
            return Colors(Oracle.Decode(file).Pixels);
        }
        catch (ProblemException e)
        {
            e.Problems[0].Code.Exit.ShouldBe(ExitCode.Art);
            return null;
        }
    }

    // Three bytes a pixel, as djpeg writes them.
    private static byte[] Colors(Plane<Rgba8> plane) => [.. Oracle.Bytes(plane).Where((_, i) => i % 4 < 3)];

    private byte[] Djpeg(byte[] file, params string[] options) => Djpeg(file, out string said, options).ShouldNotBeNull(said);

    // The default: fancy upsampling, and the accurate integer transform, which -dct int names. Null where it fails.
    private byte[]? Djpeg(byte[] file, out string said, params string[] options)
    {
        string path = Path.Combine(folder, "stored.jpg"), shown = Path.Combine(folder, "shown.ppm");
        File.WriteAllBytes(path, file);
        File.Delete(shown);
        return Tool("djpeg", out said, ["-dct", "int", "-rgb", "-pnm", .. options, "-outfile", shown, path]) ? Pnm(File.ReadAllBytes(shown)) : null;
    }

    private byte[] Cjpeg(int width, int height, Func<int, int, Rgba8> color, string[] options)
    {
        string drawn = Path.Combine(folder, "drawn.ppm"), path = Path.Combine(folder, "made.jpg");
        File.WriteAllBytes(drawn,
            [.. Encoding.ASCII.GetBytes(string.Create(CultureInfo.InvariantCulture, $"P6\n{width} {height}\n255\n")),
            .. Colors(Oracle.Plane(width, height, color))]);
        Tool("cjpeg", out string said, [.. options, "-outfile", path, drawn]).ShouldBeTrue(said);
        return File.ReadAllBytes(path);
    }

    // P6 as djpeg writes it: three lines of text, then the pixels.
    private static byte[] Pnm(byte[] file)
    {
        file.AsSpan(0, 3).SequenceEqual("P6\n"u8).ShouldBeTrue();
        int at = 0;
        for (int line = 0; line < 3; line++)
        {
            at = Array.IndexOf(file, (byte)'\n', at) + 1;
        }

        return file[at..];
    }

    private static bool Tool(string name, out string said, string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(name, arguments) { RedirectStandardError = true, UseShellExecute = false })!;
        said = process.StandardError.ReadToEnd();
        process.WaitForExit();
        // 2 where it only warned.
        return process.ExitCode is 0 or 2;
    }

    private static string Text(int number) => number.ToString(CultureInfo.InvariantCulture);
}
