using System.Collections.Immutable;

namespace Recipes.Imaging.Pictures;

/// <summary>A place where the art changed.</summary>
/// <param name="Box">The smallest box around its changed pixels.</param>
/// <param name="Pixels">How many pixels changed.</param>
/// <param name="X">The column to look at: the middle of a small spot, the busiest edge of a large one.</param>
/// <param name="Y">The row to look at.</param>
public sealed record ChangedSpot(Box Box, long Pixels, int X, int Y);

/// <summary>Gathers changed pixels into a few spots to look at.</summary>
public static class ChangedSpots
{
    /// <summary>The most spots. Solid changes come one by one, the largest twelve of them; what is left is taken together with its neighbors.</summary>
    public const int Most = 24;

    private const int Alone = 12;
    // A quarter of a cell's 1,024 px.
    private const int Solid = 256;

    // Changed pixels are gathered in cells of 32 px, 8 x 8 cells of the map; a spot wider than the window has a place to look at.
    private const int Cell = 32 / ChangeMap.Side;
    private const int Window = 256;

    /// <summary>Finds the spots, the one with most pixels first. Every changed pixel is in one; none where nothing changed.</summary>
    public static ImmutableArray<ChangedSpot> Find(Plane<Rgba8> before, Plane<Rgba8> after)
    {
        var map = ChangeMap.Between(before, after);
        int columns = (map.Columns + Cell - 1) / Cell, rows = (map.Rows + Cell - 1) / Cell;
        var counts = new int[columns * rows];
        var boxes = new Box[columns * rows];
        Parallel.For(0, rows, row =>
        {
            for (int r = row * Cell; r < Math.Min(map.Rows, (row + 1) * Cell); r++)
            {
                for (int c = 0; c < map.Columns; c++)
                {
                    if (map[c, r] != 0)
                    {
                        int at = (row * columns) + (c / Cell);
                        counts[at] += map.CountAt(c, r);
                        boxes[at] = boxes[at].Around(map.BoxAt(c, r));
                    }
                }
            }
        });

        // A solid change, with the cells at its edge, is a spot of its own however much dust lies around it.
        var dense = new int[counts.Length];
        for (int i = 0; i < counts.Length; i++)
        {
            dense[i] = counts[i] > 0 && IsBesideSolid(counts, columns, rows, i) ? counts[i] : 0;
        }

        var labels = Label(dense, columns, rows, 1, out int found);
        var spots = Gather(dense, boxes, columns, labels, found);
        if (found > Alone)
        {
            var largest = Enumerable.Range(1, found).OrderByDescending(label => spots[label - 1].Pixels).Take(Alone).ToHashSet();
            spots = [.. largest.Select(label => spots[label - 1])];
            dense = [.. dense.Select((count, i) => largest.Contains(labels[i]) ? count : 0)];
        }

        // The rest is taken together in ever coarser blocks until it is few enough; at the coarsest it is one spot.
        int[] rest = [.. counts.Select((count, i) => count - dense[i])];
        for (int factor = 1; ; factor *= 2)
        {
            labels = Label(rest, columns, rows, factor, out found);
            if (found + spots.Length <= Most)
            {
                spots = spots.AddRange(Gather(rest, boxes, columns, labels, found));
                break;
            }
        }

        return [.. spots.OrderByDescending(spot => spot.Pixels).ThenBy(spot => spot.Box.Y).ThenBy(spot => spot.Box.X)
            .ThenBy(spot => spot.Box.Height).ThenBy(spot => spot.Box.Width)];
    }

    private static bool IsBesideSolid(int[] counts, int columns, int rows, int at)
    {
        for (int r = Math.Max(0, (at / columns) - 1); r <= Math.Min(rows - 1, (at / columns) + 1); r++)
        {
            for (int c = Math.Max(0, (at % columns) - 1); c <= Math.Min(columns - 1, (at % columns) + 1); c++)
            {
                if (counts[(r * columns) + c] >= Solid)
                {
                    return true;
                }
            }
        }

        return false;
    }

    // Numbers groups of touching blocks, each of factor x factor cells, from 1 in reading order; 0 where nothing changed.
    private static int[] Label(int[] counts, int columns, int rows, int factor, out int found)
    {
        int across = (columns + factor - 1) / factor, down = (rows + factor - 1) / factor;
        var blocks = new int[across * down];
        for (int i = 0; i < counts.Length; i++)
        {
            if (counts[i] > 0)
            {
                blocks[(i / columns / factor * across) + (i % columns / factor)] = -1;
            }
        }

        found = 0;
        var open = new Stack<int>();
        for (int start = 0; start < blocks.Length; start++)
        {
            if (blocks[start] != -1)
            {
                continue;
            }

            blocks[start] = ++found;
            open.Push(start);
            while (open.TryPop(out int at))
            {
                for (int r = Math.Max(0, (at / across) - 1); r <= Math.Min(down - 1, (at / across) + 1); r++)
                {
                    for (int c = Math.Max(0, (at % across) - 1); c <= Math.Min(across - 1, (at % across) + 1); c++)
                    {
                        if (blocks[(r * across) + c] == -1)
                        {
                            blocks[(r * across) + c] = found;
                            open.Push((r * across) + c);
                        }
                    }
                }
            }
        }

        var labels = new int[counts.Length];
        for (int i = 0; i < counts.Length; i++)
        {
            labels[i] = counts[i] == 0 ? 0 : blocks[(i / columns / factor * across) + (i % columns / factor)];
        }

        return labels;
    }

    private static ImmutableArray<ChangedSpot> Gather(int[] counts, Box[] boxes, int columns, int[] labels, int found)
    {
        int rows = counts.Length / columns;
        var spots = new ChangedSpot[found];
        var best = new long[found];
        Array.Fill(spots, new ChangedSpot(default, 0, 0, 0));
        for (int i = 0; i < counts.Length; i++)
        {
            if (labels[i] == 0)
            {
                continue;
            }

            int n = labels[i] - 1;
            long changed = 0;
            for (int r = Math.Max(0, (i / columns) - 2); r <= Math.Min(rows - 1, (i / columns) + 2); r++)
            {
                for (int c = Math.Max(0, (i % columns) - 2); c <= Math.Min(columns - 1, (i % columns) + 2); c++)
                {
                    changed += counts[(r * columns) + c];
                }
            }

            // Half changed and half not tells most: it shows an edge of the change.
            const long All = 25L * 32 * 32;
            long tells = (changed * (All - changed)) + 1;
            var spot = spots[n];
            spot = spot with { Box = spot.Box.Around(boxes[i]), Pixels = spot.Pixels + counts[i] };
            if (tells > best[n])
            {
                best[n] = tells;
                spot = spot with { X = boxes[i].X + (boxes[i].Width / 2), Y = boxes[i].Y + (boxes[i].Height / 2) };
            }

            spots[n] = spot;
        }

        return
        [
            .. spots.Select(spot => spot.Box.Width <= Window && spot.Box.Height <= Window
                ? spot with { X = spot.Box.X + (spot.Box.Width / 2), Y = spot.Box.Y + (spot.Box.Height / 2) }
                : spot),
        ];
    }
}
