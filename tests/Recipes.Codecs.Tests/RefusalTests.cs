using System.Buffers.Binary;
using System.Text;
using NetVips;
using Recipes.Problems;

namespace Recipes.Codecs.Tests;

/// <summary>Every kind of file that can't be used is refused with its code and told by its content.</summary>
public class RefusalTests
{
    // Leading bytes from the formats' public specifications.
    public static TheoryData<string, string, string> OtherKinds() => new()
    {
        { "", "R3003", "empty" },
        { "II*\0\x8\0\0\0", "R3004", "cut short" },
        { "MM\0*\0\0\0\x8", "R3004", "cut short" },
        { "II+\0\x8\0\0\0", "R3004", "cut short" },
        { "GIF89a\x1\0\x1\0", "R3005", "GIF" },
        { "%PDF-1.7\n", "R3005", "PDF" },
        { "BM\x46\0\0\0\0\0\0\0\x36\0\0\0\x28\0\0\0\x2\0\0\0\x2\0\0\0", "R3005", "BMP" },
        { "8BPS\0\x1\0\0\0\0\0\0", "R3005", "layered image" },
        { "<?xml version=\"1.0\"?><svg xmlns=\"http://www.w3.org/2000/svg\"/>", "R3005", "SVG" },
        { "\0\0\0\u0018ftypheic\0\0\0\0", "R3005", "HEIC" },
        { "\0\0\0\u0018ftypavif\0\0\0\0", "R3005", "AVIF" },
        { "\0\0\0\u0018ftypisom\0\0\0\0", "R3003", "video" },
        { "Dear printer, the logo follows tomorrow.\n", "R3003", "text" },
        { "BMW is text that begins like another format", "R3003", "text" },
        { "PK\x3\x4\x14\0\0\0\0\0\0\0\0\0\0\0\0\0\x10\0\0\0\x10\0\0\0\x8\0\0\0mimetypeimage/openraster", "R3004", "archive" },
        { "PK\x3\x4\x14\0\0\0\0\0", "R3003", "zip" },
        { "RIFF\x4\0\0\0WAVE", "R3003", "sound" },
        { "\x1\x2\x3\x4\x5", "R3003", "known format" },
    };

    [Theory]
    [MemberData(nameof(OtherKinds))]
    public void Other_kinds_are_named(string content, string code, string word) => Refused(Encoding.Latin1.GetBytes(content), code).ShouldContain(word);

    [Fact]
    public void A_problem_names_the_file_and_what_to_do()
    {
        var problem = Should.Throw<ProblemException>(() => Decoders.ArtDecoder.Decode(Array.Empty<byte>(), "puffin.png")).Problems.ShouldHaveSingleItem();
        problem.Message.ShouldStartWith("puffin.png");
        problem.Hint.ShouldNotBeEmpty();
        problem.Where.ShouldBe(new Place("puffin.png"));
    }

    [Fact]
    public void PNG_files_with_animation_or_unknown_chunks_are_refused()
    {
        Refused(new TestPng(2, 2, 8, 2) { Early = [TestPng.Chunk("acTL", TestPng.Words(2, 0))] }.Bytes(), "R3005").ShouldContain("animated");
        Refused(new TestPng(2, 2, 8, 2) { Early = [TestPng.Chunk("ABCD")] }.Bytes(), "R3005").ShouldContain("ABCD");
    }

    [Theory]
    [InlineData(60000u, 60000u)]
    [InlineData(30001u, 1u)]
    [InlineData(1u, 30001u)]
    [InlineData(20000u, 10001u)]
    [InlineData(0u, 5u)]
    [InlineData(5u, 0u)]
    [InlineData(4294967295u, 4294967295u)]
    public void Impossible_sizes_are_refused_by_the_header_alone(uint width, uint height)
    {
        Refused([.. TestPng.Signature, .. TestPng.Header(width, height, 8, 6)], "R3006");
        if (width <= ushort.MaxValue)
        {
            byte[] frame = [8, (byte)(height >> 8), (byte)height, (byte)(width >> 8), (byte)width, 1, 1, 0x11, 0];
            Refused([0xFF, 0xD8, 0xFF, 0xC0, 0, 11, .. frame, 0xFF, 0xD9], "R3006");
        }
    }

    [Fact]
    public void A_large_WebP_canvas_is_refused()
    {
        byte[] file = [.. "RIFF\x16\0\0\0WEBPVP8X\x0A\0\0\0"u8, 0, 0, 0, 0, 0x5F, 0xEA, 0, 0x5F, 0xEA, 0];
        Refused(file, "R3006").ShouldContain("60000 x 60000");
    }

    [Fact]
    public void Largest_sizes_pass_the_header()
    {
        // 30,000 x 1 in one bit each: the limit itself is fine.
        Oracle.Decode(new TestPng(30000, 1, 1, 0).Bytes()).Width.ShouldBe(30000);
    }

    [Fact]
    public void A_PNG_file_cut_anywhere_is_damaged()
    {
        byte[] file = DecodePngTests.Sample(3, 8, true, 40, 30);
        for (int length = 8; length < file.Length; length++)
        {
            Refused(file[..length], "R3004");
        }
    }

    [Fact]
    public void A_JPEG_or_WebP_file_cut_anywhere_is_damaged()
    {
        Oracle.Require();
        byte[] jpeg = Oracle.Jpeg(64, 48, Oracle.Puffin), webp = Oracle.Webp(64, 48, Oracle.Puffin, true), lossy = Oracle.Webp(64, 48, Oracle.Puffin, false);
        foreach (byte[] file in new[] { jpeg, webp, lossy })
        {
            for (int length = 12; length < file.Length - 1; length++)
            {
                Refused(file[..length], "R3004");
            }
        }
    }

    [Fact]
    public void Missing_rows_are_damage_even_where_every_chunk_is_whole()
    {
        byte[] whole = new TestPng(10, 10, 8, 6).Filtered();
        // All but a byte; half; nothing. Then a wrong closing checksum (RFC 1950) and no deflated data at all.
        foreach (int length in new[] { whole.Length - 1, whole.Length / 2, 0 })
        {
            Refused(File(TestPng.Deflate(whole.AsSpan(0, length))), "R3004").ShouldContain("ends in row");
        }

        byte[] wrong = TestPng.Deflate(whole);
        wrong[^1] ^= 1;
        Refused(File(wrong), "R3004");
        Refused(File([1, 2, 3, 4]), "R3004");
        // RFC 1950, 2.2: a stream that asks for a preset dictionary, by bit 5 of its second byte and four bytes that name it.
        byte[] withDictionary = [0x78, 0x20, 0, 0, 0, 1, .. TestPng.Deflate(whole)[2..]];
        Refused(File(withDictionary), "R3004").ShouldContain("inflated");
        Oracle.Decode([.. TestPng.Signature, .. TestPng.Header(10, 10, 8, 6), .. TestPng.Chunk("iTXt", [.. "Recipes\0\u0001\0\0\0"u8, .. withDictionary]), .. TestPng.Chunk("IDAT", TestPng.Deflate(whole)), .. TestPng.Chunk("IEND")])
            .Height.ShouldBe(10);
        Oracle.Decode(File(TestPng.Deflate([.. whole, 0, 0, 0]))).Height.ShouldBe(10);

        static byte[] File(byte[] deflated) => [.. TestPng.Signature, .. TestPng.Header(10, 10, 8, 6), .. TestPng.Chunk("IDAT", deflated), .. TestPng.Chunk("IEND")];
    }

    [Fact]
    public void A_wrong_checksum_is_damage_in_any_chunk()
    {
        byte[] file = new TestPng(4, 4, 8, 3) { Palette = new byte[768], Early = [TestPng.Chunk("tIME", 7, 234, 11, 25, 9, 0, 0)] }.Bytes();
        for (int at = 8; at < file.Length;)
        {
            int length = BinaryPrimitives.ReadInt32BigEndian(file.AsSpan(at));
            byte[] flipped = [.. file];
            flipped[at + 8 + length] ^= 1;
            Refused(flipped, "R3004").ShouldContain(Encoding.ASCII.GetString(file, at + 4, 4));
            at += 12 + length;
        }
    }

    [Fact]
    public void Broken_PNG_structure_is_damage()
    {
        byte[] rows = TestPng.Deflate(new TestPng(2, 2, 8, 3).Filtered()), header = TestPng.Header(2, 2, 8, 3), palette = TestPng.Chunk("PLTE", new byte[768]), data = TestPng.Chunk("IDAT", rows), end = TestPng.Chunk("IEND");
        Build(header, palette, data, end).ShouldBeNull();
        Build(palette, header, data, end).ShouldBe("R3004");
        Build(header, header, palette, data, end).ShouldBe("R3004");
        Build(header, data, end).ShouldBe("R3004", "no palette");
        Build(header, palette, palette, data, end).ShouldBe("R3004");
        Build(header, data, palette, end).ShouldBe("R3004");
        Build(header, palette, end).ShouldBe("R3004", "no data");
        Build(header, TestPng.Chunk("PLTE", new byte[7]), data, end).ShouldBe("R3004");
        Build(header, palette, TestPng.Chunk("tRNS", new byte[257]), data, end).ShouldBe("R3004");
        Build(header, palette, TestPng.Chunk("IDAT", rows[..5]), TestPng.Chunk("tIME", new byte[7]), TestPng.Chunk("IDAT", rows[5..]), end).ShouldBe("R3004", "data in two places");
        Build(TestPng.Header(2, 2, 3, 3), palette, data, end).ShouldBe("R3004", "3 bits");
        Build(TestPng.Header(2, 2, 8, 5), palette, data, end).ShouldBe("R3004", "color type 5");
        Build(header, TestPng.Chunk("PLTE", new byte[3]), data, end).ShouldBe("R3004", "random indices in a palette of one");
        Build(header, palette, TestPng.Chunk("IDAT", TestPng.Deflate([9, 0, 0, 0, 0, 0])), end).ShouldBe("R3004", "filter 9");

        static string? Build(params byte[][] chunks)
        {
            try
            {
                Oracle.Decode([.. TestPng.Signature, .. chunks.SelectMany(c => c)]);
                return null;
            }
            catch (ProblemException e)
            {
                return e.Problems[0].Code.Id;
            }
        }
    }

    // ITU-T T.81, table B.1: the frame markers.
    [Theory]
    [InlineData(0xC3, "lossless")]
    [InlineData(0xC5, "hierarchical")]
    [InlineData(0xC9, "arithmetic")]
    [InlineData(0xCA, "arithmetic")]
    [InlineData(0xCB, "arithmetic")]
    public void Rare_JPEG_processes_are_refused(byte marker, string word)
    {
        Oracle.Require();
        byte[] jpeg = Oracle.Jpeg(16, 16, Oracle.Puffin);
        jpeg[jpeg.AsSpan().IndexOf((ReadOnlySpan<byte>)[0xFF, 0xC0]) + 1] = marker;
        Refused(jpeg, "R3005").ShouldContain(word);
    }

    [Fact]
    public void JPEG_files_of_12_bits_are_refused()
    {
        Oracle.Require();
        byte[] jpeg = Oracle.Jpeg(16, 16, Oracle.Puffin);
        jpeg[jpeg.AsSpan().IndexOf((ReadOnlySpan<byte>)[0xFF, 0xC0]) + 4] = 12;
        Refused(jpeg, "R3005").ShouldContain("12 bits");
    }

    [Fact]
    public void An_animated_WebP_file_is_refused()
    {
        Oracle.Require();
        using var first = Image.Black(16, 16, 3).Copy(interpretation: Enums.Interpretation.Srgb);
        using var frames = first.Join(first + 200, Enums.Direction.Vertical).Cast(Enums.BandFormat.Uchar).Mutate(m => m.Set(GValue.GIntType, "page-height", 16));
        byte[] file = frames.WebpsaveBuffer();
        file.AsSpan().IndexOf("ANMF"u8).ShouldBeGreaterThan(0);
        Refused(file, "R3005").ShouldContain("animated");
    }

    private static string Refused(byte[] file, string code)
    {
        var problem = Should.Throw<ProblemException>(() => Oracle.Decode(file), $"{file.Length} bytes").Problems.ShouldHaveSingleItem();
        problem.Code.Id.ShouldBe(code, problem.Message);
        return problem.Message;
    }
}
