using System.Buffers.Binary;
using System.Globalization;
using Recipes.Imaging;
using Recipes.Problems;
using Enums = NetVips.Enums;
using Image = NetVips.Image;

namespace Recipes.Codecs.Tests;

/// <summary>TIFF, 16 bits and interlacing: exact pixels, from files that the tests build from the specifications.</summary>
public class ConvertedTests
{
    public static TheoryData<bool, int, int, int, int, bool, bool> Tiffs()
    {
        // Byte order, depth, channels, compression, tile side, planes apart, differencing.
        var data = new TheoryData<bool, int, int, int, int, bool, bool>();
        foreach (int compression in new[] { 1, 5, 8, 32946, 32773 })
        {
            data.Add(true, 8, 3, compression, 0, false, false);
            data.Add(false, 16, 3, compression, 0, false, false);
        }

        data.Add(true, 8, 4, 5, 0, false, true);
        data.Add(true, 16, 4, 8, 0, false, true);
        data.Add(true, 8, 4, 1, 16, false, false);
        data.Add(false, 16, 3, 8, 32, false, true);
        data.Add(true, 8, 3, 1, 0, true, false);
        data.Add(true, 16, 4, 5, 0, true, false);
        return data;
    }

    [Theory]
    [MemberData(nameof(Tiffs))]
    public void TIFF_pixels_come_exactly(bool little, int depth, int channels, int compression, int tile, bool apart, bool predictor)
    {
        Oracle.Require();
        int factor = depth == 16 ? 251 : 1;
        var tiff = new TestTiff(37, 21, depth, channels)
        {
            Little = little, Compression = compression, Tile = tile, Apart = apart, Predictor = predictor, Extra = channels == 4 ? 2 : null,
            Sample = (x, y, c) => ((x * 7) + (y * 13) + (c * 50)) * factor,
        };
        var art = Oracle.Decode(tiff.Bytes());
        art.Format.ShouldBe("TIFF");
        for (int y = 0; y < 21; y++)
        {
            for (int x = 0; x < 37; x++)
            {
                var pixel = art.Pixels[x, y];
                pixel.ShouldBe(new Rgba8(Level(0), Level(1), Level(2), channels == 4 ? Level(3) : (byte)255), $"{x}, {y}");

                byte Level(int c)
                {
                    int value = tiff.Sample(x, y, c) & ((1 << depth) - 1);
                    return (byte)(depth == 8 ? value : Math.Round(value * 255 / 65535.0, MidpointRounding.AwayFromZero));
                }
            }
        }
    }

    // TIFF 6.0, section 8: PhotometricInterpretation 0 is white is zero.
    [Theory]
    [InlineData(8)]
    [InlineData(16)]
    public void Gray_TIFF_files_count_from_white_or_from_black(int depth)
    {
        Oracle.Require();
        int full = (1 << depth) - 1;
        foreach (int photometric in new[] { 0, 1 })
        {
            var art = Oracle.Decode(new TestTiff(3, 1, depth, 1) { Photometric = photometric, Sample = (x, _, _) => x * full / 2 }.Bytes());
            byte[] expected = depth == 8 ? [0, 127, 255] : [0, 127, 255];
            for (int x = 0; x < 3; x++)
            {
                byte level = expected[x];
                art.Pixels[x, 0].ShouldBe(photometric == 1 ? new Rgba8(level, level, level) : new Rgba8((byte)(255 - level), (byte)(255 - level), (byte)(255 - level)));
            }
        }
    }

    [Fact]
    public void Every_16_bit_value_is_rounded_to_the_nearest_level()
    {
        Oracle.Require();
        var art = Oracle.Decode(new TestTiff(256, 256, 16, 1) { Photometric = 1, RowsPerStrip = 256, Sample = (x, y, _) => (y * 256) + x }.Bytes());
        for (int value = 0; value <= 65535; value++)
        {
            // PNG 3rd edition, 13.12: floor(value * 255 / 65535 + 0.5), in whole numbers.
            art.Pixels[value % 256, value / 256].R.ShouldBe((byte)((((long)value * 255 * 2) + 65535) / (2 * 65535)), $"{value}");
        }

        art.Notes.ShouldContain("16 bits per channel rounded to 8");
    }

    // TIFF 6.0, section 18: ExtraSamples 1 is alpha that colors are multiplied with.
    [Fact]
    public void Associated_alpha_is_divided_out()
    {
        Oracle.Require();
        var art = Oracle.Decode(new TestTiff(2, 1, 8, 4) { Extra = 1, Sample = (x, _, c) => c == 3 ? 128 : x == 0 ? 128 : 64 }.Bytes());
        art.Pixels[0, 0].ShouldBe(new Rgba8(255, 255, 255, 128));
        // 64 * 255 / 128 = 127.5.
        ((int)art.Pixels[1, 0].R).ShouldBeInRange(127, 128);
        art.Pixels[1, 0].A.ShouldBe((byte)128);
    }

    // White under every alpha is stored as the alpha itself.
    [Theory]
    [InlineData(8)]
    [InlineData(16)]
    public void White_under_associated_alpha_stays_white(int depth)
    {
        Oracle.Require();
        int factor = depth == 16 ? 257 : 1;
        var art = Oracle.Decode(new TestTiff(255, 1, depth, 4) { Extra = 1, Sample = (x, _, _) => (x + 1) * factor }.Bytes());
        for (int x = 0; x < 255; x++)
        {
            art.Pixels[x, 0].ShouldBe(Rgba8.White.WithAlpha((byte)(x + 1)));
        }
    }

    [Fact]
    public void Resolution_and_orientation_of_a_TIFF_file_count()
    {
        Oracle.Require();
        // Fields 282, 283 (RATIONAL), 296 (3: centimeter), 274 (6: turned by 90 degrees).
        var art = Oracle.Decode(new TestTiff(3, 2, 8, 3) { Fields = [(282, 5, [118, 1]), (283, 5, [118, 1]), (296, 3, [3]), (274, 3, [6])] }.Bytes());
        (art.Width, art.Height, art.PixelsPerInch).ShouldBe((2, 3, 299.72));
    }

    // TIFF 6.0, section 2, "Types": readers should accept BYTE, SHORT or LONG values for any unsigned integer field.
    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    [InlineData(4)]
    public void Numbers_of_a_TIFF_file_come_in_any_unsigned_type(int type)
    {
        Oracle.Require();
        // Small, so that all numbers fit into a byte; each with every field that it has.
        var rgb = new TestTiff(5, 4, 8, 3) { RowsPerStrip = 2, Fields = [(282, 5, [300, 1]), (283, 5, [300, 1]), (296, 3, [3]), (274, 3, [6]), (339, 3, [1, 1, 1]), (254, 4, [0])] };
        TestTiff[] files =
        [
            rgb, rgb with { Apart = true, RowsPerStrip = 4 }, new TestTiff(3, 2, 16, 4) { Extra = 1, Sample = (_, _, c) => 9000 + (c * 6000) }, new TestTiff(3, 2, 8, 4) { Extra = 2, Compression = 5, Predictor = true },
            new TestTiff(3, 2, 8, 2) { Extra = 2, Photometric = 1, Compression = 8 }, new TestTiff(3, 2, 8, 4) { Photometric = 5, Fields = [(332, 3, [1])] },
            new TestTiff(5, 4, 8, 1) { Photometric = 0, Tile = 16, Compression = 8 }, new TestTiff(2, 2, 8, 3) { Pages = 2, LaterSubfileType = 1, Fields = [(254, 4, [1])] },
        ];
        foreach (var file in files.SelectMany(file => new[] { file, file with { Little = false } }))
        {
            var due = Oracle.Decode(file.Bytes());
            foreach (int tag in new[] { 254, 256, 257, 258, 259, 262, 273, 274, 277, 278, 279, 284, 296, 317, 322, 323, 324, 325, 332, 338, 339 })
            {
                var art = Oracle.Decode((file with { Typed = (tag, type) }).Bytes());
                string what = $"{file}, field {tag}";
                Oracle.Bytes(art.Pixels).ShouldBe(Oracle.Bytes(due.Pixels), what);
                (art.Mode, art.PixelsPerInch).ShouldBe((due.Mode, due.PixelsPerInch), what);
                art.Notes.ShouldBe(due.Notes, what);
            }
        }
    }

    // TIFF 6.0, section 19: SampleFormat 4 says that the writer didn't know; a reader treats it as if the field were absent.
    [Theory]
    [InlineData(8, 3)]
    [InlineData(16, 1)]
    public void A_TIFF_file_of_undefined_sample_format_is_of_unsigned_numbers(int depth, int type)
    {
        Oracle.Require();
        foreach (bool little in new[] { true, false })
        {
            var plain = new TestTiff(3, 2, depth, 4) { Little = little, Extra = 1, Sample = (x, y, c) => ((x * 20) + (y * 30) + (c * 40)) * (depth == 16 ? 257 : 1) };
            var art = Oracle.Decode((plain with { Fields = [(339, type, [4, 4, 4, 4])] }).Bytes());
            Oracle.Bytes(art.Pixels).ShouldBe(Oracle.Bytes(Oracle.Decode(plain.Bytes()).Pixels));
        }
    }

    // Fields that TIFF 6.0 gives a default, or that nothing depends on, may be absent.
    [Fact]
    public void Fields_of_a_TIFF_file_may_be_absent()
    {
        Oracle.Require();
        var gray = new TestTiff(4, 3, 8, 1) { Photometric = 1, RowsPerStrip = 3, Sample = (x, y, _) => (x * 40) + (y * 50) };
        byte[] due = Oracle.Bytes(Oracle.Decode(gray.Bytes()).Pixels);
        foreach (int tag in new[] { 259, 277, 278, 284 })
        {
            Oracle.Bytes(Oracle.Decode((gray with { Absent = [tag] }).Bytes()).Pixels).ShouldBe(due, $"{tag}");
        }
    }

    // Values/resolution_units.csv. TIFF 6.0: XResolution is a RATIONAL; ResolutionUnit 1 none, 2 inch (the default), 3 centimeter.
    [Fact]
    public void Resolutions_of_TIFF_files_come_to_a_hundredth()
    {
        Oracle.Require();
        foreach (var row in DecodePngTests.Table("resolution_units.csv"))
        {
            uint ppi = uint.Parse(row[0], CultureInfo.InvariantCulture), perCentimeter = (uint)Math.Round(double.Parse(row[3], CultureInfo.InvariantCulture) * 10_000);
            With((282, 5, [ppi, 1])).ShouldBe(ppi);
            With((282, 5, [ppi * 10, 10]), (296, 3, [2])).ShouldBe(ppi);
            With((282, 5, [perCentimeter, 10_000]), (296, 3, [3])).ShouldBe(ppi);
            With((282, 5, [ppi, 1]), (296, 3, [1])).ShouldBeNull();
        }

        With((283, 5, [300, 1])).ShouldBeNull("only the one down is stated");

        static double? With(params (int, int, uint[])[] fields) => Oracle.Decode(new TestTiff(2, 2, 8, 3) { Fields = fields }.Bytes()).PixelsPerInch;
    }

    // Each field as TIFF 6.0 or its registered additions give it.
    public static TheoryData<string, string, string> Kinds() => new()
    {
        { "compression 2", "R3005", "fax" }, { "compression 6", "R3005", "older kind of JPEG" }, { "inks in JPEG", "R3005", "JPEG" },
        { "compression 50000", "R3005", "Zstandard" }, { "compression 99", "R3005", "99" },
        { "palette", "R3004", "color map" }, { "deep palette", "R3005", "16 bits" }, { "palette and alpha", "R3005", "beside its palette" },
        { "ycbcr", "R3005", "YCbCr without JPEG" }, { "lab", "R3005", "L*a*b*" }, { "float", "R3005", "floating" }, { "signed", "R3005", "signed" },
        { "32 bits", "R3005", "32 bits" }, { "pages", "R3005", "3 pages" }, { "unspecified", "R3005", "extra channel" }, { "two extra", "R3005", "2 channels" },
        { "tiles apart", "R3005", "plane for each" }, { "inks", "R3005", "other inks" }, { "huge", "R3006", "too large" }, { "empty", "R3006", "no pixels" }, { "cut", "R3004", "cut short" }, { "short strip", "R3004", "too short" },
    };

    [Theory]
    [MemberData(nameof(Kinds))]
    public void Other_TIFF_files_are_named(string kind, string code, string word)
    {
        Oracle.Require();
        var plain = new TestTiff(20, 20, 8, 3);
        byte[] file = kind switch
        {
            "compression 2" => With(259, 2), "compression 6" => With(259, 6), "compression 50000" => With(259, 50000), "compression 99" => With(259, 99),
            "inks in JPEG" => (plain with { Channels = 4, Photometric = 5, Fields = [(259, 3, [7])] }).Bytes(),
            "palette" => (plain with { Channels = 1, Photometric = 3 }).Bytes(), "ycbcr" => With(262, 6),
            "deep palette" => (plain with { Depth = 16, Channels = 1, Photometric = 3 }).Bytes(),
            "palette and alpha" => (plain with { Channels = 2, Photometric = 3, Extra = 2, Fields = [(320, 3, new uint[768])] }).Bytes(), "lab" => With(262, 8),
            "float" => With(339, 3), "signed" => With(339, 2), "32 bits" => (plain with { Depth = 32, Sample = (_, _, _) => 0 }).Bytes(),
            "pages" => (plain with { Pages = 3 }).Bytes(), "unspecified" => (plain with { Channels = 4, Extra = 0 }).Bytes(),
            "tiles apart" => (plain with { Tile = 16, Apart = true }).Bytes(), "two extra" => (plain with { Channels = 5, Extra = 2 }).Bytes(), "inks" => (plain with { Channels = 4, Photometric = 5, Fields = [(332, 3, [2])] }).Bytes(),
            "huge" => With(256, 30001), "empty" => With(256, 0), "cut" => plain.Bytes()[..^300], _ => With(278, 20),
        };
        if (kind == "short strip")
        {
            file = (plain with { Fields = [(278, 4, [20]), (273, 4, [8]), (279, 4, [100])] }).Bytes();
        }

        var problem = Should.Throw<ProblemException>(() => Oracle.Decode(file)).Problems.ShouldHaveSingleItem();
        problem.Code.Id.ShouldBe(code, problem.Message);
        problem.Message.ShouldContain(word);

        byte[] With(int tag, uint value) => (plain with { Fields = [(tag, 3, [value])] }).Bytes();
    }

    [Fact]
    public void A_small_copy_in_a_TIFF_file_is_left_aside()
    {
        Oracle.Require();
        Oracle.Decode(new TestTiff(20, 20, 8, 3) { Pages = 2, LaterSubfileType = 1 }.Bytes()).Notes.ShouldContain(note => note.Contains("left aside", StringComparison.Ordinal));
    }

    [Fact]
    public void A_TIFF_file_cut_anywhere_is_damaged_or_an_unreadable_directory()
    {
        Oracle.Require();
        byte[] file = new TestTiff(20, 12, 8, 3) { Compression = 8 }.Bytes();
        for (int length = 4; length < file.Length; length++)
        {
            Should.Throw<ProblemException>(() => Oracle.Decode(file[..length]), $"{length}").Problems[0].Code.ShouldBe(Codes.DamagedPicture);
        }
    }

    // Data that ends early inside a strip or a pass must never become black or clear pixels.
    [Theory]
    [InlineData(5)]
    [InlineData(8)]
    [InlineData(32773)]
    public void Pixel_data_that_ends_early_is_damaged(int compression)
    {
        Oracle.Require();
        var tiff = new TestTiff(40, 30, 8, 3) { Compression = compression, RowsPerStrip = 30 };
        byte[] file = tiff.Bytes();
        // Entries of 12 bytes: tag 279 (SHORT at 0), its value at 8.
        int directory = BinaryPrimitives.ReadInt32LittleEndian(file.AsSpan(4)), count = BinaryPrimitives.ReadUInt16LittleEndian(file.AsSpan(directory));
        int entry = Enumerable.Range(0, count).Select(i => directory + 2 + (12 * i)).First(at => BinaryPrimitives.ReadUInt16LittleEndian(file.AsSpan(at)) == 279);
        BinaryPrimitives.WriteInt32LittleEndian(file.AsSpan(entry + 8), BinaryPrimitives.ReadInt32LittleEndian(file.AsSpan(entry + 8)) / 2);
        Should.Throw<ProblemException>(() => Oracle.Decode(file)).Problems[0].Code.ShouldBe(Codes.DamagedPicture);
    }

    [Theory]
    [InlineData(8, 1)]
    [InlineData(16, 0)]
    public void A_PNG_whose_rows_end_early_is_damaged(int depth, byte interlace)
    {
        Oracle.Require();
        var png = new TestPng(20, 20, depth, 2) { Interlace = interlace, Rows = [.. Enumerable.Range(0, 20).Select(y => Enumerable.Range(0, 20 * 3 * depth / 8).Select(i => (byte)(i * y)).ToArray())] };
        byte[] whole = png.Filtered();
        byte[] file = [.. TestPng.Signature, .. TestPng.Header(20, 20, (byte)depth, 2, interlace), .. TestPng.Chunk("IDAT", TestPng.Deflate(whole.AsSpan(0, whole.Length - 200))), .. TestPng.Chunk("IEND")];
        Should.Throw<ProblemException>(() => Oracle.Decode(file)).Problems[0].Code.ShouldBe(Codes.DamagedPicture);
    }

    // PNG 3rd edition, 8.1; sizes as in the usual suites of small interlaced pictures, where passes stay empty.
    [Fact]
    public void Interlaced_PNG_files_of_every_size_and_kind_equal_plain_ones()
    {
        Oracle.Require();
        var random = new Random(7);
        for (int size = 1; size <= 9; size++)
        {
            foreach (var (type, depth) in new[] { (0, 1), (0, 2), (0, 4), (0, 8), (2, 8), (3, 1), (3, 4), (3, 8), (4, 8), (6, 8) })
            {
                var plain = new TestPng(size, 10 - size, depth, type) { Palette = type == 3 ? Bytes(3 << depth) : null };
                plain = plain with { Rows = [.. Enumerable.Range(0, plain.Height).Select(_ => Bytes(((size * plain.Channels * depth) + 7) / 8))] };
                var art = Oracle.Decode(plain.Interlaced().Bytes());
                art.Mode.ShouldEndWith("interlaced");
                Oracle.Bytes(art.Pixels).ShouldBe(Oracle.Bytes(Oracle.Decode(plain.Bytes()).Pixels), $"{size}, color type {type}, {depth} bits");
            }
        }

        byte[] Bytes(int count)
        {
            byte[] bytes = new byte[count];
            random.NextBytes(bytes);
            return bytes;
        }
    }

    [Fact]
    public void PNG_files_of_16_bits_are_rounded_with_their_transparency()
    {
        Oracle.Require();
        foreach (int type in new[] { 0, 2, 4, 6 })
        {
            foreach (bool interlaced in new[] { false, true })
            {
                var png = new TestPng(13, 7, 16, type);
                var random = new Random(type);
                byte[][] rows = [.. Enumerable.Range(0, 7).Select(_ => { byte[] row = new byte[13 * png.Channels * 2]; random.NextBytes(row); return row; })];
                png = png with { Rows = rows, Interlace = interlaced ? (byte)1 : (byte)0, Transparency = type is 0 or 2 ? rows[3][..(2 * png.Channels)] : null };
                var art = Oracle.Decode(png.Bytes());
                for (int y = 0; y < 7; y++)
                {
                    for (int x = 0; x < 13; x++)
                    {
                        byte[] levels = [.. Enumerable.Range(0, png.Channels).Select(c => (byte)Math.Round(BinaryPrimitives.ReadUInt16BigEndian(rows[y].AsSpan(2 * ((x * png.Channels) + c))) / 257.0))];
                        byte alpha = type is 4 or 6 ? levels[^1] : (x, y) == (0, 3) ? (byte)0 : (byte)255;
                        art.Pixels[x, y].ShouldBe(new Rgba8(levels[0], levels[type is 2 or 6 ? 1 : 0], levels[type is 2 or 6 ? 2 : 0], alpha), $"type {type}, {x}, {y}");
                    }
                }
            }
        }
    }

    [Fact]
    public void Plain_files_need_no_conversion_and_others_say_so()
    {
        Oracle.Require();
        Decoders.ArtDecoder.DecodePlain(new TestPng(2, 2, 8, 6).Bytes(), "art.png").ShouldNotBeNull();
        Decoders.ArtDecoder.DecodePlain(Oracle.Webp(16, 16, Oracle.Puffin, true), "art.webp").ShouldNotBeNull();
        Decoders.ArtDecoder.DecodePlain(Oracle.Jpeg(16, 16, Oracle.Puffin), "art.jpg").ShouldBeNull();
        Decoders.ArtDecoder.DecodePlain(new TestPng(2, 2, 16, 6).Bytes(), "art.png").ShouldBeNull();
        Decoders.ArtDecoder.DecodePlain(new TestTiff(2, 2, 8, 3).Bytes(), "art.tif").ShouldBeNull();
    }

    // The judge is libtiff behind NetVips: a whole picture as another program writes it.
    [Fact]
    public void TIFF_files_of_another_writer_come_exactly()
    {
        Oracle.Require();
        using var image = Image.NewFromMemory(Oracle.Bytes(Oracle.Plane(150, 140, Oracle.Puffin)), 150, 140, 4, Enums.BandFormat.Uchar).Copy(interpretation: Enums.Interpretation.Srgb);
        foreach (var compression in new[] { Enums.ForeignTiffCompression.None, Enums.ForeignTiffCompression.Lzw, Enums.ForeignTiffCompression.Deflate, Enums.ForeignTiffCompression.Packbits })
        {
            byte[] file = image.TiffsaveBuffer(compression, predictor: Enums.ForeignTiffPredictor.Horizontal, tile: compression == Enums.ForeignTiffCompression.Lzw);
            Oracle.Bytes(Oracle.Decode(file).Pixels).ShouldBe(Oracle.Bytes(Oracle.Plane(150, 140, Oracle.Puffin)));
        }
    }
}
