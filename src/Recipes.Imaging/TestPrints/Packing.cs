using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>Places boxes on the free part of an area, upright as they are, each as far up and then as far left as it goes.</summary>
/// <remarks>
/// Bottom-left placement (Baker, Coffman, Rivest 1980), from the top here. A box that can be placed at all can be pushed up and left
/// until it touches the area's edge or another box on both sides, so only such places are tried.
/// </remarks>
public static class Packing
{
    /// <summary>
    /// The places, in the order of the sizes, or null where not all fit. They are placed in the order given; where that fails, the
    /// tallest go first, then the largest, then the widest. The same input gives the same places.
    /// </summary>
    /// <param name="area">Where they may lie.</param>
    /// <param name="taken">Where none may lie.</param>
    /// <param name="sizes">Widths and heights, at least 1.</param>
    /// <param name="gap">What stays free between two of them, 0 or more; towards <paramref name="taken"/> and the area's edge none is kept.</param>
    public static ImmutableArray<Box>? Place(Box area, IReadOnlyCollection<Box> taken, IReadOnlyList<(int Width, int Height)> sizes, int gap)
    {
        ArgumentNullException.ThrowIfNull(taken);
        ArgumentNullException.ThrowIfNull(sizes);
        Func<int, long>[] orders = [_ => 0, i => sizes[i].Height, i => (long)sizes[i].Width * sizes[i].Height, i => sizes[i].Width];
        foreach (var order in orders)
        {
            if (Place(area, taken, sizes, gap, Enumerable.Range(0, sizes.Count).OrderByDescending(order)) is { } places)
            {
                return places;
            }
        }

        return null;
    }

    private static ImmutableArray<Box>? Place(
        Box area, IReadOnlyCollection<Box> taken, IReadOnlyList<(int Width, int Height)> sizes, int gap, IEnumerable<int> order)
    {
        // A placed box keeps its gap on all sides, so that one to its left doesn't touch it either.
        var blocked = taken.Where(box => !box.IsEmpty).ToList();
        var places = new Box[sizes.Count];
        foreach (int i in order)
        {
            var (width, height) = sizes[i];
            if (FirstFree(area, blocked, width, height) is not { } place)
            {
                return null;
            }

            places[i] = place;
            blocked.Add(place.Grow(gap));
        }

        return [.. places];
    }

    private static Box? FirstFree(Box area, List<Box> blocked, int width, int height)
    {
        int[] rows = [.. blocked.Select(box => box.Bottom).Append(area.Y).Where(y => y >= area.Y && y + height <= area.Bottom).Distinct().Order()];
        int[] columns = [.. blocked.Select(box => box.Right).Append(area.X).Where(x => x >= area.X && x + width <= area.Right).Distinct().Order()];
        foreach (int y in rows)
        {
            var beside = blocked.Where(box => box.Y < y + height && y < box.Bottom).ToList();
            foreach (int x in columns)
            {
                if (!beside.Exists(box => box.X < x + width && x < box.Right))
                {
                    return new Box(x, y, width, height);
                }
            }
        }

        return null;
    }
}
