using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Recipes.Imaging;

public sealed partial class Region
{
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
        const int Reach = 8;
        int width = Coverage.Width, height = Coverage.Height;
        var kept = new byte[checked(width * height)];
        // Bands of rows on all cores; each keeps sums of the 17 rows around it, column by column.
        Parallel.For(0, Coverage.Grid.Rows, band =>
        {
            int first = band * TileGrid.Side, end = Math.Min(height, first + TileGrid.Side);
            var region = new int[width];
            var drawn = new int[width];
            var row = new byte[width];
            var flatRow = new byte[width];
            void Add(int y, int sign)
            {
                if (y < 0 || y >= height)
                {
                    return;
                }

                Coverage.CopyRowTo(y, row);
                flat.CopyRowTo(y, flatRow);
                for (int x = 0; x < width; x++)
                {
                    region[x] += row[x] != 0 ? sign : 0;
                    drawn[x] += flatRow[x] != 0 ? sign : 0;
                }
            }

            for (int y = first - Reach; y < first + Reach; y++)
            {
                Add(y, 1);
            }

            for (int y = first; y < end; y++)
            {
                Add(y + Reach, 1);
                Add(y - Reach - 1, -1);
                Coverage.CopyRowTo(y, row);
                flat.CopyRowTo(y, flatRow);
                var target = kept.AsSpan(y * width, width);
                int all = 0, near = 0;
                for (int x = -Reach; x < width; x++)
                {
                    if (x + Reach < width)
                    {
                        all += region[x + Reach];
                        near += drawn[x + Reach];
                    }

                    if (x - Reach - 1 >= 0)
                    {
                        all -= region[x - Reach - 1];
                        near -= drawn[x - Reach - 1];
                    }

                    if (x >= 0 && row[x] != 0 && (flatRow[x] != 0 || near * 4 >= all * 3))
                    {
                        target[x] = row[x];
                    }
                }
            }
        });
        return Plane<byte>.FromContiguous(width, height, kept, Coverage);
    }
}
