using System.Buffers.Binary;
using System.Globalization;
using System.IO.Compression;
using System.Numerics;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Codecs.Tests;

/// <summary>Files that the writer makes, against the PNG specification and as other libraries read them.</summary>
public class PngWriterTests
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

    // A strip is as many rows as fit 512 KB: 128 of 1365 opaque pixels fill it to the byte, as one filter byte and 4095 samples.
    [Theory]
    [InlineData(1365, 1, 1)]
    [InlineData(1365, 127, 1)]
    [InlineData(1365, 128, 1)]
    [InlineData(1365, 129, 2)]
    [InlineData(1365, 256, 2)]
    [InlineData(1365, 257, 3)]
    [InlineData(200_000, 3, 3)]
    public void Strips_join_to_one_picture(int width, int height, int strips)
    {
        Oracle.Require();
        var plane = Oracle.Plane(width, height, (x, y) => y % 50 > 45 || x * y % 7 == 0 ? Rgba8.White : Oracle.Puffin(x, y));
        byte[] file = Write(plane), pixels = Oracle.Bytes(plane);
        TestPng.Chunks(file).Count(c => c.Type == "IDAT").ShouldBe(strips);
        Oracle.Skia(file).ShouldBe(pixels);
        Oracle.Vips(file).ShouldBe(pixels);
        // The inflater compares the checksum of all strips where the data ends.
        Inflated(file).Length.ShouldBe(height * (1 + (3 * width)));
    }

    // Grain in which each further value is half as frequent, so that the rarest would take codes of over 12 bits, with runs of all
    // lengths in it; the sizes lie around a block of 128 KB and a strip of 512 KB.
    [Theory]
    [InlineData(1023, 127)]
    [InlineData(1023, 128)]
    [InlineData(1023, 129)]
    [InlineData(1023, 512)]
    [InlineData(1023, 513)]
    [InlineData(700_000, 2)]
    [InlineData(47, 31)]
    public void Grain_reads_back(int width, int height)
    {
        Oracle.Require();
        var plane = Plane<byte>.Build(width, height, null, (bounds, samples) =>
        {
            for (int i = 0; i < samples.Length; i++)
            {
                int x = bounds.X + (i % bounds.Width), y = bounds.Y + (i / bounds.Width);
                int grain = BitOperations.TrailingZeroCount(Hash(x, y) | 0x80000);
                samples[i] = x % 1000 > 600 - y && x % 1000 < 600 ? (byte)255 : (byte)((grain * 5) + (y % 2 * 40));
            }
        });
        using var target = new MemoryStream();
        PngWriter.Write(target, plane);
        byte[] file = target.ToArray(), gray = [.. plane.ToContiguous().SelectMany(v => (byte[])[v, v, v, 255])];
        Oracle.Skia(file).ShouldBe(gray);
        Oracle.Vips(file).ShouldBe(gray);
        Inflated(file).Length.ShouldBe(height * (1 + width));
        if (width > 47)
        {
            // RFC 1951, 3.2.7: a block that isn't the last, with codes of its own, for all 286 symbols and one distance.
            (BinaryPrimitives.ReadUInt16LittleEndian(TestPng.Chunks(file).First(c => c.Type == "IDAT").Data.AsSpan(2)) & 0x1FFF).ShouldBe(0b100 | (29 << 3), "only the search for runs makes such blocks");
        }
    }

    // A change in every row of tiles once, on both sides of a strip's edge (173 rows of 1000 opaque pixels, 131 with alpha), nowhere, and everywhere; the
    // other states are of another size, or opaque where the first isn't. What two states share is made once, and each file is what it is alone.
    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Two_states_together_are_the_same_bytes_as_each_alone(bool alpha)
    {
        var before = alpha ? Noise(1000, 900) : Oracle.Plane(1000, 900, (x, y) => Noisy(x, y).WithAlpha(255));
        int[] rows = [0, 130, 131, 172, 173, 255, 256, 345, 346, 511, 512, 700, 899];
        foreach (var after in rows.Select(row => Changed((_, y) => y == row)).Append(before).Append(Changed((_, _) => true)).Append(Changed((x, y) => x == y))
            .Append(Noise(900, 1000)).Append(Oracle.Plane(1000, 900, (x, y) => Noisy(y, x).WithAlpha((byte)(alpha ? 255 : 7)))))
        {
            using MemoryStream first = new(), second = new();
            PngWriter.WriteBoth((first, before, 300), (second, after, 150));
            first.ToArray().ShouldBe(Write(before, 300));
            second.ToArray().ShouldBe(Write(after, 150));
        }

        Plane<Rgba8> Changed(Func<int, int, bool> where) => Plane<Rgba8>.Build(1000, 900, before, (bounds, samples) =>
        {
            before.Tiles[before.Grid.IndexAt(bounds.X, bounds.Y)].CopyTo(samples);
            for (int i = 0; i < samples.Length; i++)
            {
                int x = bounds.X + (i % bounds.Width), y = bounds.Y + (i / bounds.Width);
                samples[i] = where(x, y) ? samples[i] with { R = (byte)(samples[i].R + 1) } : samples[i];
            }
        });
    }

    // Noise, but every sixteenth of a row the same: what a search for runs alone would miss.
    [Fact]
    public void What_repeats_is_found()
    {
        var plane = Oracle.Plane(1600, 300, (x, y) => new Rgba8((byte)Hash(x % 100, y), (byte)Hash(x % 100, y + 1000), (byte)Hash(x % 100, y + 2000)));
        Write(plane).Length.ShouldBeLessThan(1600 * 300 * 3 / 8);
    }

    // RFC 1950, 8.2 (s2 x 65536 + s1, modulo 65521), byte by byte.
    [Fact]
    public void The_checksum_is_that_of_all_rows()
    {
        byte[] file = Write(Noise(700, 500));
        uint s1 = 1, s2 = 0;
        foreach (byte b in Inflated(file))
        {
            s1 = (s1 + b) % 65521;
            s2 = (s2 + s1) % 65521;
        }

        BinaryPrimitives.ReadUInt32BigEndian(TestPng.Chunks(file).Last(c => c.Type == "IDAT").Data.AsSpan()[^4..]).ShouldBe((s2 << 16) | s1);
    }

    // PNG 3rd edition, 9.2 for the filters and 12.7 for the choice: each byte read as signed, the smallest sum of absolute values.
    [Fact]
    public void Every_row_takes_the_cheapest_of_four_filters()
    {
        var plane = Oracle.Plane(301, 400, (x, y) => (y / 40 % 5) switch
        {
            0 => new Rgba8((byte)(x * 3), 7, (byte)(y * 5), 99),
            1 => Oracle.Puffin(x, y),
            2 => (x + (2 * y)) % 5 == 0 ? new Rgba8(40, 30, 20, 10) : default,
            3 => new Rgba8((byte)(x * x), (byte)(x * 77), 0, (byte)(x * 31)),
            _ => new Rgba8((byte)(100 + (x * y * 7 % 31)), (byte)(90 + (x * x * y % 29)), (byte)(80 + (x * y * y % 23)), 255),
        });
        byte[] filtered = Inflated(Write(plane)), samples = Oracle.Bytes(plane);
        int length = 4 * plane.Width;
        var taken = new HashSet<int>();
        for (int y = 0; y < plane.Height; y++)
        {
            long[] costs = new long[4];
            for (int i = 0; i < length; i++)
            {
                int at = (y * length) + i, left = i < 4 ? 0 : samples[at - 4], above = y == 0 ? 0 : samples[at - length];
                int[] told = [0, left, above, (left + above) / 2];
                for (int filter = 0; filter < 4; filter++)
                {
                    costs[filter] += Math.Abs((int)(sbyte)(samples[at] - told[filter]));
                }
            }

            int number = filtered[y * (1 + length)];
            costs[number].ShouldBe(costs.Min(), $"row {y}");
            taken.Add(number);
        }

        taken.Count.ShouldBe(4, "the picture has rows for each filter");
    }

    [Fact]
    public async Task One_thread_and_many_write_the_same_bytes()
    {
        var plane = Noise(900, 700);
        byte[] alone = await Task.Factory.StartNew(() => Write(plane), TestContext.Current.CancellationToken, TaskCreationOptions.None, new OneThread());
        TestPng.Chunks(alone).Count(c => c.Type == "IDAT").ShouldBe(5);
        Write(plane).ShouldBe(alone);
    }

    [Fact]
    public void What_the_target_throws_comes_through()
    {
        using var full = new Full();
        Should.Throw<IOException>(() => PngWriter.Write(full, Noise(900, 700))).Message.ShouldBe("No space left.");
    }

    // PNG 3rd edition: order in table 7; sRGB's gAMA and cHRM companions in 11.3.2.5; pHYs in 11.3.4.3.
    [Fact]
    public void Chunks_lie_in_order_and_say_sRGB()
    {
        var chunks = TestPng.Chunks(Write(Noise(400, 400), 300, [new PngText("Recipes", "Größe"), new PngText("Comment", "")]));
        chunks.Select(c => c.Type).Distinct().ShouldBe(["IHDR", "cHRM", "gAMA", "sRGB", "pHYs", "iTXt", "IDAT", "IEND"]);
        chunks.Count(c => c.Type == "iTXt").ShouldBe(2);
        chunks.Count(c => c.Type == "IDAT").ShouldBeGreaterThan(1, "noise fills more than one strip");
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
        foreach (var row in DecodePngTests.Table("resolution_units.csv"))
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

    private static uint Hash(int x, int y)
    {
        uint h = ((uint)x * 2654435761) ^ ((uint)y * 2246822519);
        h = (h ^ (h >> 15)) * 3266489917;
        return h ^ (h >> 16);
    }

    private static Plane<Rgba8> Noise(int width, int height) => Oracle.Plane(width, height, Noisy);

    private static Rgba8 Noisy(int x, int y)
    {
        uint h = Hash(x, y);
        return new Rgba8((byte)h, (byte)(h >> 8), (byte)(h >> 16), (byte)(h >> 24));
    }

    private static byte[] Inflated(byte[] file)
    {
        using var zlib = new ZLibStream(new MemoryStream([.. TestPng.Chunks(file).Where(c => c.Type == "IDAT").SelectMany(c => c.Data)]), CompressionMode.Decompress);
        using var all = new MemoryStream();
        zlib.CopyTo(all);
        return all.ToArray();
    }

    private static byte[] Write(Plane<Rgba8> plane, double? ppi = null, IReadOnlyList<PngText>? texts = null)
    {
        using var target = new MemoryStream();
        PngWriter.Write(target, plane, ppi, texts);
        return target.ToArray();
    }

    // Runs what is started at once, where it is started.
    private sealed class OneThread : TaskScheduler
    {
        protected override void QueueTask(Task task) => TryExecuteTask(task);

        protected override bool TryExecuteTaskInline(Task task, bool taskWasPreviouslyQueued) => false;

        protected override IEnumerable<Task> GetScheduledTasks() => [];
    }

    private sealed class Full : MemoryStream
    {
        public override void Write(ReadOnlySpan<byte> buffer)
        {
            if (Length + buffer.Length > 1_000_000)
            {
                throw new IOException("No space left.");
            }

            base.Write(buffer);
        }
    }
}
