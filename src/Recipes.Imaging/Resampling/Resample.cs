using System.Collections.Immutable;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Recipes.Imaging;

/// <summary>
/// Another pixel size: Lanczos-3 on premultiplied linear light, then three rules that keep a garment print clean. A channel
/// stays in the range of the pixels under the kernel's middle lobe, so flat areas stay exactly what they are and nothing
/// rings. Near-white and near-black that none of those pixels has becomes pure, or the nearest pixel. Pure white and pure
/// black come only from pixels that are.
/// </summary>
/// <remarks>
/// Every sum runs in one order, in single precision without fused operations, one pixel to a vector of four: all machines
/// give the same bytes.
/// </remarks>
public static class Resample
{
    /// <summary>Pixels whose three channels are within so many levels of 255 (of 0) count as near-white (near-black) here.</summary>
    public const int Near = 23;

    private const byte NearWhite = 1, White = 2, NearBlack = 4, Black = 8;
    private const uint NoColorLow = 0x00FFFFFF;
    private const int Bins = 4096;

    private static readonly ImmutableArray<float> Light = [.. Enumerable.Range(0, 256).Select(code => (float)Math.Round(Srgb.ToLinear((byte)code), 9))];

    // The linear light at which a code begins, half a level below it; the last ends the search.
    private static readonly ImmutableArray<float> Begins =
        [float.NegativeInfinity, .. Enumerable.Range(1, 255).Select(code => (float)Math.Round(Srgb.ToLinear((code - 0.5) / 255), 9)), float.PositiveInfinity];

    private static readonly ImmutableArray<byte> FirstOfBin = [.. Enumerable.Range(0, Bins).Select(bin =>
        (byte)(Begins.Count(begin => begin <= bin / (float)Bins) - 1))];

    /// <summary>The picture at another size; the same object at its own.</summary>
    /// <param name="art">The picture.</param>
    /// <param name="width">Width in px, 1 to <see cref="Artwork.LargestSide"/>.</param>
    /// <param name="height">Height in px, likewise.</param>
    public static Plane<Rgba8> To(Plane<Rgba8> art, int width, int height) => Part(art, width, height, new Box(0, 0, width, height));

    /// <summary>A part of the picture at another size, as it lies in the whole; the same object for the whole at its own.</summary>
    /// <param name="art">The picture.</param>
    /// <param name="fullWidth">Width of the whole in px; the part alone is bounded.</param>
    /// <param name="fullHeight">Height of the whole in px, likewise.</param>
    /// <param name="part">The part, inside the whole.</param>
    public static Plane<Rgba8> Part(Plane<Rgba8> art, int fullWidth, int fullHeight, Box part)
    {
        ArgumentNullException.ThrowIfNull(art);
        var (width, height) = (part.Width, part.Height);
        if (fullWidth == art.Width && fullHeight == art.Height)
        {
            return width == fullWidth && height == fullHeight ? art : Crop.Of(art, part);
        }

        var across = new Lanczos3(art.Width, fullWidth, part.X, width);
        var down = new Lanczos3(art.Height, fullHeight, part.Y, height);
        var grid = new TileGrid(width, height);
        var tiles = new Tile<Rgba8>[grid.Count];
        Parallel.For(0, grid.Rows, row =>
        {
            int top = row * TileGrid.Side, bottom = Math.Min(height, top + TileGrid.Side);
            var band = Band.Of(art, across, down, top, bottom);
            var pixels = new Rgba8[width * (bottom - top)];
            for (int y = top; y < bottom; y++)
            {
                band.Row(down[y], pixels.AsSpan((y - top) * width, width));
            }

            var scratch = new Rgba8[TileGrid.Side * TileGrid.Side];
            for (int i = row * grid.Columns; i < (row + 1) * grid.Columns; i++)
            {
                var bounds = grid.Bounds(i);
                for (int y = 0; y < bounds.Height; y++)
                {
                    pixels.AsSpan((y * width) + bounds.X, bounds.Width).CopyTo(scratch.AsSpan(y * bounds.Width));
                }

                tiles[i] = Tile<Rgba8>.Freeze(bounds.Width, bounds.Height, scratch.AsSpan(0, bounds.Width * bounds.Height));
            }
        });
        return new Plane<Rgba8>(width, height, ImmutableCollectionsMarshal.AsImmutableArray(tiles));
    }

    private static byte Code(float light)
    {
        int code = FirstOfBin[(int)Math.Clamp(light * Bins, 0, Bins - 1)];
        while (light >= Begins[code + 1])
        {
            code++;
        }

        return (byte)code;
    }

    private static bool IsNearWhite(Rgba8 p) => p.R >= 255 - Near && p.G >= 255 - Near && p.B >= 255 - Near;

    private static bool IsNearBlack(Rgba8 p) => p.R <= Near && p.G <= Near && p.B <= Near;

    private static byte KindOf(Rgba8 p)
    {
        if (p.A == 0)
        {
            return 0;
        }

        if (IsNearWhite(p))
        {
            return p.IsPureWhite ? White : NearWhite;
        }

        return !IsNearBlack(p) ? (byte)0 : p.IsPureBlack ? Black : NearBlack;
    }

    // A row of the picture, with what each pixel adds and the range that it bounds.
    private sealed class SourceRow(int width)
    {
        public Rgba8[] Pixels { get; } = new Rgba8[width];

        public Vector128<float>[] Lights { get; } = new Vector128<float>[width];

        public uint[] Lows { get; } = new uint[width];

        public uint[] Highs { get; } = new uint[width];

        public byte[] Kinds { get; } = new byte[width];

        public void Read(Plane<Rgba8> art, int y)
        {
            var (row, lights, kinds) = (Pixels, Lights, Kinds);
            uint[] lows = Lows, highs = Highs;
            art.CopyRowTo(y, row);
            for (int x = 0; x < row.Length; x++)
            {
                var p = row[x];
                float alpha = p.A / 255f;
                lights[x] = Vector128.Create(Light[p.R] * alpha, Light[p.G] * alpha, Light[p.B] * alpha, alpha);
                // A transparent pixel has an alpha and no color.
                uint packed = Packed(p);
                lows[x] = p.A == 0 ? NoColorLow : packed;
                highs[x] = p.A == 0 ? 0 : packed;
                kinds[x] = KindOf(p);
            }
        }
    }

    // What of the picture reaches some rows of the result: its rows, each resampled across already.
    private sealed class Band
    {
        private readonly int top, width;
        private readonly Vector128<float>[] light;
        private readonly uint[] low, high, nearest;
        private readonly byte[] kinds;

        private Band(int top, int rows, int width)
        {
            this.top = top;
            this.width = width;
            light = new Vector128<float>[rows * width];
            low = new uint[light.Length];
            high = new uint[light.Length];
            nearest = new uint[light.Length];
            kinds = new byte[light.Length];
        }

        public static Band Of(Plane<Rgba8> art, Lanczos3 across, Lanczos3 down, int first, int end)
        {
            int top = down[first].First, bottom = down[end - 1].First + down[end - 1].Weights.Length;
            var band = new Band(top, bottom - top, across.To);
            var row = new SourceRow(art.Width);
            for (int y = top; y < bottom; y++)
            {
                row.Read(art, y);
                band.Across(across, (y - top) * across.To, row);
            }

            return band;
        }

        private void Across(Lanczos3 across, int start, SourceRow row)
        {
            var (pixels, lights, rowKinds) = (row.Pixels, row.Lights, row.Kinds);
            uint[] lows = row.Lows, highs = row.Highs;
            for (int x = 0; x < width; x++)
            {
                var taps = across[x];
                var sum = Vector128<float>.Zero;
                for (int k = 0; k < taps.Weights.Length; k++)
                {
                    sum += lights[taps.First + k] * taps.Weights[k];
                }

                var least = Vector128<byte>.AllBitsSet;
                var most = Vector128<byte>.Zero;
                byte kind = 0;
                for (int k = taps.InnerFirst; k < taps.InnerFirst + taps.InnerCount; k++)
                {
                    least = Vector128.Min(least, Vector128.CreateScalar(lows[k]).AsByte());
                    most = Vector128.Max(most, Vector128.CreateScalar(highs[k]).AsByte());
                    kind |= rowKinds[k];
                }

                light[start + x] = sum;
                low[start + x] = least.AsUInt32().ToScalar();
                high[start + x] = most.AsUInt32().ToScalar();
                kinds[start + x] = kind;
                nearest[start + x] = Packed(pixels[taps.Nearest]);
            }
        }

        public void Row(Lanczos3.Taps taps, Span<Rgba8> target)
        {
            int start = (taps.First - top) * width, inner = (taps.InnerFirst - top) * width, close = (taps.Nearest - top) * width;
            for (int x = 0; x < width; x++)
            {
                var least = Vector128<byte>.AllBitsSet;
                var most = Vector128<byte>.Zero;
                byte kind = 0;
                for (int k = 0, i = inner + x; k < taps.InnerCount; k++, i += width)
                {
                    least = Vector128.Min(least, Vector128.CreateScalar(low[i]).AsByte());
                    most = Vector128.Max(most, Vector128.CreateScalar(high[i]).AsByte());
                    kind |= kinds[i];
                }

                Rgba8 lowest = Unpacked(least.AsUInt32().ToScalar()), highest = Unpacked(most.AsUInt32().ToScalar());
                if (lowest == highest)
                {
                    target[x] = lowest;
                    continue;
                }

                var own = Unpacked(nearest[close + x]);
                if (highest.A == 0)
                {
                    target[x] = own;
                    continue;
                }

                var sum = Vector128<float>.Zero;
                for (int k = 0, i = start + x; k < taps.Weights.Length; k++, i += width)
                {
                    sum += light[i] * taps.Weights[k];
                }

                target[x] = Clean(sum, lowest, highest, own, kind);
            }
        }
    }

    private static Rgba8 Clean(Vector128<float> sum, Rgba8 lowest, Rgba8 highest, Rgba8 own, byte kind)
    {
        float alpha = sum.GetElement(3);
        byte a = (byte)Math.Clamp((int)MathF.Floor((alpha * 255) + 0.5f), lowest.A, highest.A);
        if (a == 0)
        {
            return own.WithAlpha(0);
        }

        // A cover of less than half a level has no color to trust.
        var color = alpha * 510 < 1
            ? own.A == 0 ? lowest : own
            : new Rgba8(
                Math.Clamp(Code(sum.GetElement(0) / alpha), lowest.R, highest.R),
                Math.Clamp(Code(sum.GetElement(1) / alpha), lowest.G, highest.G),
                Math.Clamp(Code(sum.GetElement(2) / alpha), lowest.B, highest.B));
        var opaque = color.WithAlpha(255);
        if (IsNearWhite(color))
        {
            opaque = Allowed((kind & White) != 0, (kind & NearWhite) != 0, opaque, Rgba8.White, own);
        }
        else if (IsNearBlack(color))
        {
            opaque = Allowed((kind & Black) != 0, (kind & NearBlack) != 0, opaque, Rgba8.Black, own);
        }

        return opaque.WithAlpha(a);
    }

    // Pure only from pure, near only from near; else pure where there is some, or the nearest pixel, or where that is
    // transparent the next color that is not near.
    private static Rgba8 Allowed(bool hasPure, bool hasNear, Rgba8 color, Rgba8 pure, Rgba8 own)
    {
        bool isPure = color == pure;
        if (isPure ? hasPure : hasNear)
        {
            return color;
        }

        if (!isPure && hasPure)
        {
            return pure;
        }

        if (own.A != 0)
        {
            return own.WithAlpha(255);
        }

        bool white = pure == Rgba8.White;
        byte next = (byte)(white ? 254 - Near : Near + 1);
        int extreme = white ? Math.Min(color.R, Math.Min(color.G, color.B)) : Math.Max(color.R, Math.Max(color.G, color.B));
        return color.R == extreme ? color with { R = next } : color.G == extreme ? color with { G = next } : color with { B = next };
    }

    private static uint Packed(Rgba8 p) => p.R | ((uint)p.G << 8) | ((uint)p.B << 16) | ((uint)p.A << 24);

    private static Rgba8 Unpacked(uint p) => new((byte)p, (byte)(p >> 8), (byte)(p >> 16), (byte)(p >> 24));
}
