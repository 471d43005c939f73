using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Recipes.Imaging;

public sealed partial class Region
{
    // A window of 17x17 px.
    private const int FlatReach = 8;

    /// <summary>
    /// Keeps the pixels that belong to flat drawing rather than photographic texture. A part of the region, 4-connected
    /// over steps of at most 2 levels in every channel, is flat where it has at least 16 px and at least two thirds of
    /// it are one exact color; a slow gradient or noise never is. Another pixel joins where at least three quarters of
    /// the region's pixels in the 17x17 window around it are flat: compression noise along the edges of a flat shape.
    /// </summary>
    public Region Flat()
    {
        var parts = ConnectedRegions.Of(Coverage, FoundIn, 2);
        var flat = parts.Mask(Coverage.Width, Coverage.Height, FlatParts(parts));
        return With(WithNeighbors(flat));
    }

    private bool[] FlatParts(ConnectedRegions parts)
    {
        var flat = parts.AtLeast(16);
        var places = new int[parts.Count + 1];
        int large = 0;
        for (int number = 1; number < flat.Length; number++)
        {
            places[number] = flat[number] ? large++ : -1;
        }

        // A color that holds two thirds holds the majority, so voting (Boyer and Moore) leaves it as the candidate; a
        // second look counts it.
        var candidates = new Rgba8[large];
        var votes = new int[large];
        parts.Visit(FoundIn, (pixels, number) =>
        {
            if (places[number] < 0)
            {
                return;
            }

            ref var candidate = ref candidates[places[number]];
            ref int vote = ref votes[places[number]];
            foreach (var pixel in pixels)
            {
                candidate = vote == 0 ? pixel : candidate;
                vote += candidate == pixel ? 1 : -1;
            }
        });

        var counts = new int[large];
        parts.Visit(FoundIn, (pixels, number) =>
        {
            if (places[number] >= 0)
            {
                counts[places[number]] += Same(pixels, candidates[places[number]]);
            }
        });

        for (int number = 1; number < flat.Length; number++)
        {
            flat[number] &= places[number] >= 0 && counts[places[number]] * 3L >= parts.Size(number) * 2L;
        }

        return flat;
    }

    private static int Same(ReadOnlySpan<Rgba8> pixels, Rgba8 color) =>
        MemoryMarshal.Cast<Rgba8, uint>(pixels).Count(Unsafe.BitCast<Rgba8, uint>(color));

    private Plane<byte> WithNeighbors(Plane<byte> flat)
    {
        int width = Coverage.Width, height = Coverage.Height;
        return Plane<byte>.Build(width, height, Coverage, (bounds, target) =>
        {
            int tile = Coverage.Grid.IndexAt(bounds.X, bounds.Y);
            Coverage.Tiles[tile].CopyTo(target);
            // Where nothing is in the region there is nothing to keep; where all of it is flat, all of it stays.
            if (Coverage.Tiles[tile].IsAll(0) || flat.Tiles[tile].SameSamples(Coverage.Tiles[tile]))
            {
                return;
            }

            // Sums of the 17 rows around each row, column by column, of the tile and as much beside it.
            int left = Math.Max(0, bounds.X - FlatReach), right = Math.Min(width, bounds.Right + FlatReach);
            var region = new int[right - left];
            var drawn = new int[right - left];
            var row = new byte[right - left];
            var flatRow = new byte[bounds.Width];
            void Add(int y, int sign)
            {
                if (y < 0 || y >= height)
                {
                    return;
                }

                Crop.CopyRow<byte>(Coverage, left, y, row);
                for (int x = 0; x < row.Length; x++)
                {
                    region[x] += row[x] != 0 ? sign : 0;
                }

                Crop.CopyRow<byte>(flat, left, y, row);
                for (int x = 0; x < row.Length; x++)
                {
                    drawn[x] += row[x] != 0 ? sign : 0;
                }
            }

            for (int y = bounds.Y - FlatReach; y < bounds.Y + FlatReach; y++)
            {
                Add(y, 1);
            }

            for (int y = bounds.Y; y < bounds.Bottom; y++)
            {
                Add(y + FlatReach, 1);
                Add(y - FlatReach - 1, -1);
                var kept = target.Slice((y - bounds.Y) * bounds.Width, bounds.Width);
                flat.Tiles[tile].CopyRowTo(y - bounds.Y, flatRow);
                DropLone(kept, flatRow, region, drawn, bounds.X - left);
            }
        });
    }

    // One row, which begins so many columns behind the first sum: drops what isn't flat and has too little of it around.
    private static void DropLone(Span<byte> kept, byte[] flatRow, int[] region, int[] drawn, int before)
    {
        int all = 0, near = 0;
        for (int x = -FlatReach; x < before + kept.Length; x++)
        {
            int enters = x + FlatReach, leaves = x - FlatReach - 1;
            if (enters < region.Length)
            {
                all += region[enters];
                near += drawn[enters];
            }

            if (leaves >= 0)
            {
                all -= region[leaves];
                near -= drawn[leaves];
            }

            if (x >= before && flatRow[x - before] == 0 && near * 4 < all * 3)
            {
                kept[x - before] = 0;
            }
        }
    }
}
