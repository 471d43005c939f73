using System.Buffers.Binary;
using System.Text;
using NetVips;
using Recipes.Problems;
using SkiaSharp;

namespace Recipes.Codecs.Tests;

/// <summary>Which color statements count as sRGB: PNG 3rd edition chunk precedence, ICC.1 profiles, EXIF.</summary>
public class ColorTests
{
    // Not all of it in order of bytes: g, a, b, c, d of IEC 61966-2-1 as a parametric curve of type 3 (ICC.1:2022, 10.18).
    private static readonly byte[] SrgbCurve = Parametric(3, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045);

    // D50-adapted sRGB colorants (Lindbloom), and Adobe RGB (1998)'s (from memory of its specification's D50 table).
    internal static readonly double[] Srgb = [0.43607, 0.22249, 0.01392, 0.38515, 0.71687, 0.09708, 0.14307, 0.06061, 0.71410];
    internal static readonly double[] Wide = [0.60974, 0.31111, 0.01947, 0.20528, 0.62567, 0.06087, 0.14919, 0.06322, 0.74457];

    [Fact]
    public void Profiles_that_mean_sRGB_are_accepted()
    {
        Oracle.Require();
        Png(Icc(Image.ProfileLoad("srgb"))).ShouldBeNull("NetVips's own");
        Png(Icc(Skia(SKColorSpace.CreateSrgb()))).ShouldBeNull("SkiaSharp's own");
        Png(Icc(Rgb("sRGB", Srgb, SrgbCurve))).ShouldBeNull();
    }

    [Fact]
    public void Other_profiles_are_converted_from_and_named()
    {
        Oracle.Require();
        Png(Icc(Image.ProfileLoad("p3"))).ShouldBe("converted");
        Png(Icc(Image.ProfileLoad("cmyk"))).ShouldBe("R3007", "four channels on a picture of three");
        Png(Icc(Skia(SKColorSpace.CreateRgb(SKColorSpaceTransferFn.Srgb, SKColorSpaceXyz.DisplayP3)))).ShouldBe("converted");
        Png(Icc(Rgb("Harbor Wide", Wide, Gamma(2.199)))).ShouldBe("converted");
        Note(Icc(Rgb("Harbor Wide", Wide, Gamma(2.199)))).ShouldBe("its color profile is \"Harbor Wide\"; converted to sRGB, relative colorimetric with black point compensation");
        Note(Icc(Rgb("Evil\u001b[31m\nname", Wide, SrgbCurve))).ShouldContain("\"Evil[31mname\"");
    }

    [Fact]
    public void The_tolerance_is_three_thousandths_and_two_levels()
    {
        double[] near = [.. Srgb], far = [.. Srgb];
        near[3] += 0.0025;
        far[3] += 0.0045;
        Png(Icc(Rgb("near", near, SrgbCurve))).ShouldBeNull();
        Png(Icc(Rgb("far", far, SrgbCurve))).ShouldBe("converted");
        // sRGB's curve in 1024 steps is sRGB; a plain power of 2.2 is 8 levels off in the darkest tones (computed from IEC 61966-2-1).
        Png(Icc(Rgb("steps", Srgb, Sampled(1024, x => x <= 0.04045 ? x / 12.92 : Math.Pow((x + 0.055) / 1.055, 2.4))))).ShouldBeNull();
        Png(Icc(Rgb("power", Srgb, Gamma(2.2)))).ShouldBe("converted");
        Png(Icc(Rgb("linear", Srgb, Gamma(1)))).ShouldBe("converted");
    }

    [Fact]
    public void A_gray_profile_is_judged_by_its_curve()
    {
        Gray(SrgbCurve).ShouldBeNull();
        Gray(Gamma(2.2)).ShouldBeNull();
        Gray(Gamma(1.8)).ShouldBe("converted");
        Png(Icc(GrayProfile(SrgbCurve))).ShouldBe("R3007", "a gray profile on a color picture");

        static string? Gray(byte[] curve) => Outcome(new TestPng(2, 2, 8, 0) { Early = [Icc(GrayProfile(curve))] }.Bytes());
    }

    [Fact]
    public void Damaged_profiles_are_refused_and_never_crash()
    {
        byte[] profile = Rgb("sRGB", Srgb, SrgbCurve);
        for (int length = 0; length < profile.Length; length++)
        {
            Png(Icc(profile[..length])).ShouldBe("R3007", $"{length} bytes");
        }

        Png(TestPng.Chunk("iCCP", [.. "name\0\0"u8, 1, 2, 3])).ShouldBe("R3007");
        Png(TestPng.Chunk("iCCP", [.. "name"u8])).ShouldBe("R3007");
        // 100 MB of zeros in 100 KB: the reader stops at its cap.
        Png(Icc(new byte[100_000_000])).ShouldBe("R3007");
    }

    // Precedence: cICP, iCCP, sRGB, gAMA with cHRM (PNG 3rd edition, 4.3).
    [Fact]
    public void The_chunk_of_highest_precedence_decides()
    {
        byte[] srgb = TestPng.Chunk("sRGB", 0), linear = TestPng.Chunk("gAMA", TestPng.Words(100000)), gamma = TestPng.Chunk("gAMA", TestPng.Words(45455));
        byte[] wide = Icc(Rgb("wide", Wide, SrgbCurve)), fine = Icc(Rgb("fine", Srgb, SrgbCurve));
        byte[] primaries = TestPng.Chunk("cHRM", TestPng.Words(31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000));
        byte[] wideprimaries = TestPng.Chunk("cHRM", TestPng.Words(31270, 32900, 64000, 33000, 21000, 71000, 15000, 6000));
        // ITU-T H.273 code points as the PNG specification's examples give them.
        byte[] cicp = TestPng.Chunk("cICP", 1, 13, 0, 1), p3 = TestPng.Chunk("cICP", 0x0C, 0x0D, 0, 1), pq = TestPng.Chunk("cICP", 9, 16, 0, 1);

        Png(cicp, wide).ShouldBeNull();
        Png(p3, fine, srgb).ShouldBe("converted");
        Note(p3).ShouldBe("its cICP chunk says Display P3; converted to sRGB, relative colorimetric with black point compensation");
        Png(pq, fine).ShouldBe("R3007", "high dynamic range");
        Png(TestPng.Chunk("cICP", 9, 18, 0, 1)).ShouldBe("R3007", "high dynamic range");
        Png(TestPng.Chunk("cICP", 1, 1, 0, 0)).ShouldBe("R3007", "BT.709, narrow range");
        Png(TestPng.Chunk("cICP", 12, 13, 0, 0)).ShouldBe("R3007", "narrow range");
        Png(TestPng.Chunk("cICP", 1, 13)).ShouldBe("R3007", "damaged");
        Outcome(new TestPng(2, 2, 8, 0) { Early = [p3] }.Bytes()).ShouldBeNull("gray has no primaries, and the curve is sRGB's");
        Png(wide, srgb).ShouldBe("converted");
        Png(fine, linear).ShouldBeNull();
        Png(srgb, linear).ShouldBeNull();
        Png(gamma).ShouldBeNull();
        Png(gamma, primaries).ShouldBeNull();
        Png(TestPng.Chunk("gAMA", TestPng.Words(45000))).ShouldBeNull("one percent off");
        Png(linear).ShouldBe("converted");
        Note(linear).ShouldStartWith("its gAMA chunk states gamma 1; ");
        Png(gamma, wideprimaries).ShouldBe("converted");
        Note(wideprimaries).ShouldStartWith("its cHRM chunk states other primaries or another white than sRGB's; ");
        Png(srgb, linear, wideprimaries).ShouldBeNull();
        Outcome(new TestPng(2, 2, 8, 0) { Early = [linear] }.Bytes()).ShouldBe("converted");
        Outcome(new TestPng(2, 2, 8, 4) { Early = [gamma, wideprimaries] }.Bytes()).ShouldBeNull("gray has no primaries");
        Png().ShouldBeNull();
    }

    // Numbers that no light has: a gamma of 0, primaries on one line, a white outside of them or without light, sums over 1.
    [Fact]
    public void Impossible_gammas_and_primaries_are_refused()
    {
        foreach (uint gamma in new uint[] { 0, 1, 9_999, 1_000_001, uint.MaxValue })
        {
            Png(TestPng.Chunk("gAMA", TestPng.Words(gamma))).ShouldBe("R3007", $"{gamma}");
        }

        foreach (uint[] numbers in new uint[][]
        {
            [31270, 32900, 64000, 33000, 30000, 60000], [31270, 0, 64000, 33000, 30000, 60000, 15000, 6000], [31270, 32900, 20000, 20000, 30000, 30000, 40000, 40000],
            [31270, 32900, 64000, 33000, 64000, 33000, 15000, 6000], [70000, 20000, 64000, 33000, 30000, 60000, 15000, 6000], [31270, 32900, 64000, 43000, 30000, 60000, 15000, 6000],
            [0, 0, 0, 0, 0, 0, 0, 0], [uint.MaxValue, uint.MaxValue, 1, 1, 1, 1, 1, 1], [31270, 1, 64000, 33000, 30000, 60000, 15000, 6000],
        })
        {
            Png(TestPng.Chunk("cHRM", TestPng.Words(numbers))).ShouldBe("R3007", string.Join(' ', numbers));
        }

        Png(TestPng.Chunk("gAMA", 1)).ShouldBe("R3007");
    }

    // Exif 2.32: ColorSpace 1 is sRGB, 65535 uncalibrated.
    [Fact]
    public void EXIF_color_space_counts_where_nothing_else_speaks()
    {
        Oracle.Require();
        byte[] jpeg = Oracle.Jpeg(16, 16, Oracle.Puffin);
        With(1).Notes.ShouldBeEmpty();
        With(65535).Notes.ShouldContain(n => n.Contains("uncalibrated", StringComparison.Ordinal));
        Should.Throw<ProblemException>(() => With(2)).Problems[0].Code.ShouldBe(Codes.ForeignProfile);

        Decoders.DecodedArt With(uint space)
        {
            // The main directory points to a second one behind it: 8 + 2 + 12 + 4 = 26.
            byte[] main = Oracle.Exif(false, (34665, 4, 26, 0)), sub = Oracle.Exif(false, (40961, 3, space, 0))[8..];
            return Oracle.Decode(Oracle.WithSegment(jpeg, 0xE1, [.. "Exif\0\0"u8, .. main, .. sub]));
        }
    }

    // ICC.1, Annex B.4: APP2 segments, numbered from 1.
    [Fact]
    public void A_JPEG_profile_is_joined_from_its_pieces()
    {
        Oracle.Require();
        byte[] jpeg = Oracle.Jpeg(16, 16, Oracle.Puffin), profile = Rgb("sRGB", Srgb, SrgbCurve), wide = Rgb("Harbor Wide", Wide, SrgbCurve);
        Outcome(Piece(Piece(jpeg, profile[200..], 2, 2), profile[..200], 1, 2)).ShouldBeNull();
        Outcome(Piece(Piece(jpeg, profile[..200], 1, 2), profile[200..], 2, 2)).ShouldBeNull("in any order");
        Outcome(Piece(jpeg, profile[..200], 1, 2)).ShouldBe("R3007", "a piece is missing");
        Outcome(Piece(Piece(jpeg, profile, 1, 1), profile, 1, 1)).ShouldBe("R3007", "a piece comes twice");
        Outcome(Piece(jpeg, wide, 1, 1)).ShouldBe("converted");

        static byte[] Piece(byte[] file, byte[] data, byte number, byte count) => Oracle.WithSegment(file, 0xE2, [.. "ICC_PROFILE\0"u8, number, count, .. data]);
    }

    [Fact]
    public void A_WebP_profile_counts_too()
    {
        Oracle.Require();
        using var image = Image.Black(16, 16, 3).Copy(interpretation: Enums.Interpretation.Srgb);
        Outcome(With("srgb")).ShouldBeNull();
        Outcome(With("p3")).ShouldBe("converted");

        byte[] With(string name)
        {
            using var named = image.Mutate(m => m.Set(GValue.BlobType, "icc-profile-data", Image.ProfileLoad(name)));
            byte[] file = named.WebpsaveBuffer(lossless: true);
            file.AsSpan().IndexOf("ICCP"u8).ShouldBeGreaterThan(0);
            return file;
        }
    }

    private static string? Png(params byte[][] early) => Outcome(new TestPng(2, 2, 8, 2) { Early = early }.Bytes());

    private static string Note(byte[] chunk) => Oracle.Decode(new TestPng(2, 2, 8, 2) { Early = [chunk] }.Bytes()).Notes.ShouldHaveSingleItem();

    // Null where the colors are sRGB's, "converted", or the problem's code.
    private static string? Outcome(byte[] file)
    {
        try
        {
            return Oracle.Decode(file).Notes.Any(note => note.Contains("; converted to sRGB", StringComparison.Ordinal)) ? "converted" : null;
        }
        catch (ProblemException e)
        {
            return e.Problems[0].Code.Id;
        }
    }

    internal static byte[] Icc(byte[] profile) => TestPng.Chunk("iCCP", [.. "profile\0\0"u8, .. TestPng.Deflate(profile)]);

    internal static byte[] Skia(SKColorSpace space)
    {
        // The encoder embeds the color space of its pixels as a profile.
        using var bitmap = new SKBitmap(new SKImageInfo(8, 8, SKColorType.Rgba8888, SKAlphaType.Opaque, space));
        using var data = bitmap.Encode(SKEncodedImageFormat.Jpeg, 90);
        byte[] file = data.ShouldNotBeNull().ToArray();
        int at = file.AsSpan().IndexOf("ICC_PROFILE\0"u8);
        at.ShouldBeGreaterThan(0);
        int length = BinaryPrimitives.ReadUInt16BigEndian(file.AsSpan(at - 2));
        return file[(at + 14)..(at - 2 + length)];
    }

    internal static byte[] Rgb(string name, double[] colorants, byte[] curve) => Profile("RGB ", name,
        [.. "rgb".Select((c, i) => ($"{c}XYZ", Xyz(colorants[(3 * i)..(3 * i + 3)]))), .. "rgb".Select(c => ($"{c}TRC", curve))]);

    internal static byte[] GrayProfile(byte[] curve) => Profile("GRAY", "gray", [("kTRC", curve)]);

    // ICC.1: a 128-byte header, a tag table, the tags.
    internal static byte[] Profile(string space, string name, (string Tag, byte[] Data)[] tags)
    {
        byte[] text = [.. Encoding.Latin1.GetBytes(name), 0];
        (string Tag, byte[] Data)[] all = [("desc", [.. "desc\0\0\0\0"u8, .. TestPng.Words((uint)text.Length), .. text, .. new byte[78]]), .. tags];
        byte[] header = new byte[128];
        Encoding.ASCII.GetBytes("mntr" + space + "XYZ ").CopyTo(header, 12);
        "acsp"u8.CopyTo(header.AsSpan(36));
        var table = new List<byte>(TestPng.Words((uint)all.Length));
        var data = new List<byte>();
        foreach (var (tag, bytes) in all)
        {
            table.AddRange([.. Encoding.ASCII.GetBytes(tag), .. TestPng.Words((uint)(132 + (12 * all.Length) + data.Count), (uint)bytes.Length)]);
            data.AddRange(bytes);
        }

        byte[] profile = [.. header, .. table, .. data];
        BinaryPrimitives.WriteInt32BigEndian(profile, profile.Length);
        return profile;
    }

    private static byte[] Xyz(double[] values) => [.. "XYZ \0\0\0\0"u8, .. TestPng.Words([.. values.Select(v => (uint)(int)Math.Round(v * 65536))])];

    internal static byte[] Parametric(int type, params double[] values) => [.. "para\0\0\0\0\0"u8, (byte)type, 0, 0, .. TestPng.Words([.. values.Select(v => (uint)(int)Math.Round(v * 65536))])];

    internal static byte[] Gamma(double gamma) => [.. "curv\0\0\0\0"u8, 0, 0, 0, 1, (byte)((int)Math.Round(gamma * 256) >> 8), (byte)Math.Round(gamma * 256)];

    private static byte[] Sampled(int count, Func<double, double> curve) => [.. "curv\0\0\0\0"u8, .. TestPng.Words((uint)count),
        .. Enumerable.Range(0, count).SelectMany(i => (byte[])[(byte)((int)Math.Round(65535 * curve(i / (count - 1.0))) >> 8), (byte)(int)Math.Round(65535 * curve(i / (count - 1.0)))])];
}
