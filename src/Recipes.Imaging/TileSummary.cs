using System.Runtime.InteropServices;

namespace Recipes.Imaging;

/// <summary>What a tile of pixels holds, in exact counts. Every pixel counts in at most one of the three.</summary>
/// <param name="PureWhite">255,255,255 at alpha above 0.</param>
/// <param name="PureBlack">0,0,0 at alpha above 0.</param>
/// <param name="Transparent">Alpha 0.</param>
/// <param name="ClearWhite">Alpha 0 over 255,255,255: part of <paramref name="Transparent"/>.</param>
/// <param name="ClearBlack">Alpha 0 over 0,0,0: part of <paramref name="Transparent"/>.</param>
/// <param name="Total">All pixels.</param>
public sealed record TileSummary(long PureWhite, long PureBlack, long Transparent, long ClearWhite, long ClearBlack, long Total)
{
    /// <summary>Nothing counted.</summary>
    public static TileSummary None { get; } = new(0, 0, 0, 0, 0, 0);

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
        var sum = None;
        foreach (var tile in plane.Tiles)
        {
            sum += Of(tile);
        }

        return sum;
    }

    /// <summary>Adds the counts.</summary>
    public static TileSummary operator +(TileSummary a, TileSummary b)
    {
        ArgumentNullException.ThrowIfNull(a);
        ArgumentNullException.ThrowIfNull(b);
        return new(a.PureWhite + b.PureWhite, a.PureBlack + b.PureBlack, a.Transparent + b.Transparent,
            a.ClearWhite + b.ClearWhite, a.ClearBlack + b.ClearBlack, a.Total + b.Total);
    }

    /// <summary>Adds the counts.</summary>
    public TileSummary Add(TileSummary other) => this + other;

    private static TileSummary Count(Tile<Rgba8> tile)
    {
        if (tile.IsOneValue)
        {
            return CountOne(tile.Value, tile.Count);
        }

        long white = 0, black = 0, transparent = 0, clearWhite = 0, clearBlack = 0;
        foreach (uint pixel in MemoryMarshal.Cast<Rgba8, uint>(tile.Samples))
        {
            // Alpha is the highest byte of the little-endian word.
            uint color = pixel & 0x00FFFFFF;
            if (pixel <= 0x00FFFFFF)
            {
                transparent++;
                clearWhite += color == 0x00FFFFFF ? 1 : 0;
                clearBlack += color == 0 ? 1 : 0;
            }
            else
            {
                white += color == 0x00FFFFFF ? 1 : 0;
                black += color == 0 ? 1 : 0;
            }
        }

        return new TileSummary(white, black, transparent, clearWhite, clearBlack, tile.Count);
    }

    private static TileSummary CountOne(Rgba8 p, long n)
    {
        bool white = (p.R & p.G & p.B) == 255, black = (p.R | p.G | p.B) == 0;
        return p.IsTransparent
            ? new TileSummary(0, 0, n, white ? n : 0, black ? n : 0, n)
            : new TileSummary(white ? n : 0, black ? n : 0, 0, 0, 0, n);
    }
}
