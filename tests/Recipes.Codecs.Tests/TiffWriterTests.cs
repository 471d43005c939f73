using System.Diagnostics;
using Recipes.Imaging;
using Image = NetVips.Image;

namespace Recipes.Codecs.Tests;

/// <summary>Files that the TIFF writer makes, as libtiff reads them: through NetVips, and by its own <c>tiffinfo</c>.</summary>
public class TiffWriterTests
{
    private static readonly Plane<Rgba8> Opaque = Oracle.Plane(300, 140, Oracle.Puffin);
    private static readonly Plane<Rgba8> Clear = Oracle.Plane(700, 500, (x, y) => Oracle.Puffin(x, y).WithAlpha((byte)(x * y)));

    [Fact]
    public void Another_library_reads_back_every_pixel()
    {
        Oracle.Require();
        // Noise of 700 x 500 x 4 bytes is more than one strip.
        foreach (var plane in new[] { Opaque, Clear, Oracle.Plane(1, 1, (_, _) => new Rgba8(1, 2, 3, 0)), Oracle.Plane(131, 1, Oracle.Puffin) })
        {
            byte[] file = Write(plane, 300, null);
            Oracle.Vips(file).ShouldBe(Oracle.Bytes(plane));
            var art = Oracle.Decode(file);
            art.Pixels.SameSamples(plane).ShouldBeTrue();
            art.PixelsPerInch.ShouldBe(300);
            art.Notes.ShouldBeEmpty("its profile means sRGB");
        }
    }

    // TIFF 6.0, section 4: a gray picture counted from black; libtiff behind NetVips is the judge.
    [Fact]
    public void Another_library_reads_a_gray_plane_back()
    {
        Oracle.Require();
        foreach (var (width, height) in new[] { (1, 1), (131, 1), (1500, 800) })
        {
            byte[] samples = [.. Enumerable.Range(0, width * height).Select(i => (byte)(i * 7 % 253))];
            byte[] file = Gray(Plane<byte>.FromContiguous(width, height, samples));
            using var image = Image.NewFromBuffer(file);
            (image.Width, image.Height, image.Bands, image.Format).ShouldBe((width, height, 1, NetVips.Enums.BandFormat.Uchar));
            image.Interpretation.ShouldBe(NetVips.Enums.Interpretation.Bw);
            image.WriteToMemory<byte>().ShouldBe(samples);
            (image.Xres * 25.4).ShouldBe(300, 0.001);
            image.Get("image-description").ShouldBe("puffin");
        }
    }

    [Fact]
    public void Resolution_and_text_are_kept()
    {
        Oracle.Require();
        using var image = Image.NewFromBuffer(Write(Clear, 299.72, "{\"schema\":1}"));
        (image.Xres * 25.4).ShouldBe(299.72, 0.001);
        image.Get("image-description").ShouldBe("{\"schema\":1}");
        Oracle.Decode(Write(Clear, 299.72, "{\"schema\":1}")).Provenance.ShouldBe("{\"schema\":1}");
        Oracle.Decode(Write(Opaque, null, null)).PixelsPerInch.ShouldBeNull();
        Oracle.Decode(Write(Opaque, null, null)).Provenance.ShouldBeNull();
        Should.Throw<ArgumentException>(() => Write(Opaque, 0, null));
        Should.Throw<ArgumentException>(() => Write(Opaque, 300, "pu\nffin"));
    }

    [Fact]
    public void Two_runs_give_the_same_bytes() => Write(Clear, 300, "x").ShouldBe(Write(Clear, 300, "x"));

    // 4 GB are 2^32 - 1 bytes (TIFF 6.0, section 2: offsets of 32 bits); 200 megapixels of four bytes fit.
    [Fact]
    public void The_largest_art_fits()
    {
        var largest = Plane<Rgba8>.OneValue(20_000, 10_000, new Rgba8(1, 2, 3, 4));
        using var counting = new CountingStream();
        TiffWriter.Write(counting, largest, 300);
        counting.Count.ShouldBeInRange(800_000_000, 800_100_000);
    }

    // tiffinfo of Debian's libtiff-tools warns of anything that isn't as it should be.
    [Theory]
    [InlineData(false, "ICC Profile: <present>", "unassoc-alpha", "Photometric Interpretation: RGB color")]
    [InlineData(true, "Photometric Interpretation: min-is-black", "Bits/Sample: 8", "Samples/Pixel: 1")]
    public async Task Libtiffs_own_tool_finds_nothing_to_warn_of(bool gray, params string[] says)
    {
        Oracle.RequireTool("tiffinfo", "libtiff-tools");
        string path = Path.GetTempFileName();
        try
        {
            var cancel = TestContext.Current.CancellationToken;
            await File.WriteAllBytesAsync(path, gray ? Gray(Plane<byte>.OneValue(700, 500, 128)) : Write(Clear, 300, "puffin"), cancel);
            using var process = Process.Start(new ProcessStartInfo("tiffinfo", ["-D", path]) { RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false })!;
            var errors = process.StandardError.ReadToEndAsync(cancel);
            string text = await process.StandardOutput.ReadToEndAsync(cancel);
            (await errors).ShouldBeEmpty();
            Array.ForEach(says, word => text.ShouldContain(word));
            text.ShouldContain("Image Width: 700 Image Length: 500");
            text.ShouldContain("Compression Scheme: None");
            text.ShouldContain("Resolution: 300, 300 pixels/inch");
        }
        finally
        {
            File.Delete(path);
        }
    }

    private static byte[] Write(Plane<Rgba8> plane, double? pixelsPerInch, string? description)
    {
        using var stream = new MemoryStream();
        TiffWriter.Write(stream, plane, pixelsPerInch, description);
        return stream.ToArray();
    }

    private static byte[] Gray(Plane<byte> samples)
    {
        using var stream = new MemoryStream();
        TiffWriter.Write(stream, samples, 300, "puffin");
        return stream.ToArray();
    }

    private sealed class CountingStream : Stream
    {
        public long Count { get; private set; }

        public override bool CanRead => false;

        public override bool CanSeek => false;

        public override bool CanWrite => true;

        public override long Length => Count;

        public override long Position { get => Count; set => throw new NotSupportedException(); }

        public override void Flush()
        {
        }

        public override int Read(byte[] buffer, int offset, int count) => throw new NotSupportedException();

        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        public override void SetLength(long value) => throw new NotSupportedException();

        public override void Write(byte[] buffer, int offset, int count) => Count += count;

        public override void Write(ReadOnlySpan<byte> buffer) => Count += buffer.Length;
    }
}
