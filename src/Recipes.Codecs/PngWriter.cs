using System.Buffers.Binary;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Codecs;

/// <summary>Writes PNG files: 8-bit RGBA, RGB where every pixel is opaque, or gray; never interlaced, marked as sRGB.</summary>
/// <remarks>
/// Portable Network Graphics, W3C Recommendation, 3rd edition. The same pixels and arguments give the same bytes, on however many
/// cores: rows are deflated in strips, on all of them.
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

    // What a strip of rows inflates to, at most, unless one row is longer.
    private const int StripBytes = 1 << 19;

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
        bool opaque = IsOpaque(pixels);
        WriteHead(target, pixels.Grid, opaque ? Rgb : Rgba, pixelsPerInch, texts);
        WriteRows(pixels.Grid, opaque ? 3 : 4, (target, RowsOf(pixels, opaque)));
        WriteChunk(target, "IEND"u8, []);
    }

    /// <summary>Writes two states of one picture, each as <see cref="Write(Stream, Plane{Rgba8}, double?, IReadOnlyList{PngText}?)"/> does;
    /// what they share is made once.</summary>
    /// <param name="first">Where to, the pixels, and their resolution or null.</param>
    /// <param name="second">The same of the other state.</param>
    public static void WriteBoth(
        (Stream Target, Plane<Rgba8> Pixels, double? PixelsPerInch) first, (Stream Target, Plane<Rgba8> Pixels, double? PixelsPerInch) second)
    {
        Plane<Rgba8> before = first.Pixels, after = second.Pixels;
        bool opaque = IsOpaque(before);
        if (before.Grid != after.Grid || opaque != IsOpaque(after))
        {
            Parallel.Invoke(() => Write(first.Target, before, first.PixelsPerInch), () => Write(second.Target, after, second.PixelsPerInch));
            return;
        }

        WriteHead(first.Target, before.Grid, opaque ? Rgb : Rgba, first.PixelsPerInch, null);
        WriteHead(second.Target, after.Grid, opaque ? Rgb : Rgba, second.PixelsPerInch, null);
        WriteRows(before.Grid, opaque ? 3 : 4, (first.Target, RowsOf(before, opaque)), (second.Target, RowsOf(after, opaque), SameRows));
        WriteChunk(first.Target, "IEND"u8, []);
        WriteChunk(second.Target, "IEND"u8, []);

        // Tiles that nobody touched are the same objects.
        bool SameRows(int top, int bottom)
        {
            int start = top / TileGrid.Side * before.Grid.Columns, end = (((bottom - 1) / TileGrid.Side) + 1) * before.Grid.Columns;
            for (int tile = start; tile < end; tile++)
            {
                if (!ReferenceEquals(before.Tiles[tile], after.Tiles[tile]))
                {
                    return false;
                }
            }

            return true;
        }
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
        WriteRows(samples.Grid, 1, (target, samples.CopyRowTo));
        WriteChunk(target, "IEND"u8, []);
    }

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

    // Strips are cut by their size alone, whatever the machine, and each becomes one IDAT chunk. As many are under way as keep the
    // cores busy; where writing fails, those end by themselves, for they read immutable tiles and write to nothing but themselves.
    // A second picture takes the first one's strip where its rows, and the one above them that filters look at, are the same.
    private static void WriteRows(TileGrid size, int channels, (Stream Target, PngStrip.Source Rows) first,
        (Stream Target, PngStrip.Source Rows, Func<int, int, bool> AreSame)? second = null)
    {
        int length = size.Width * channels, rows = Math.Clamp(StripBytes / (1 + length), 1, size.Height);
        int count = (size.Height + rows - 1) / rows, ahead = Math.Min(count, 2 * Environment.ProcessorCount);
        var strips = new PngStrip[ahead];
        var others = new PngStrip?[ahead];
        var making = new Task[ahead];
        for (int i = 0; i < ahead; i++)
        {
            strips[i] = new PngStrip(length, channels, rows);
            Start(i);
        }

        uint adler = 1, otherAdler = 1;
        for (int i = 0; i < count; i++)
        {
            making[i % ahead].GetAwaiter().GetResult();
            var strip = strips[i % ahead];
            Append(first.Target, strip, ref adler, i == count - 1);
            if (second is { } other)
            {
                Append(other.Target, IsShared(i) ? strip : others[i % ahead]!, ref otherAdler, i == count - 1);
            }

            if (i + ahead < count)
            {
                Start(i + ahead);
            }
        }

        void Start(int i)
        {
            var make = new Task(() =>
            {
                Make(strips[i % ahead], first.Rows, i);
                if (second is { } other && !IsShared(i))
                {
                    Make(others[i % ahead] ??= new PngStrip(length, channels, rows), other.Rows, i);
                }
            });
            making[i % ahead] = make;
            if (count == 1)
            {
                // No thread is worth starting for a small picture.
                make.RunSynchronously();
            }
            else
            {
                make.Start(TaskScheduler.Current);
            }
        }

        void Make(PngStrip strip, PngStrip.Source source, int i) => strip.Make(source, i * rows, Math.Min(rows, size.Height - (i * rows)), i == count - 1);

        bool IsShared(int i) => second!.Value.AreSame(Math.Max(0, (i * rows) - 1), Math.Min((i + 1) * rows, size.Height));
    }

    private static void Append(Stream target, PngStrip strip, ref uint adler, bool last)
    {
        adler = PngStrip.Append(adler, strip.Adler, strip.Length);
        if (last)
        {
            BinaryPrimitives.WriteUInt32BigEndian(strip.Data.Span[^sizeof(uint)..], adler);
        }

        WriteChunk(target, "IDAT"u8, strip.Data.Span);
    }

    private static PngStrip.Source RowsOf(Plane<Rgba8> pixels, bool opaque) => opaque
        ? (y, row) => CopyOpaqueRowTo(pixels, y, row)
        : (y, row) => pixels.CopyRowTo(y, MemoryMarshal.Cast<byte, Rgba8>(row));

    private static void CopyOpaqueRowTo(Plane<Rgba8> pixels, int y, Span<byte> row)
    {
        int first = y / TileGrid.Side * pixels.Grid.Columns;
        for (int column = 0; column < pixels.Grid.Columns; column++)
        {
            var tile = pixels.Tiles[first + column];
            var target = row.Slice(column * TileGrid.Side * 3, tile.Width * 3);
            if (tile.IsOneValue)
            {
                (target[0], target[1], target[2]) = (tile.Value.R, tile.Value.G, tile.Value.B);
                for (int filled = 3; filled < target.Length; filled *= 2)
                {
                    target[..Math.Min(filled, target.Length - filled)].CopyTo(target[filled..]);
                }
            }
            else
            {
                DropAlpha(tile.Samples.Slice(y % TileGrid.Side * tile.Width, tile.Width), target);
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void DropAlpha(ReadOnlySpan<Rgba8> pixels, Span<byte> row)
    {
        // Four pixels at a time, whose twelve bytes take four that the next pixels write over.
        var kept = Vector128.Create((byte)0, 1, 2, 4, 5, 6, 8, 9, 10, 12, 13, 14, 255, 255, 255, 255);
        int x = 0;
        for (; (3 * x) + Vector128<byte>.Count <= row.Length; x += 4)
        {
            Vector128.Shuffle(Vector128.Create(MemoryMarshal.AsBytes(pixels.Slice(x, 4))), kept).CopyTo(row[(3 * x)..]);
        }

        for (; x < pixels.Length; x++)
        {
            var pixel = pixels[x];
            row[(3 * x) + 2] = pixel.B;
            row[(3 * x) + 1] = pixel.G;
            row[3 * x] = pixel.R;
        }
    }

    private static bool IsOpaque(Plane<Rgba8> pixels) => pixels.Tiles.All(IsOpaque);

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
}
