using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Recipes.Imaging;

/// <summary>What a tile of pixels holds, in exact counts. Every pixel counts in at most one of the three.</summary>
/// <param name="PureWhite">255,255,255 at alpha above 0.</param>
/// <param name="PureBlack">0,0,0 at alpha above 0.</param>
/// <param name="Transparent">Alpha 0.</param>
/// <param name="ClearWhite">Alpha 0 over 255,255,255: part of <paramref name="Transparent"/>.</param>
/// <param name="ClearBlack">Alpha 0 over 0,0,0: part of <paramref name="Transparent"/>.</param>
/// <param name="Total">All pixels.</param>
/// <param name="Opaque">Alpha 255, whatever the color.</param>
public sealed record TileSummary(
    long PureWhite, long PureBlack, long Transparent, long ClearWhite, long ClearBlack, long Total, long Opaque)
{
    /// <summary>Nothing counted.</summary>
    public static TileSummary None { get; } = new(0, 0, 0, 0, 0, 0, 0);

    /// <summary>The summary of one tile, counted once and remembered by the tile.</summary>
    public static TileSummary Of(Tile<Rgba8> tile)
    {
        ArgumentNullException.ThrowIfNull(tile);
        return tile.Summary(Count);
    }

    /// <summary>The summary of a plane: the sum over its tiles.</summary>
    public static TileSummary Of(Plane<Rgba8> plane)
    {
        ArgumentNullException.ThrowIfNull(plane);
        // Each tile remembers its own, so what isn't known yet is counted on all cores, and then added up.
        Parallel.ForEach(plane.Tiles, tile => Of(tile));
        var sum = None;
        foreach (var tile in plane.Tiles)
        {
            sum += Of(tile);
        }

        return sum;
    }

    /// <summary>True where no pixel is partly transparent.</summary>
    internal bool IsHard => Opaque + Transparent == Total;

    /// <summary>Adds the counts.</summary>
    public static TileSummary operator +(TileSummary a, TileSummary b)
    {
        ArgumentNullException.ThrowIfNull(a);
        ArgumentNullException.ThrowIfNull(b);
        return new(a.PureWhite + b.PureWhite, a.PureBlack + b.PureBlack, a.Transparent + b.Transparent,
            a.ClearWhite + b.ClearWhite, a.ClearBlack + b.ClearBlack, a.Total + b.Total, a.Opaque + b.Opaque);
    }

    /// <summary>Adds the counts.</summary>
    public TileSummary Add(TileSummary other) => this + other;

    // Code compiled ahead may not use vectors of this width, and what is compiled at the start unoptimized is slow for too long.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static TileSummary Count(Tile<Rgba8> tile)
    {
        if (tile.IsOneValue)
        {
            return CountOne(tile.Value, tile.Count);
        }

        // Four pixels at a time; a comparison that holds is all ones, which is -1.
        var pixels = MemoryMarshal.Cast<Rgba8, uint>(tile.Samples);
        var groups = MemoryMarshal.Cast<uint, Vector128<uint>>(pixels);
        Vector128<uint> white = default, black = default, transparent = default, clearWhite = default, clearBlack = default, opaque = default;
        // Alpha is the highest byte of the little-endian word.
        var color = Vector128.Create(0x00FFFFFFu);
        foreach (var group in groups)
        {
            var isWhite = Vector128.Equals(group & color, color);
            var isBlack = Vector128.Equals(group & color, Vector128<uint>.Zero);
            var alpha = Vector128.ShiftRightLogical(group, 24);
            var isClear = Vector128.Equals(alpha, Vector128<uint>.Zero);
            opaque -= Vector128.Equals(alpha, Vector128.Create(255u));
            white -= isWhite;
            black -= isBlack;
            transparent -= isClear;
            clearWhite -= isWhite & isClear;
            clearBlack -= isBlack & isClear;
        }

        var sum = new TileSummary(
            Vector128.Sum(white - clearWhite), Vector128.Sum(black - clearBlack), Vector128.Sum(transparent),
            Vector128.Sum(clearWhite), Vector128.Sum(clearBlack), groups.Length * Vector128<uint>.Count, Vector128.Sum(opaque));
        foreach (uint pixel in pixels[(groups.Length * Vector128<uint>.Count)..])
        {
            sum += CountOne(Unsafe.BitCast<uint, Rgba8>(pixel), 1);
        }

        return sum;
    }

    private static TileSummary CountOne(Rgba8 p, long n)
    {
        bool white = (p.R & p.G & p.B) == 255, black = (p.R | p.G | p.B) == 0;
        return p.IsTransparent
            ? new TileSummary(0, 0, n, white ? n : 0, black ? n : 0, n, 0)
            : new TileSummary(white ? n : 0, black ? n : 0, 0, 0, 0, n, p.A == 255 ? n : 0);
    }
}
