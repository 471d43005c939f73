using System.Buffers.Binary;
using System.Collections.Immutable;
using System.IO.Compression;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Recipes.Imaging;

namespace Recipes.Decoders;

/// <summary>Decodes the pixels of a checked PNG file, exactly, one row of tiles at a time.</summary>
/// <remarks>
/// Our own and not the library's, which gives clear black for missing rows and another color for an index beyond the palette
/// without a word. Whether the data is whole shows only when it is inflated, so inflating once does both; rows go straight into tiles.
/// Code with vectors isn't compiled ahead, so it is marked to be optimized at its first call.
/// </remarks>
internal static class PngPixels
{
    // Bytes behind each row, so that its last pixel can be read as a whole word.
    private const int Padding = 3;

    // Alpha 255 in a little-endian word of R, G, B, A.
    private const uint Opaque = 0xFF000000;

    public static Plane<Rgba8> Decode(PngStructure png, Refusal refusal)
    {
        var grid = new TileGrid(png.Heading.Width, png.Heading.Height);
        int bitsPerPixel = png.Channels * png.BitDepth;
        // A row in the file: its filter's number, then its samples.
        int length = 1 + (int)((((long)grid.Width * bitsPerPixel) + 7) / 8), stride = length + Padding;
        // 9.2: filters look back by whole bytes, at least one.
        int step = Math.Max(1, bitsPerPixel / 8);
        // The first row of each buffer is the one above the band; above the picture it is all zeros (9.2).
        byte[] band = new byte[(1 + Math.Min(grid.Height, TileGrid.Side)) * stride], ahead = new byte[band.Length];
        var expand = Expander(png, refusal);
        var tiles = ImmutableArray.CreateBuilder<Tile<Rgba8>>(grid.Count);
        using var inflate = new ZLibStream(new PieceStream(png.Data), CompressionMode.Decompress);

        // One core inflates the next row of tiles while another works on this one.
        var inflating = Task.Run(() => Inflate(ahead, 0));
        for (int top = 0; top < grid.Height; top += TileGrid.Side)
        {
            inflating.GetAwaiter().GetResult();
            band.AsSpan(band.Length - stride).CopyTo(ahead);
            (band, ahead) = (ahead, band);
            byte[] target = ahead;
            int below = top + TileGrid.Side;
            inflating = Task.Run(() => Inflate(target, below));
            try
            {
                byte[] rows = band;
                UnfilterRows(rows.AsSpan(0, (1 + Math.Min(TileGrid.Side, grid.Height - top)) * stride), stride, step, refusal);
                AddTiles(grid, tiles, (x, y, pixels) => expand(rows.AsSpan(((1 + y) * stride) + 1 + (int)((long)x * bitsPerPixel / 8)), pixels));
            }
            catch
            {
                // The stream must not be closed under the other core.
                inflating.ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing).GetAwaiter().GetResult();
                throw;
            }
        }

        inflating.GetAwaiter().GetResult();
        return new Plane<Rgba8>(grid.Width, grid.Height, tiles.MoveToImmutable());

        void Inflate(byte[] rows, int top)
        {
            for (int y = top; y < Math.Min(grid.Height, top + TileGrid.Side); y++)
            {
                if (Read(inflate, rows.AsSpan((1 + y - top) * stride, length), refusal) < length)
                {
                    throw refusal.Damaged($"its pixel data ends in row {y + 1} of {grid.Height}");
                }
            }

            if (top >= grid.Height)
            {
                // Reaching the end makes the inflater compare its checksum where there is one; data beyond the picture is ignored.
                Read(inflate, stackalloc byte[1], refusal);
            }
        }
    }

    private static int Read(ZLibStream inflate, Span<byte> target, Refusal refusal)
    {
        try
        {
            return inflate.ReadAtLeast(target, target.Length, throwOnEndOfStream: false);
        }
        catch (Exception e) when (e is InvalidDataException or IOException)
        {
            // The inflater calls damage invalid data, and a stream that asks for a preset dictionary (RFC 1950, 2.2) a failure of its own.
            throw refusal.Damaged("its pixel data can't be inflated", e);
        }
    }

    /// <summary>Fills a part of a row: from so many px across and down within the row of tiles.</summary>
    internal delegate void RowPart(int x, int y, Span<Rgba8> pixels);

    /// <summary>Adds the tiles of the next row of tiles.</summary>
    internal static void AddTiles(TileGrid grid, ImmutableArray<Tile<Rgba8>>.Builder tiles, RowPart fill)
    {
        Rgba8[] samples = [];
        for (int column = 0; column < grid.Columns; column++)
        {
            var bounds = grid.Bounds(tiles.Count);
            int count = bounds.Width * bounds.Height;
            // A tile of one value leaves its samples to the next one.
            samples = samples.Length == count ? samples : GC.AllocateUninitializedArray<Rgba8>(count);
            for (int y = 0; y < bounds.Height; y++)
            {
                fill(bounds.X, y, samples.AsSpan(y * bounds.Width, bounds.Width));
            }

            var tile = Tile<Rgba8>.Adopt(bounds.Width, bounds.Height, samples);
            tiles.Add(tile);
            samples = tile.IsOneValue ? samples : [];
        }
    }

    private static void UnfilterRows(Span<byte> band, int stride, int step, Refusal refusal)
    {
        for (int at = stride; at < band.Length; at += stride)
        {
            Unfilter(band.Slice(at, stride), band.Slice(at - stride + 1, stride - 1), step, refusal);
        }
    }

    // 9.2: None, Sub, Up, Average, Paeth, bytes modulo 256. The first byte is the filter's number. Both rows are padded.
    private static void Unfilter(Span<byte> filtered, ReadOnlySpan<byte> above, int step, Refusal refusal)
    {
        var row = filtered[1..];
        switch (filtered[0])
        {
            case 0:
                break;
            case 1:
                Restore<Sub>(row, above, step);
                break;
            case 2:
                RowDifferences.Undo(row, above);
                break;
            case 3:
                Restore<Average>(row, above, step);
                break;
            case 4:
                Restore<Paeth>(row, above, step);
                break;
            default:
                throw refusal.Damaged("a row names a filter that doesn't exist");
        }
    }

    // One pixel at a time, its 1 to 4 bytes as lanes of one word. Lanes beyond the pixel hold whatever follows and are not stored.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Restore<TFilter>(Span<byte> row, ReadOnlySpan<byte> above, int step)
        where TFilter : IFilter
    {
        uint left = 0, corner = 0, lanes = uint.MaxValue >> (32 - (8 * step));
        for (int i = 0; i < row.Length - Padding; i += step)
        {
            if (typeof(TFilter) == typeof(Paeth) && ((left ^ corner) & lanes) == 0 && row[i] == 0)
            {
                // Where left and upper left are alike, the nearest is the one above; so a stretch of zeros is the row above as it is.
                // Flat art is hardly anything else.
                int zeros = row[i..^Padding].IndexOfAnyExcept((byte)0);
                int copied = zeros < 0 ? row.Length - Padding - i : zeros / step * step;
                if (copied > 0)
                {
                    above.Slice(i, copied).CopyTo(row[i..]);
                    i += copied - step;
                    left = corner = BinaryPrimitives.ReadUInt32LittleEndian(above[i..]);
                    continue;
                }
            }

            uint up = BinaryPrimitives.ReadUInt32LittleEndian(above[i..]);
            left = TFilter.Restore(BinaryPrimitives.ReadUInt32LittleEndian(row[i..]), left, up, corner);
            corner = up;
            switch (step)
            {
                case 4:
                    BinaryPrimitives.WriteUInt32LittleEndian(row[i..], left);
                    break;
                case 3:
                    BinaryPrimitives.WriteUInt16LittleEndian(row[i..], (ushort)left);
                    row[i + 2] = (byte)(left >> 16);
                    break;
                case 2:
                    BinaryPrimitives.WriteUInt16LittleEndian(row[i..], (ushort)left);
                    break;
                default:
                    row[i] = (byte)left;
                    break;
            }
        }
    }

    private interface IFilter
    {
        static abstract uint Restore(uint filtered, uint left, uint above, uint corner);
    }

    private readonly struct Sub : IFilter
    {
        public static uint Restore(uint filtered, uint left, uint above, uint corner) => Add(filtered, left);
    }

    private readonly struct Average : IFilter
    {
        // (a + b) / 2 rounded down, in each lane: the shared bits and half of the others.
        public static uint Restore(uint filtered, uint left, uint above, uint corner) =>
            Add(filtered, (left & above) + (((left ^ above) & 0xFEFEFEFE) >> 1));
    }

    private readonly struct Paeth : IFilter
    {
        // 9.4: whichever of left, above and upper left is nearest to left + above - upper left, ties in that order.
        public static uint Restore(uint filtered, uint left, uint above, uint corner)
        {
            Vector128<short> a = Widen(left), b = Widen(above), c = Widen(corner);
            Vector128<short> fromA = b - c, fromB = a - c;
            Vector128<short> toA = Vector128.Abs(fromA), toB = Vector128.Abs(fromB), toC = Vector128.Abs(fromA + fromB);
            var nearest = Vector128.ConditionalSelect(
                Vector128.LessThanOrEqual(toA, Vector128.Min(toB, toC)),
                a,
                Vector128.ConditionalSelect(Vector128.LessThanOrEqual(toB, toC), b, c));
            return Add(filtered, Vector128.Narrow(nearest.AsUInt16(), nearest.AsUInt16()).AsUInt32().ToScalar());
        }

        private static Vector128<short> Widen(uint lanes) => Vector128.WidenLower(Vector128.CreateScalar(lanes).AsByte()).AsInt16();
    }

    // Adds each of four lanes modulo 256: without the high bits nothing carries over, and they are added last.
    private static uint Add(uint a, uint b) => ((a & 0x7F7F7F7F) + (b & 0x7F7F7F7F)) ^ ((a ^ b) & 0x80808080);

    private delegate void RowExpander(ReadOnlySpan<byte> row, Span<Rgba8> pixels);

    private static RowExpander Expander(PngStructure png, Refusal refusal)
    {
        switch (png.ColorType)
        {
            case PngStructure.Rgba:
                return (row, pixels) => MemoryMarshal.Cast<byte, Rgba8>(row)[..pixels.Length].CopyTo(pixels);
            case PngStructure.GrayAlpha:
                return (row, pixels) =>
                {
                    for (int x = 0; x < pixels.Length; x++)
                    {
                        byte gray = row[2 * x];
                        pixels[x] = new Rgba8(gray, gray, gray, row[(2 * x) + 1]);
                    }
                };
            case PngStructure.Rgb:
                // The key is three 16-bit values of which the low 8 bits count (11.3.1.1). No opaque pixel equals 0, which stands for no key.
                var transparency = png.Transparency.Span;
                uint key = transparency.IsEmpty ? 0 : Opaque | (uint)(transparency[1] | (transparency[3] << 8) | (transparency[5] << 16));
                return (row, pixels) => ExpandRgb(row, MemoryMarshal.Cast<Rgba8, uint>(pixels), key);
            default:
                var colors = png.ColorType == PngStructure.Indexed ? PaletteColors(png) : GrayColors(png);
                return (row, pixels) => LookUp(row, pixels, png.BitDepth, colors, refusal);
        }
    }

    /// <summary>Three bytes a pixel to opaque pixels; those that then equal a key other than 0 become clear.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static void ExpandRgb(ReadOnlySpan<byte> row, Span<uint> pixels, uint key)
    {
        int x = 0;
        // Four pixels of twelve bytes at a time, of sixteen that are read.
        for (; x + 6 <= pixels.Length; x += 4)
        {
            var spread = Vector128.Create((byte)0, 1, 2, 99, 3, 4, 5, 99, 6, 7, 8, 99, 9, 10, 11, 99);
            var four = Vector128.Shuffle(Vector128.Create<byte>(row[(3 * x)..]), spread).AsUInt32() | Vector128.Create(Opaque);
            (four & ~(Vector128.Equals(four, Vector128.Create(key)) & Vector128.Create(Opaque))).CopyTo(pixels[x..]);
        }

        for (; x < pixels.Length; x++)
        {
            uint pixel = row[3 * x] | ((uint)row[(3 * x) + 1] << 8) | ((uint)row[(3 * x) + 2] << 16) | Opaque;
            pixels[x] = pixel == key ? pixel & ~Opaque : pixel;
        }
    }

    private static Rgba8[] PaletteColors(PngStructure png)
    {
        var palette = png.Palette.Span;
        var transparency = png.Transparency.Span;
        var colors = new Rgba8[palette.Length / 3];
        for (int i = 0; i < colors.Length; i++)
        {
            colors[i] = new Rgba8(palette[3 * i], palette[(3 * i) + 1], palette[(3 * i) + 2], i < transparency.Length ? transparency[i] : (byte)255);
        }

        return colors;
    }

    // Samples of fewer bits are scaled to the full range (13.12); 255 is divisible by 1, 3, 15 and 255. The key is masked to the depth (11.3.1.1).
    private static Rgba8[] GrayColors(PngStructure png)
    {
        int largest = (1 << png.BitDepth) - 1;
        var colors = new Rgba8[largest + 1];
        int key = png.Transparency.IsEmpty ? -1 : png.Transparency.Span[1] & largest;
        for (int i = 0; i < colors.Length; i++)
        {
            byte gray = (byte)(i * (255 / largest));
            colors[i] = new Rgba8(gray, gray, gray, i == key ? (byte)0 : (byte)255);
        }

        return colors;
    }

    private static void LookUp(ReadOnlySpan<byte> row, Span<Rgba8> pixels, int depth, Rgba8[] colors, Refusal refusal)
    {
        int mask = (1 << depth) - 1;
        for (int x = 0; x < pixels.Length; x++)
        {
            // The leftmost pixel lies in the highest bits (7.2).
            long bit = (long)x * depth;
            int index = (row[(int)(bit >> 3)] >> (8 - depth - (int)(bit & 7))) & mask;
            if (index >= colors.Length)
            {
                throw refusal.Damaged($"a pixel names color {index} of a palette of {colors.Length}");
            }

            pixels[x] = colors[index];
        }
    }
}
