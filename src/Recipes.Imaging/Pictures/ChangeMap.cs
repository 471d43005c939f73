using System.Numerics;

namespace Recipes.Imaging.Pictures;

/// <summary>Which pixels differ, one bit each in cells of 4 x 4 px; a tile that is the same object on both sides costs nothing.</summary>
internal sealed class ChangeMap
{
    /// <summary>The side of a cell in px; it divides the side of a tile, so no cell lies in two tiles.</summary>
    public const int Side = 4;

    private readonly ushort[] cells;
    private readonly long[] kinds = new long[6];

    private ChangeMap(TileGrid grid)
    {
        Columns = (grid.Width + Side - 1) / Side;
        Rows = (grid.Height + Side - 1) / Side;
        cells = new ushort[Columns * Rows];
    }

    public int Columns { get; }

    public int Rows { get; }

    public ChangeCount Count => new(kinds[1], kinds[2], kinds[3], kinds[4], kinds[5]);

    public ushort this[int column, int row] => cells[(row * Columns) + column];

    /// <summary>Compares two states of one size; without rules the kinds aren't counted.</summary>
    public static ChangeMap Between(Plane<Rgba8> before, Plane<Rgba8> after, InkRules? rules = null)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        if (before.Grid != after.Grid)
        {
            throw new ArgumentException("The two states differ in size.", nameof(after));
        }

        var map = new ChangeMap(before.Grid);
        Parallel.For(0, before.Tiles.Length, i =>
        {
            if (!ReferenceEquals(before.Tiles[i], after.Tiles[i]))
            {
                map.Compare(before.Grid.Bounds(i), before.Tiles[i], after.Tiles[i], rules);
            }
        });
        return map;
    }

    public bool IsChanged(int x, int y) =>
        (this[x / Side, y / Side] >> ((y % Side * Side) + (x % Side)) & 1) != 0;

    /// <summary>True where a stretch of a row lies in a cell with a changed pixel; false says that nothing changed there.</summary>
    public bool AnyIn(int x, int y, int width) =>
        cells.AsSpan((y / Side * Columns) + (x / Side), ((x + width - 1) / Side) - (x / Side) + 1).ContainsAnyExcept((ushort)0);

    /// <summary>Changed pixels inside a box that lies within the art.</summary>
    public int CountIn(Box box)
    {
        int count = 0;
        for (int row = box.Y / Side; row * Side < box.Bottom; row++)
        {
            int down = Bits(box.Y, box.Bottom, row);
            for (int column = box.X / Side; column * Side < box.Right; column++)
            {
                // A bit for each row of the cell, spread to its four columns, and for each column of it in all four rows.
                int rows = ((down & 1) * 0xF) | ((down & 2) * 0x78) | ((down & 4) * 0x3C0) | ((down & 8) * 0x1E00);
                count += BitOperations.PopCount((uint)(this[column, row] & rows & (Bits(box.X, box.Right, column) * 0x1111)));
            }
        }

        return count;

        // The pixels of a row or column of cells that lie from start to end, as bits.
        static int Bits(int start, int end, int cell) => (0xF << Math.Max(0, start - (cell * Side))) & (0xF >> Math.Max(0, ((cell + 1) * Side) - end)) & 0xF;
    }

    /// <summary>Changed pixels of one cell.</summary>
    public int CountAt(int column, int row) => BitOperations.PopCount(this[column, row]);

    /// <summary>The smallest box around the changed pixels of one cell.</summary>
    public Box BoxAt(int column, int row)
    {
        int mask = this[column, row], across = (mask | mask >> 4 | mask >> 8 | mask >> 12) & 15;
        if (mask == 0)
        {
            return default;
        }

        int left = BitOperations.TrailingZeroCount(across), right = BitOperations.Log2((uint)across);
        int top = BitOperations.TrailingZeroCount(mask) / Side, bottom = BitOperations.Log2((uint)mask) / Side;
        return new Box((column * Side) + left, (row * Side) + top, right - left + 1, bottom - top + 1);
    }

    /// <summary>Boxes around changed pixels that lie together, at most 7 px from one to the next, in reading order.</summary>
    public List<Box> Spots()
    {
        var spots = new List<Box>();
        var seen = new bool[cells.Length];
        var open = new Stack<int>();
        for (int start = 0; start < cells.Length; start++)
        {
            int skip = cells.AsSpan(start).IndexOfAnyExcept((ushort)0);
            if (skip < 0)
            {
                break;
            }

            start += skip;
            if (seen[start])
            {
                continue;
            }

            Box box = default;
            seen[start] = true;
            open.Push(start);
            while (open.TryPop(out int at))
            {
                int column = at % Columns, row = at / Columns;
                box = box.Around(BoxAt(column, row));
                for (int r = Math.Max(0, row - 1); r <= Math.Min(Rows - 1, row + 1); r++)
                {
                    for (int c = Math.Max(0, column - 1); c <= Math.Min(Columns - 1, column + 1); c++)
                    {
                        int next = (r * Columns) + c;
                        if (cells[next] != 0 && !seen[next])
                        {
                            seen[next] = true;
                            open.Push(next);
                        }
                    }
                }
            }

            spots.Add(box);
        }

        return spots;
    }

    private void Compare(Box bounds, Tile<Rgba8> before, Tile<Rgba8> after, InkRules? rules)
    {
        Span<long> counts = stackalloc long[kinds.Length];
        counts.Clear();
        foreach (var run in new ChangedRuns(before, after))
        {
            if (!run.Counts)
            {
                continue;
            }

            if (rules is not null)
            {
                counts[(int)ChangeCount.KindOf(run.Before, run.After, rules)] += run.Pixels;
            }

            for (int y = bounds.Y + run.Box.Y; y < bounds.Y + run.Box.Bottom; y++)
            {
                for (int x = bounds.X + run.Box.X; x < bounds.X + run.Box.Right; x++)
                {
                    cells[(y / Side * Columns) + (x / Side)] |= (ushort)(1 << ((y % Side * Side) + (x % Side)));
                }
            }
        }

        for (int kind = 1; kind < counts.Length; kind++)
        {
            Interlocked.Add(ref kinds[kind], counts[kind]);
        }
    }
}
