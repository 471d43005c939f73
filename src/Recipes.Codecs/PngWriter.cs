using System.Buffers.Binary;
using System.IO.Compression;
using System.Numerics;
using System.Runtime.InteropServices;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Codecs;

/// <summary>Writes PNG files: 8-bit RGBA, RGB where every pixel is opaque, or gray; never interlaced, marked as sRGB.</summary>
/// <remarks>
/// Portable Network Graphics, W3C Recommendation, 3rd edition. The same pixels and arguments give the same bytes. Each row takes
/// the filter None, Sub or Up whose output has the smallest sum of absolute values (the heuristic of 12.7 without the two
/// slow filters).
/// </remarks>
public static class PngWriter
{
    // The sRGB chunk's companions for readers that don't know it: gamma and chromaticities times 100,000 (11.3.2.5, table of sRGB values).
    private const uint Gamma = 45455;
    private static readonly uint[] Chromaticities = [31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000];

    // 11.3.2.5: relative colorimetric is "for images requiring color appearance matching relative to the output device
    // white point, such as logos".
    private const byte RelativeColorimetric = 1;

    private const double MetersPerInch = 0.0254;
    private const byte Gray = 0, Rgb = 2, Rgba = 6;
    private const byte None = 0, Sub = 1, Up = 2;

    private static ReadOnlySpan<byte> Signature => [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A];

    /// <summary>Writes pixels, without their alpha where all of it is 255.</summary>
    /// <param name="target">Written from its position on; neither flushed nor closed.</param>
    /// <param name="pixels">Straight alpha; the color under alpha 0 is kept.</param>
    /// <param name="pixelsPerInch">Resolution above 0; null leaves it out.</param>
    /// <param name="texts">Text entries in the order given; null for none.</param>
    /// <exception cref="ArgumentException">The resolution or a keyword can't be stored.</exception>
    public static void Write(Stream target, Plane<Rgba8> pixels, double? pixelsPerInch = null, IReadOnlyList<PngText>? texts = null)
    {
        ArgumentNullException.ThrowIfNull(target);
        ArgumentNullException.ThrowIfNull(pixels);
        bool opaque = pixels.Tiles.All(IsOpaque);
        WriteHead(target, pixels.Grid, opaque ? Rgb : Rgba, pixelsPerInch, texts);
        var whole = new Rgba8[pixels.Width];
        WriteRows(target, pixels.Grid, opaque ? 3 : 4, (y, row) =>
        {
            if (opaque)
            {
                pixels.CopyRowTo(y, whole);
                DropAlpha(whole, row);
            }
            else
            {
                pixels.CopyRowTo(y, MemoryMarshal.Cast<byte, Rgba8>(row));
            }
        });
        WriteChunk(target, "IEND"u8, []);
    }

    /// <summary>The pixels as a PNG in memory, for a page that holds its pictures itself.</summary>
    public static byte[] Encode(Plane<Rgba8> pixels)
    {
        using var stream = new MemoryStream();
        Write(stream, pixels);
        return stream.ToArray();
    }

    /// <summary>Writes one channel as gray, such as a region's coverage or an underbase, 0 black to 255 white.</summary>
    /// <inheritdoc cref="Write(Stream, Plane{Rgba8}, double?, IReadOnlyList{PngText}?)"/>
    public static void Write(Stream target, Plane<byte> samples, double? pixelsPerInch = null, IReadOnlyList<PngText>? texts = null)
    {
        ArgumentNullException.ThrowIfNull(target);
        ArgumentNullException.ThrowIfNull(samples);
        WriteHead(target, samples.Grid, Gray, pixelsPerInch, texts);
        WriteRows(target, samples.Grid, 1, samples.CopyRowTo);
        WriteChunk(target, "IEND"u8, []);
    }

    private delegate void RowSource(int y, Span<byte> row);

    // Everything before the pixels, in an order that table 7 of the specification permits.
    private static void WriteHead(Stream target, TileGrid size, byte colorType, double? pixelsPerInch, IReadOnlyList<PngText>? texts)
    {
        target.Write(Signature);

        Span<byte> header = stackalloc byte[13];
        BinaryPrimitives.WriteInt32BigEndian(header, size.Width);
        BinaryPrimitives.WriteInt32BigEndian(header[4..], size.Height);
        header[8] = 8;
        header[9] = colorType;
        header[10..].Clear();
        WriteChunk(target, "IHDR"u8, header);

        Span<byte> chromaticities = stackalloc byte[32];
        for (int i = 0; i < Chromaticities.Length; i++)
        {
            BinaryPrimitives.WriteUInt32BigEndian(chromaticities[(4 * i)..], Chromaticities[i]);
        }

        WriteChunk(target, "cHRM"u8, chromaticities);
        Span<byte> gamma = stackalloc byte[4];
        BinaryPrimitives.WriteUInt32BigEndian(gamma, Gamma);
        WriteChunk(target, "gAMA"u8, gamma);
        WriteChunk(target, "sRGB"u8, [RelativeColorimetric]);

        if (pixelsPerInch is { } ppi)
        {
            double perMeter = Math.Round(ppi / MetersPerInch, MidpointRounding.AwayFromZero);
            if (perMeter is not (>= 1 and <= int.MaxValue))
            {
                throw new ArgumentOutOfRangeException(nameof(pixelsPerInch), "The resolution can't be stored in a PNG file.");
            }

            Span<byte> physical = stackalloc byte[9];
            BinaryPrimitives.WriteInt32BigEndian(physical, (int)perMeter);
            BinaryPrimitives.WriteInt32BigEndian(physical[4..], (int)perMeter);
            physical[8] = 1; // the unit is the meter
            WriteChunk(target, "pHYs"u8, physical);
        }

        foreach (var (keyword, text) in texts ?? [])
        {
            WriteChunk(target, "iTXt"u8, InternationalText(keyword, text));
        }
    }

    private static byte[] InternationalText(string keyword, string text)
    {
        if (keyword is not { Length: >= 1 and <= 79 } || keyword.Any(c => c is < ' ' or > '~')
            || keyword.Trim() != keyword || keyword.Contains("  ", StringComparison.Ordinal))
        {
            throw new ArgumentException("A PNG keyword is 1 to 79 printable ASCII characters without outer or doubled spaces.", nameof(keyword));
        }

        if (text.Contains('\0', StringComparison.Ordinal))
        {
            throw new ArgumentException("A PNG text can't hold the null character.", nameof(text));
        }

        // Keyword, null, compression flag and method 0, empty language and translated keyword each ended by a null, text.
        return [.. Encoding.ASCII.GetBytes(keyword), 0, 0, 0, 0, 0, .. Encoding.UTF8.GetBytes(text)];
    }

    private static void WriteRows(Stream target, TileGrid size, int channels, RowSource source)
    {
        int length = size.Width * channels;
        // Each candidate carries its filter's number before its bytes, as the row goes into the file.
        byte[] none = new byte[1 + length], sub = new byte[1 + length], up = new byte[1 + length], above = new byte[length];
        (none[0], sub[0], up[0]) = (None, Sub, Up);

        using var data = new ImageData(target);
        using var deflate = new ZLibStream(data, CompressionLevel.Fastest, leaveOpen: true);
        for (int y = 0; y < size.Height; y++)
        {
            var row = none.AsSpan(1);
            source(y, row);
            row[..channels].CopyTo(sub.AsSpan(1));
            Subtract(row[channels..], row, sub.AsSpan(1 + channels));
            Subtract(row, above, up.AsSpan(1));
            row.CopyTo(above);

            var best = none;
            long least = Cost(row), other = Cost(sub.AsSpan(1));
            if (other < least)
            {
                (best, least) = (sub, other);
            }

            if (Cost(up.AsSpan(1)) < least)
            {
                best = up;
            }

            deflate.Write(best);
        }
    }

    // Filtered = row - reference, bytes modulo 256; the reference may be longer.
    private static void Subtract(ReadOnlySpan<byte> row, ReadOnlySpan<byte> reference, Span<byte> filtered)
    {
        int i = 0;
        for (; i + Vector<byte>.Count <= row.Length; i += Vector<byte>.Count)
        {
            (new Vector<byte>(row[i..]) - new Vector<byte>(reference[i..])).CopyTo(filtered[i..]);
        }

        for (; i < row.Length; i++)
        {
            filtered[i] = (byte)(row[i] - reference[i]);
        }
    }

    // The sum of absolute values, each byte read as signed: the smaller of b and 256 - b.
    private static long Cost(ReadOnlySpan<byte> filtered)
    {
        long sum = 0;
        int i = 0;
        while (i + Vector<byte>.Count <= filtered.Length)
        {
            // A lane gains at most 2 x 128 a turn, so 255 turns fit 16 bits.
            var lanes = Vector<ushort>.Zero;
            for (int turn = 0; turn < 255 && i + Vector<byte>.Count <= filtered.Length; turn++, i += Vector<byte>.Count)
            {
                var bytes = new Vector<byte>(filtered[i..]);
                Vector.Widen(Vector.Min(bytes, Vector<byte>.Zero - bytes), out var low, out var high);
                lanes += low + high;
            }

            Vector.Widen(lanes, out var first, out var second);
            sum += Vector.Sum(first + second);
        }

        for (; i < filtered.Length; i++)
        {
            sum += Math.Min(filtered[i], 256 - filtered[i]);
        }

        return sum;
    }

    private static void DropAlpha(ReadOnlySpan<Rgba8> pixels, Span<byte> row)
    {
        for (int x = 0, i = 0; x < pixels.Length; x++, i += 3)
        {
            var pixel = pixels[x];
            row[i + 2] = pixel.B;
            row[i + 1] = pixel.G;
            row[i] = pixel.R;
        }
    }

    // Alpha is the highest byte of the little-endian word.
    private static bool IsOpaque(Tile<Rgba8> tile) => tile.IsOneValue
        ? tile.Value.A == 255
        : MemoryMarshal.Cast<Rgba8, uint>(tile.Samples).IndexOfAnyInRange(0u, 0xFEFFFFFFu) < 0;

    private static void WriteChunk(Stream target, ReadOnlySpan<byte> type, ReadOnlySpan<byte> data)
    {
        Span<byte> word = stackalloc byte[4];
        BinaryPrimitives.WriteInt32BigEndian(word, data.Length);
        target.Write(word);
        target.Write(type);
        target.Write(data);
        BinaryPrimitives.WriteUInt32BigEndian(word, PngCrc.Of(type, data));
        target.Write(word);
    }

    // Packs the deflated stream into IDAT chunks of 64 KB, so that no more than that is held back.
    private sealed class ImageData(Stream target) : Stream
    {
        private readonly byte[] buffer = new byte[1 << 16];
        private int filled;

        public override bool CanRead => false;

        public override bool CanSeek => false;

        public override bool CanWrite => true;

        public override long Length => throw new NotSupportedException();

        public override long Position
        {
            get => throw new NotSupportedException();
            set => throw new NotSupportedException();
        }

        public override void Write(byte[] bytes, int offset, int count) => Write(bytes.AsSpan(offset, count));

        public override void Write(ReadOnlySpan<byte> bytes)
        {
            while (!bytes.IsEmpty)
            {
                int step = Math.Min(bytes.Length, buffer.Length - filled);
                bytes[..step].CopyTo(buffer.AsSpan(filled));
                filled += step;
                bytes = bytes[step..];
                if (filled == buffer.Length)
                {
                    WriteOut();
                }
            }
        }

        // Chunks follow the buffer alone; the deflater's flushes don't cut them.
        public override void Flush()
        {
        }

        public override int Read(byte[] bytes, int offset, int count) => throw new NotSupportedException();

        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        public override void SetLength(long value) => throw new NotSupportedException();

        protected override void Dispose(bool disposing)
        {
            if (disposing && filled > 0)
            {
                WriteOut();
            }

            base.Dispose(disposing);
        }

        private void WriteOut()
        {
            WriteChunk(target, "IDAT"u8, buffer.AsSpan(0, filled));
            filled = 0;
        }
    }
}
