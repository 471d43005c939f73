using System.Diagnostics;
using System.Globalization;
using Recipes.Imaging;
using SkiaSharp;
using Enums = NetVips.Enums;
using Image = NetVips.Image;

namespace Recipes.Codecs.Tests;

/// <summary>
/// Embedded profiles against Little CMS's own calculator, <c>transicc</c> of Debian's liblcms2-utils: relative colorimetric,
/// black point compensation, to its built-in sRGB, without a table computed ahead. Tolerance: 2 levels a channel for RGB and gray.
/// CMYK is interpolated in a table of 17 points a side on our side: a CIEDE2000 of 3 everywhere, and 2 levels where no channel is
/// darker than 48: in each such pixel under our reader's own profile, in 19 of 20 under others. Profiles that other people made are those of Debian's libgs-common.
/// </summary>
public sealed class IccTests : IDisposable
{
    private const int Levels = 2, Darkest = 48;
    private const double Difference = 3, StrayShare = 0.05;
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-icc").FullName;

    public void Dispose() => Directory.Delete(folder, true);

    public static TheoryData<string, int> Cases() => new() { { "wide", 8 }, { "wide", 16 }, { "p3", 8 }, { "gray", 8 }, { "gray", 16 }, { "cmyk", 8 }, { "cmyk", 16 }, { "press", 8 }, { "press", 16 } };

    [Theory]
    [MemberData(nameof(Cases))]
    public void Colors_come_as_the_color_engine_gives_them(string name, int depth)
    {
        Oracle.RequireTool("transicc", "liblcms2-utils");
        byte[] profile = Profile(name);
        int channels = name switch { "gray" => 1, "cmyk" or "press" => 4, _ => 3 }, factor = depth == 16 ? 257 : 1;
        var random = new Random(3);
        int[] values = [.. Enumerable.Range(0, 300 * channels).Select(_ => random.Next(256))];
        var tiff = new TestTiff(300, 1, depth, channels)
        {
            Photometric = channels switch { 1 => 1, 4 => 5, _ => 2 }, Profile = profile, Sample = (x, _, c) => values[(x * channels) + c] * factor,
        };
        var art = Oracle.Decode(tiff.Bytes());
        art.Notes.ShouldContain(note => note.Contains("relative colorimetric with black point compensation", StringComparison.Ordinal));
        double[] expected = Transicc(profile, values, channels);
        Judge(300, channels == 4 ? name == "cmyk" ? 0 : StrayShare : null, x => (art.Pixels[x, 0], expected[(3 * x)..((3 * x) + 3)], $"{name} {string.Join(' ', values[(x * channels)..((x + 1) * channels)])}"));
    }

    [Theory]
    [InlineData("wide", 8)]
    [InlineData("wide", 16)]
    [InlineData("p3", 8)]
    [InlineData("gray", 8)]
    [InlineData("gray", 16)]
    [InlineData("cmyk", 8)]
    [InlineData("cmyk", 16)]
    [InlineData("press", 8)]
    [InlineData("press", 16)]
    [InlineData("none", 8)]
    public void Paper_white_is_exactly_white_and_zero_is_exactly_black(string name, int depth)
    {
        Oracle.Require();
        int full = (1 << depth) - 1;
        bool ink = name is "cmyk" or "press" or "none";
        var art = Oracle.Decode(new TestTiff(2, 1, depth, ink ? 4 : name == "gray" ? 1 : 3)
        {
            Photometric = ink ? 5 : name == "gray" ? 1 : 2, Profile = name == "none" ? null : Profile(name), Sample = (x, _, _) => ink ? x * full : full - (x * full),
        }.Bytes());
        art.Pixels[0, 0].ShouldBe(Rgba8.White);
        if (!ink)
        {
            art.Pixels[1, 0].ShouldBe(Rgba8.Black);
        }
    }

    // A profile whose white would come out as 254 by its own rounding: the file's statement of white counts.
    [Fact]
    public void A_profile_that_misses_white_by_its_rounding_does_not_take_white_away()
    {
        Oracle.Require();
        double[] dim = [.. ColorTests.Wide.Select(value => value * 0.985)];
        var art = Oracle.Decode(
            new TestTiff(2, 1, 8, 3) { Profile = ColorTests.Rgb("dim", dim, ColorTests.Gamma(2.2)), Sample = (x, _, _) => 255 - x }.Bytes());
        art.Pixels[0, 0].ShouldBe(Rgba8.White);
        ((int)art.Pixels[1, 0].R).ShouldBeLessThan(255);
    }

    // The profile that our own TIFF files carry is sRGB to the color engine: each level of each channel comes out as itself.
    [Fact]
    public void The_profile_of_our_own_files_means_sRGB()
    {
        Oracle.RequireTool("transicc", "liblcms2-utils");
        using var stream = new MemoryStream();
        TiffWriter.Write(stream, Oracle.Plane(1, 1, (_, _) => Rgba8.White));
        using var image = Image.NewFromBuffer(stream.ToArray());
        int[] values = [.. Enumerable.Range(0, 256).SelectMany(level => (int[])[level, 255 - level, level * 37 % 256])];
        double[] out8 = Transicc((byte[])image.Get("icc-profile-data"), values, 3);
        for (int i = 0; i < values.Length; i++)
        {
            Math.Round(Math.Abs(out8[i] - values[i]), 6).ShouldBeLessThanOrEqualTo(1, $"{values[i]}");
        }
    }

    [Fact]
    public void A_CMYK_JPEG_is_read_with_and_without_a_profile()
    {
        Oracle.Require();
        using var paper = Image.Black(32, 16, 4).Copy(interpretation: Enums.Interpretation.Cmyk);
        using var black = paper.NewFromImage(0, 0, 0, 255).Cast(Enums.BandFormat.Uchar).Copy(interpretation: Enums.Interpretation.Cmyk);
        using var both = paper.Join(black, Enums.Direction.Horizontal);
        var plain = Oracle.Decode(both.JpegsaveBuffer(q: 100, keep: Enums.ForeignKeep.None));
        plain.Mode.ShouldContain("CMYK");
        plain.Notes.ShouldContain(note => note.StartsWith("CMYK without a profile", StringComparison.Ordinal));
        plain.Pixels[8, 8].ShouldBe(Rgba8.White);
        ((int)plain.Pixels[56, 8].R).ShouldBeLessThan(80);

        using var named = both.Mutate(image => image.Set(NetVips.GValue.BlobType, "icc-profile-data", Profile("cmyk")));
        var converted = Oracle.Decode(named.JpegsaveBuffer(q: 100));
        converted.Notes.ShouldContain(note => note.StartsWith("its color profile ", StringComparison.Ordinal));
        converted.Pixels[8, 8].ShouldBe(Rgba8.White);
    }

    // Values/cmyk.tif and cmyk.jpg: written by another library, see Values/cmyk.txt for what they hold. Our reader's own general
    // profile stands for the file without one.
    [Fact]
    public void A_CMYK_TIFF_of_another_writer_comes_as_the_color_engine_gives_it()
    {
        Oracle.RequireTool("transicc", "liblcms2-utils");
        var art = Oracle.Decode(File.ReadAllBytes(Path.Combine("Values", "cmyk.tif")));
        (art.Mode, art.PixelsPerInch).ShouldBe(("8-bit CMYK, LZW", 300));
        double[] expected = Transicc(Profile("cmyk"), Inks, 4);
        art.Pixels[0, 0].ShouldBe(Rgba8.White);
        Judge(128, 0, i => (art.Pixels[i % 16, i / 16], expected[(3 * i)..((3 * i) + 3)], $"patch {i}"));
    }

    [Fact]
    public void A_CMYK_JPEG_of_another_writer_comes_as_the_color_engine_gives_it()
    {
        Oracle.RequireTool("transicc", "liblcms2-utils");
        byte[] profile = Profile("press"), file = File.ReadAllBytes(Path.Combine("Values", "cmyk.jpg"));
        file.AsSpan().IndexOf("Adobe"u8).ShouldBeGreaterThan(0, "inks are stored inverted, and this marker says so");
        // ICC.1, Annex B.4: pieces of at most 65,519 bytes.
        byte[][] pieces = [.. profile.Chunk(65_519)];
        for (int i = pieces.Length; i > 0; i--)
        {
            file = Oracle.WithSegment(file, 0xE2, [.. "ICC_PROFILE\0"u8, (byte)i, (byte)pieces.Length, .. pieces[i - 1]]);
        }

        var art = Oracle.Decode(file);
        (art.Mode, art.PixelsPerInch).ShouldBe(("8-bit CMYK", 300));
        double[] expected = Transicc(profile, Inks, 4);
        art.Pixels[8, 8].ShouldBe(Rgba8.White);
        Judge(128, StrayShare, i => (art.Pixels[(i % 16 * 16) + 8, (i / 16 * 16) + 8], expected[(3 * i)..((3 * i) + 3)], $"patch {i}"));
    }

    // Whole files that Little CMS's own converter writes with the profile in it, packed by libtiff's tool; the judge is the same
    // converter on the way back, without a table computed ahead.
    [Theory]
    [InlineData("default_cmyk", 8, "lzw")]
    [InlineData("default_cmyk", 8, "zip:2")]
    [InlineData("default_cmyk", 16, "zip")]
    [InlineData("a98", 8, "lzw:2")]
    [InlineData("a98", 16, "lzw")]
    [InlineData("rommrgb", 16, "zip:2")]
    [InlineData("default_gray", 16, "lzw")]
    [InlineData("ps_gray", 8, "zip")]
    [InlineData("ps_gray", 16, "lzw:2")]
    public void A_TIFF_file_of_the_color_engine_comes_back_as_it_does_there(string name, int depth, string compression)
    {
        Oracle.RequireTool("tificc", "liblcms2-utils");
        Oracle.RequireTool("tiffcp", "libtiff-tools");
        string source = Path.Combine(folder, "source.tif"), stored = Path.Combine(folder, "stored.tif"), packed = Path.Combine(folder, "packed.tif"), back = Path.Combine(folder, "back.tif");
        // 16 levels of each channel: the first pixel is black, the last one white.
        File.WriteAllBytes(source, new TestTiff(64, 64, 8, 3) { Sample = (x, y, c) => ((((y * 64) + x) >> (4 * c)) & 15) * 17 }.Bytes());
        Tool("tificc", ["-t1", "-b", "-e", $"-w{depth}", "-i*sRGB", "-o" + OfOthers(name), source, stored]);
        Tool("tiffcp", ["-c", compression, stored, packed]);
        Tool("tificc", ["-t1", "-b", "-c0", "-w8", "-o*sRGB", packed, back]);
        var art = Oracle.Decode(File.ReadAllBytes(packed));
        art.Mode.ShouldStartWith($"{depth}-bit");
        // default_gray has sRGB's own curve.
        art.Notes.Any(note => note.EndsWith("relative colorimetric with black point compensation", StringComparison.Ordinal)).ShouldBe(name != "default_gray");
        byte[] due = Oracle.Vips(File.ReadAllBytes(back));
        Judge(4096, name == "default_cmyk" ? StrayShare : null, i => (art.Pixels[i % 64, i / 64], [due[4 * i], due[(4 * i) + 1], due[(4 * i) + 2]], $"{i}"));
        art.Pixels[63, 63].ShouldBe(Rgba8.White);
    }

    // The same for JPEG, where that converter stores CMYK as YCCK; the way back is a JPEG file again.
    [Fact]
    public void A_CMYK_JPEG_of_the_color_engine_comes_back_as_it_does_there()
    {
        Oracle.RequireTool("jpgicc", "liblcms2-utils");
        string source = Path.Combine(folder, "source.jpg"), stored = Path.Combine(folder, "stored.jpg"), back = Path.Combine(folder, "back.jpg");
        File.WriteAllBytes(source, Oracle.Jpeg(256, 256, (x, y) => new Rgba8((byte)(x / 32 * 36), (byte)(y / 32 * 36), (byte)(x / 32 * y / 32 * 5)), 100));
        Tool("jpgicc", ["-t1", "-b", "-e", "-q100", "-i*sRGB", "-o" + OfOthers("default_cmyk"), source, stored]);
        Tool("jpgicc", ["-t1", "-b", "-c0", "-q100", "-o*sRGB", stored, back]);
        var art = Oracle.Decode(File.ReadAllBytes(stored));
        art.Mode.ShouldStartWith("8-bit CMYK");
        byte[] due = Oracle.Skia(File.ReadAllBytes(back));
        Judge(64, StrayShare, i =>
        {
            int x = (i % 8 * 32) + 16, y = (i / 8 * 32) + 16, at = 4 * ((y * 256) + x);
            return (art.Pixels[x, y], [due[at], due[at + 1], due[at + 2]], $"{x}, {y}");
        });
    }

    // gAMA, then cHRM's white and primaries, times 100,000; 0 or none where the chunk is absent.
    public static TheoryData<uint, uint[], int, int> Stated()
    {
        // CIE chromaticities of Adobe RGB (1998), Display P3, ROMM RGB (ISO 22028-2) and ITU-R BT.2020.
        uint[] wide = [31270, 32900, 64000, 33000, 21000, 71000, 15000, 6000], p3 = [31270, 32900, 68000, 32000, 26500, 69000, 15000, 6000];
        uint[] romm = [34567, 35850, 73470, 26530, 15960, 84040, 3660, 10], sea = [31270, 32900, 70800, 29200, 17000, 79700, 13100, 4600];
        var data = new TheoryData<uint, uint[], int, int>();
        foreach (int depth in new[] { 8, 16 })
        {
            data.Add(45455, wide, depth, 2);
            data.Add(0, p3, depth, 6);
            data.Add(55556, romm, depth, 2);
            data.Add(41667, sea, depth, 6);
            data.Add(100000, [], depth, 2);
            data.Add(55556, [], depth, 0);
        }

        data.Add(100000, wide, 8, 3);
        return data;
    }

    // The judge knows nothing of our matrix: SkiaSharp makes the profile of the same numbers, and Little CMS converts from it.
    [Theory]
    [MemberData(nameof(Stated))]
    public void Colors_that_a_PNG_file_states_without_a_profile_come_as_the_color_engine_gives_them(uint gamma, uint[] numbers, int depth, int type)
    {
        Oracle.RequireTool("transicc", "liblcms2-utils");
        float[] xy = [.. (numbers.Length == 0 ? [31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000] : numbers).Select(number => number / 100_000f)];
        new SKColorSpacePrimaries(xy[2], xy[3], xy[4], xy[5], xy[6], xy[7], xy[0], xy[1]).ToColorSpaceXyz(out var xyz).ShouldBeTrue();
        var transfer = gamma == 0 ? SKColorSpaceTransferFn.Srgb : new SKColorSpaceTransferFn(100_000f / gamma, 1, 0, 0, 0, 0, 0);
        using var space = SKColorSpace.CreateRgb(transfer, xyz);
        byte[] profile = ColorTests.Skia(space);

        var random = new Random(9);
        int channels = type switch { 0 => 1, 6 => 4, _ => 3 };
        // Black, white, all grays, and any color; a palette has 256.
        int[][] colors = [.. Enumerable.Range(0, 256).Select(level => type == 3 && level % 3 != 0 ? (int[])[level, random.Next(256), random.Next(256)] : [level, level, level]), .. type == 3 ? [] : Enumerable.Range(0, 400).Select(_ => type == 0 ? Enumerable.Repeat(random.Next(256), 3).ToArray() : [random.Next(256), random.Next(256), random.Next(256)])];
        var png = new TestPng(colors.Length, 1, depth, type)
        {
            Early = [.. gamma == 0 ? Array.Empty<byte[]>() : [TestPng.Chunk("gAMA", TestPng.Words(gamma))], .. numbers.Length == 0 ? Array.Empty<byte[]>() : [TestPng.Chunk("cHRM", TestPng.Words(numbers))]],
            Palette = type == 3 ? [.. colors.SelectMany(color => color.Select(level => (byte)level))] : null,
            Rows = [[.. colors.SelectMany((color, i) => type == 3 ? [(byte)i] : color[..Math.Min(channels, 3)].Concat(type == 6 ? [i % 256] : Array.Empty<int>()).SelectMany(level => Enumerable.Repeat((byte)level, depth / 8)))]],
        };
        var art = Oracle.Decode(png.Bytes());
        double[] expected = Transicc(profile, [.. colors.SelectMany(color => color)], 3);
        Judge(colors.Length, null, i => (art.Pixels[i, 0], expected[(3 * i)..((3 * i) + 3)], string.Join(' ', colors[i])));
        art.Pixels[0, 0].WithAlpha(255).ShouldBe(Rgba8.Black);
        art.Pixels[255, 0].ShouldBe(Rgba8.White);
        ((int)art.Pixels[254, 0].A).ShouldBe(type == 6 ? 254 : 255);
    }

    // Values/cmyk.txt.
    private static int[] Inks => [0, 0, 0, 0, 0, 0, 0, 255, .. Enumerable.Range(2, 126).SelectMany(i => (int[])[i * 37 % 256, i * 91 % 256, i * 151 % 256, i % 3 == 0 ? i * 29 % 256 : 0])];

    // Strays: of light pixels, the share that may be further off; null where nothing is interpolated and no pixel may.
    private static void Judge(int pixels, double? strays, Func<int, (Rgba8 Pixel, double[] Due, string What)> compare)
    {
        int over = 0, light = 0;
        for (int i = 0; i < pixels; i++)
        {
            var (pixel, numbers, what) = compare(i);
            double[] due = [.. numbers.Select(level => Math.Clamp(level, 0, 255))];
            what = $"{what}: {pixel}, expected {string.Join(' ', due)}";
            double largest = Math.Round(Math.Max(Math.Abs(pixel.R - due[0]), Math.Max(Math.Abs(pixel.G - due[1]), Math.Abs(pixel.B - due[2]))), 6);
            if (strays is null)
            {
                largest.ShouldBeLessThanOrEqualTo(Levels, what);
            }
            else if (due.All(level => level >= Darkest))
            {
                light++;
                over += largest > Levels ? 1 : 0;
            }

            var rounded = new Rgba8((byte)Math.Round(due[0]), (byte)Math.Round(due[1]), (byte)Math.Round(due[2]));
            Math.Round(Ciede2000.Difference(LabSpace.D50.Of(pixel), LabSpace.D50.Of(rounded)), 6).ShouldBeLessThanOrEqualTo(Difference, what);
        }

        if (strays is { } share)
        {
            light.ShouldBeGreaterThan(0);
            over.ShouldBeLessThanOrEqualTo((int)Math.Ceiling(light * share));
        }
    }

    private static byte[] Profile(string name) => name switch
    {
        "wide" => ColorTests.Rgb("Harbor Wide", ColorTests.Wide, ColorTests.Gamma(2.199)),
        "gray" => ColorTests.GrayProfile(ColorTests.Gamma(1.8)),
        "press" => File.ReadAllBytes(OfOthers("default_cmyk")),
        _ => Image.ProfileLoad(name),
    };

    private static string OfOthers(string name)
    {
        string path = $"/usr/share/color/icc/ghostscript/{name}.icc";
        Oracle.RequirePackage(File.Exists(path), "libgs-common", "profiles");
        return path;
    }

    private static void Tool(string name, string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(name, arguments) { RedirectStandardError = true, RedirectStandardOutput = true, UseShellExecute = false })!;
        var output = process.StandardOutput.ReadToEndAsync();
        string errors = process.StandardError.ReadToEnd();
        process.WaitForExit();
        process.ExitCode.ShouldBe(0, $"{name}: {errors} {output.Result}");
    }

    // Terse mode: numbers from 0 to 255 in, numbers from 0 to 255 out.
    private double[] Transicc(byte[] profile, int[] values, int channels)
    {
        string path = Path.Combine(folder, "source.icc");
        File.WriteAllBytes(path, profile);
        using var process = Process.Start(new ProcessStartInfo("transicc", ["-n", "-e", "-c0", "-t1", "-b", "-i" + path, "-o*sRGB"])
        {
            RedirectStandardInput = true, RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false,
        })!;
        var errors = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEndAsync();
        foreach (int[] color in values.Chunk(channels))
        {
            // Inks are numbers from 0 to 100 there.
            process.StandardInput.WriteLine(string.Join(' ', color.Select(value => channels == 4 ? value / 2.55 : value).Select(value => value.ToString("R", CultureInfo.InvariantCulture))));
        }

        process.StandardInput.Close();
        process.WaitForExit();
        double[] numbers = [.. output.Result.Split((char[])[' ', '\n', '\r'], StringSplitOptions.RemoveEmptyEntries).Select(number => double.Parse(number, CultureInfo.InvariantCulture))];
        numbers.Length.ShouldBe(values.Length / channels * 3, errors.Result);
        return numbers;
    }
}
