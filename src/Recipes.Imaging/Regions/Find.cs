using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>Finds regions in flattened art. Coverage of what is found is 255.</summary>
public static partial class Find
{
    /// <summary>255,255,255 at any alpha above 0.</summary>
    public static Region PureWhite(Plane<Rgba8> art) => Counted(art, LevelTest.PureWhite.Mask, summary => summary.PureWhite);

    /// <summary>0,0,0 at any alpha above 0.</summary>
    public static Region PureBlack(Plane<Rgba8> art) => Counted(art, LevelTest.PureBlack.Mask, summary => summary.PureBlack);

    /// <summary>Alpha 0, whatever the color.</summary>
    public static Region Transparent(Plane<Rgba8> art) => Counted(art, LevelTest.Transparent.Mask, summary => summary.Transparent);

    /// <summary>What prints.</summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    public static Region Printing(Plane<Rgba8> art, InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(rules);
        return Counted(art, LevelTests.Prints(rules).Mask, summary => InkCount.Of(summary, rules).Prints);
    }

    /// <summary>What prints, is at least half opaque, and differs from the garment by more than so many levels in some channel.</summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="setup">What stays bare, and the garment's color.</param>
    /// <param name="hardly">The largest difference that is hardly seen, in levels; alpha counts as a channel.</param>
    public static Region Seen(Plane<Rgba8> art, GarmentSetup setup, int hardly)
    {
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentNullException.ThrowIfNull(art);
        return new Region(Mask(art, LevelTests.Seen(setup.Ink, setup.Garment, hardly).Mask), art);
    }

    /// <summary>Pixels at alpha above 0 whose color is within a CIEDE2000 difference, in Lab D50, of the wanted one.</summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="color">The wanted color; its alpha is ignored.</param>
    /// <param name="within">Largest difference, 0 or more; compared after rounding both to 1e-6.</param>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="within"/> is negative or not a number.</exception>
    public static Region Like(Plane<Rgba8> art, Rgba8 color, double within)
    {
        within = Limit(within, nameof(within));
        var wanted = LabSpace.D50.Of(color);
        return Found(art, new MemoTest(pixel => Math.Round(Ciede2000.Difference(wanted, LabSpace.D50.Of(pixel)), 6) <= within));
    }

    /// <summary>Pixels at alpha above 0 that are dark and neutral enough in Lab D50.</summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="lightness">Largest L*, 0 or more; compared after rounding both to 1e-6.</param>
    /// <param name="chroma">Largest chroma, 0 or more; likewise.</param>
    /// <exception cref="ArgumentOutOfRangeException">A limit is negative or not a number.</exception>
    public static Region NearBlack(Plane<Rgba8> art, double lightness, double chroma)
    {
        return Found(art, NearBlackTest(Limit(lightness, nameof(lightness)), Limit(chroma, nameof(chroma))));
    }

    internal static MemoTest NearBlackTest(double lightness, double chroma) => new(pixel =>
    {
        var lab = LabSpace.D50.Of(pixel);
        return Math.Round(lab.L, 6) <= lightness && Math.Round(lab.Chroma, 6) <= chroma;
    });

    /// <summary>Pixels that satisfy a test, which is asked once for every pixel, row by row from the top.</summary>
    public static Region Where(Plane<Rgba8> art, Func<Rgba8, bool> test)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(test);
        var coverage = new byte[checked(art.Width * art.Height)];
        var row = new Rgba8[art.Width];
        // One thread, in reading order: the test is a recipe's code and may remember what it saw.
        for (int y = 0, i = 0; y < art.Height; y++)
        {
            art.CopyRowTo(y, row);
            foreach (var pixel in row)
            {
                coverage[i++] = test(pixel) ? (byte)255 : (byte)0;
            }
        }

        return new Region(Plane<byte>.FromContiguous(art.Width, art.Height, coverage), art);
    }

    /// <summary>255 where the test holds, 0 elsewhere; tiles of one value are asked once.</summary>
    internal static Plane<byte> Mask<TTest>(Plane<Rgba8> art, TTest test)
        where TTest : struct, IPixelTest => Mask(art, (pixels, mask) =>
        {
            for (int i = 0; i < mask.Length; i++)
            {
                mask[i] = test.Holds(pixels[i]) ? (byte)255 : (byte)0;
            }
        });

    /// <inheritdoc cref="Mask{TTest}"/>
    internal static Plane<byte> Mask(Plane<Rgba8> art, LevelTest test) => Mask(art, test.Mask);

    private delegate void TileMask(ReadOnlySpan<Rgba8> pixels, Span<byte> mask);

    // What each tile's summary counts: most tiles of most art hold none of it or nothing else, and then nothing of them is looked at.
    private static Region Counted(Plane<Rgba8> art, TileMask fill, Func<TileSummary, long> count)
    {
        ArgumentNullException.ThrowIfNull(art);
        return new Region(Mask(art, fill, count), art);
    }

    private static Plane<byte> Mask(Plane<Rgba8> art, TileMask fill, Func<TileSummary, long>? count = null)
    {
        var tiles = new Tile<byte>[art.Tiles.Length];
        Parallel.For(0, tiles.Length, () => new byte[TileGrid.Side * TileGrid.Side], (i, _, scratch) =>
        {
            var tile = art.Tiles[i];
            if (tile.IsOneValue)
            {
                fill([tile.Value], scratch.AsSpan(0, 1));
                tiles[i] = Tile<byte>.OneValue(tile.Width, tile.Height, scratch[0]);
                return scratch;
            }

            if (count?.Invoke(TileSummary.Of(tile)) is { } held && (held == 0 || held == tile.Count))
            {
                tiles[i] = Tile<byte>.OneValue(tile.Width, tile.Height, held == 0 ? (byte)0 : (byte)255);
                return scratch;
            }

            var mask = scratch.AsSpan(0, tile.Count);
            fill(tile.Samples, mask);
            tiles[i] = Tile<byte>.Freeze(tile.Width, tile.Height, mask);
            return scratch;
        }, _ => { });
        return new Plane<byte>(art.Width, art.Height, ImmutableArray.Create(tiles));
    }

    private static Region Found(Plane<Rgba8> art, LevelTest test)
    {
        ArgumentNullException.ThrowIfNull(art);
        return new Region(Mask(art, test), art);
    }

    private static Region Found<TTest>(Plane<Rgba8> art, TTest test)
        where TTest : struct, IPixelTest
    {
        ArgumentNullException.ThrowIfNull(art);
        return new Region(Mask(art, test), art);
    }

    internal static double Limit(double value, string name) => value >= 0
        ? Math.Round(value, 6)
        : throw new ArgumentOutOfRangeException(name, value, "A limit is 0 or more.");
}
