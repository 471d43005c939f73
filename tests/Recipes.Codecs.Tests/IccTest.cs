using System.Diagnostics;
using System.Globalization;
using Recipes.Imaging;
using Enums = NetVips.Enums;
using Image = NetVips.Image;

namespace Recipes.Codecs.Tests;

/// <summary>
/// Embedded profiles against Little CMS's own calculator, <c>transicc</c> of Debian's liblcms2-utils: relative colorimetric,
/// black point compensation, to its built-in sRGB, without a table computed ahead. Tolerance: 2 levels a channel for 8-bit RGB and
/// gray. CMYK and 16-bit RGB are interpolated in a table on our side, so there 2 levels where no channel is darker than 48, and a
/// CIEDE2000 of 3 everywhere.
/// </summary>
public sealed class IccTest : IDisposable
{
    private const int Levels = 2, Darkest = 48;
    private const double Difference = 3;
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-icc").FullName;

    public void Dispose() => Directory.Delete(folder, true);

    public static TheoryData<string, int> Cases() => new() { { "wide", 8 }, { "wide", 16 }, { "p3", 8 }, { "gray", 8 }, { "gray", 16 }, { "cmyk", 8 }, { "cmyk", 16 } };

    [Theory]
    [MemberData(nameof(Cases))]
    public void Colors_come_as_the_color_engine_gives_them(string name, int depth)
    {
        NeedsTransicc();
        byte[] profile = Profile(name);
        int channels = name switch { "gray" => 1, "cmyk" => 4, _ => 3 }, factor = depth == 16 ? 257 : 1;
        var random = new Random(3);
        int[] values = [.. Enumerable.Range(0, 300 * channels).Select(_ => random.Next(256))];
        var tiff = new TestTiff(300, 1, depth, channels)
        {
            Photometric = name switch { "gray" => 1, "cmyk" => 5, _ => 2 }, Profile = profile, Sample = (x, _, c) => values[(x * channels) + c] * factor,
        };
        var art = Oracle.Decode(tiff.Bytes());
        art.Notes.ShouldContain(note => note.Contains("relative colorimetric with black point compensation", StringComparison.Ordinal));
        double[] expected = Transicc(profile, values, channels);
        bool interpolated = name == "cmyk" || (depth == 16 && name != "gray");
        for (int x = 0; x < 300; x++)
        {
            var pixel = art.Pixels[x, 0];
            double[] due = [.. expected[(3 * x)..((3 * x) + 3)].Select(level => Math.Clamp(level, 0, 255))];
            string what = $"{name} {string.Join(' ', values[(x * channels)..((x + 1) * channels)])}: {pixel}, expected {string.Join(' ', due)}";
            if (!interpolated || due.All(level => level >= Darkest))
            {
                double largest = Math.Max(Math.Abs(pixel.R - due[0]), Math.Max(Math.Abs(pixel.G - due[1]), Math.Abs(pixel.B - due[2])));
                Math.Round(largest, 6).ShouldBeLessThanOrEqualTo(Levels, what);
            }

            var rounded = new Rgba8((byte)Math.Round(due[0]), (byte)Math.Round(due[1]), (byte)Math.Round(due[2]));
            Math.Round(Ciede2000.Difference(LabSpace.D50.Of(pixel), LabSpace.D50.Of(rounded)), 6).ShouldBeLessThanOrEqualTo(Difference, what);
        }
    }

    [Theory]
    [InlineData("wide", 8)]
    [InlineData("wide", 16)]
    [InlineData("p3", 8)]
    [InlineData("gray", 8)]
    [InlineData("gray", 16)]
    [InlineData("cmyk", 8)]
    [InlineData("cmyk", 16)]
    [InlineData("none", 8)]
    public void Paper_white_is_exactly_white_and_zero_is_exactly_black(string name, int depth)
    {
        Oracle.Require();
        int full = (1 << depth) - 1;
        bool ink = name is "cmyk" or "none";
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
        double[] dim = [.. ColorTest.Wide.Select(value => value * 0.985)];
        var art = Oracle.Decode(new TestTiff(2, 1, 8, 3) { Profile = ColorTest.Rgb("dim", dim, ColorTest.Gamma(2.2)), Sample = (x, _, _) => 255 - x }.Bytes());
        art.Pixels[0, 0].ShouldBe(Rgba8.White);
        ((int)art.Pixels[1, 0].R).ShouldBeLessThan(255);
    }

    // The profile that our own TIFF files carry is sRGB to the color engine: each level of each channel comes out as itself.
    [Fact]
    public void The_profile_of_our_own_files_means_sRGB()
    {
        NeedsTransicc();
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

    private static byte[] Profile(string name) => name switch
    {
        "wide" => ColorTest.Rgb("Harbor Wide", ColorTest.Wide, ColorTest.Gamma(2.199)),
        "gray" => ColorTest.GrayProfile(ColorTest.Gamma(1.8)),
        _ => Image.ProfileLoad(name),
    };

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

    private static void NeedsTransicc()
    {
        Oracle.Require();
        bool present = (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).Any(folder => File.Exists(Path.Combine(folder, "transicc")));
        if (Environment.GetEnvironmentVariable("RECIPES_CI") == "1")
        {
            present.ShouldBeTrue("liblcms2-utils must be there");
        }

        Assert.SkipUnless(present, "needs transicc of Debian's liblcms2-utils");
    }
}
