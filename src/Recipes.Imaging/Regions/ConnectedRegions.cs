using System.Runtime.InteropServices;

namespace Recipes.Imaging;

/// <summary>
/// Labelling of a mask, 4-connected unless asked for otherwise, numbered from 1 in reading order of the first pixel. Works on runs (unbroken
/// stretches of a row) joined by union-find, so its cost follows the outline rather than the area.
/// </summary>
internal sealed class ConnectedRegions
{
    private readonly int width;
    private readonly int[] rowStart; // index of each row's first run; one more entry at the end
    private readonly List<Run> runs;
    private readonly List<int> numbers; // per run
    private readonly List<int> sizes; // per number, in px; entry 0 is no region
    private readonly Lazy<Extent[]> extents;

    private ConnectedRegions(int width, int[] rowStart, List<Run> runs, List<int> parents)
    {
        this.width = width;
        this.rowStart = rowStart;
        this.runs = runs;
        (numbers, sizes) = Number(runs, parents);
        extents = new Lazy<Extent[]>(Measure);
    }

    public int Count => sizes.Count - 1;

    public Island this[int number]
    {
        get
        {
            var e = extents.Value[number];
            return new Island(number, new Box(e.Left, e.Top, e.Right - e.Left, e.Bottom - e.Top), sizes[number], e.FirstX, e.Top);
        }
    }

    public int Size(int number) => sizes[number];

    /// <summary>Which numbers are of at least so many px.</summary>
    public bool[] AtLeast(double smallest)
    {
        var chosen = new bool[Count + 1];
        for (int number = 1; number <= Count; number++)
        {
            chosen[number] = sizes[number] >= smallest;
        }

        return chosen;
    }

    /// <summary>Which numbers touch the border of the image.</summary>
    public bool[] OnBorder()
    {
        var chosen = new bool[Count + 1];
        for (int y = 0; y + 1 < rowStart.Length; y++)
        {
            bool edge = y == 0 || y + 2 == rowStart.Length;
            int first = rowStart[y], last = rowStart[y + 1] - 1;
            for (int i = first; edge && i <= last; i++)
            {
                chosen[numbers[i]] = true;
            }

            if (first <= last)
            {
                chosen[numbers[first]] |= runs[first].Start == 0;
                chosen[numbers[last]] |= runs[last].End == width;
            }
        }

        return chosen;
    }

    /// <summary>Labels the pixels whose mask is above 0; 8-connected where <paramref name="diagonal"/>.</summary>
    public static ConnectedRegions Of(Plane<byte> mask, bool diagonal = false) => Of(mask, null, 255, diagonal);

    /// <summary>Labels likewise, but joins neighbors only where no channel, alpha included, differs by more than so many levels.</summary>
    public static ConnectedRegions Of(Plane<byte> mask, Plane<Rgba8>? art, int levels) => Of(mask, art, levels, false);

    private static ConnectedRegions Of(Plane<byte> mask, Plane<Rgba8>? art, int levels, bool diagonal)
    {
        int width = mask.Width, height = mask.Height;
        var rowStart = new int[height + 1];
        var runs = new List<Run>();
        var parents = new List<int>();
        Rgba8[] pixels = art is null ? [] : new Rgba8[width], above = art is null ? [] : new Rgba8[width];
        for (int y = 0; y < height; y++)
        {
            rowStart[y] = runs.Count;
            AddRuns(mask, y, runs);
            (pixels, above) = (above, pixels);
            if (art is not null && runs.Count > rowStart[y])
            {
                art.CopyRowTo(y, pixels);
                Split(runs, rowStart[y], pixels, levels);
            }

            for (int i = rowStart[y]; i < runs.Count; i++)
            {
                parents.Add(i);
            }

            if (y > 0)
            {
                Join(runs, parents, rowStart[y - 1], rowStart[y], new(pixels, above, levels, diagonal ? 1 : 0));
            }
        }

        rowStart[height] = runs.Count;
        return new ConnectedRegions(width, rowStart, runs, parents);
    }

    /// <summary>The number at a pixel, 0 where there is none.</summary>
    public int NumberAt(int x, int y)
    {
        int i = FirstEndingAfter(x, y);
        return i < rowStart[y + 1] && runs[i].Start <= x ? numbers[i] : 0;
    }

    /// <summary>The numbers at places of a row, each so many px on from the one before; 0 where there is none.</summary>
    public void NumbersAt(int x, int y, int step, Span<int> found)
    {
        int i = FirstEndingAfter(x, y), last = rowStart[y + 1];
        for (int at = 0; at < found.Length; at++, x += step)
        {
            while (i < last && runs[i].End <= x)
            {
                i++;
            }

            found[at] = i < last && runs[i].Start <= x ? numbers[i] : 0;
        }
    }

    /// <summary>Which numbers share a pixel with a mask.</summary>
    public bool[] Touching(Plane<byte> mask)
    {
        var chosen = new bool[Count + 1];
        var row = new byte[width];
        for (int y = 0; y + 1 < rowStart.Length; y++)
        {
            if (IsEmpty(mask, y))
            {
                continue;
            }

            mask.CopyRowTo(y, row);
            for (int i = rowStart[y]; i < rowStart[y + 1]; i++)
            {
                chosen[numbers[i]] |= row.AsSpan(runs[i].Start, runs[i].End - runs[i].Start).IndexOfAnyExcept((byte)0) >= 0;
            }
        }

        return chosen;
    }

    /// <summary>How many pixels of a mask each number holds.</summary>
    public long[] Counts(Plane<byte> mask)
    {
        var counts = new long[Count + 1];
        var row = new byte[width];
        for (int y = 0; y + 1 < rowStart.Length; y++)
        {
            if (IsEmpty(mask, y))
            {
                continue;
            }

            mask.CopyRowTo(y, row);
            for (int i = rowStart[y]; i < rowStart[y + 1]; i++)
            {
                var run = row.AsSpan(runs[i].Start, runs[i].End - runs[i].Start);
                counts[numbers[i]] += run.Length - run.Count((byte)0);
            }
        }

        return counts;
    }

    // Whether a row has no runs, or lies in tiles that hold nothing.
    private bool IsEmpty(Plane<byte> mask, int y)
    {
        if (rowStart[y] == rowStart[y + 1])
        {
            return true;
        }

        foreach (var tile in mask.Tiles.AsSpan(y / TileGrid.Side * mask.Grid.Columns, mask.Grid.Columns))
        {
            if (tile is not { IsOneValue: true, Value: 0 })
            {
                return false;
            }
        }

        return true;
    }

    /// <summary>Keeps the coverage of the regions whose numbers are wanted; tiles that keep all of it stay the same objects.</summary>
    public Plane<byte> Keep(Plane<byte> coverage, bool[] wanted) => Plane<byte>.Build(coverage.Width, coverage.Height, coverage, (bounds, target) =>
    {
        coverage.Tiles[coverage.Grid.IndexAt(bounds.X, bounds.Y)].CopyTo(target);
        for (int y = 0; y < bounds.Height; y++)
        {
            var line = target.Slice(y * bounds.Width, bounds.Width);
            ForEach(bounds, y, line, wanted, false);
        }
    }, tile => coverage.Tiles[tile] is { IsOneValue: true, Value: 0 } none ? none : null);

    /// <summary>A hard mask, 255, of the regions whose numbers are wanted.</summary>
    public Plane<byte> Mask(int width, int height, bool[] wanted) => Plane<byte>.Build(width, height, null, (bounds, target) =>
    {
        target.Clear();
        for (int y = 0; y < bounds.Height; y++)
        {
            ForEach(bounds, y, target.Slice(y * bounds.Width, bounds.Width), wanted, true);
        }
    });

    /// <summary>Shows the pixels of every run, in reading order, with the number of its region.</summary>
    public void Visit(Plane<Rgba8> art, RunWork work)
    {
        var row = new Rgba8[width];
        for (int y = 0; y + 1 < rowStart.Length; y++)
        {
            if (rowStart[y] == rowStart[y + 1])
            {
                continue;
            }

            art.CopyRowTo(y, row);
            for (int i = rowStart[y]; i < rowStart[y + 1]; i++)
            {
                work(row.AsSpan(runs[i].Start, runs[i].End - runs[i].Start), numbers[i]);
            }
        }
    }

    /// <summary>Shows every run with the number of its region; rows on all cores, in no order.</summary>
    public void VisitRuns(Action<int, int, int, int> work) => Parallel.For(0, rowStart.Length - 1, y =>
    {
        for (int i = rowStart[y]; i < rowStart[y + 1]; i++)
        {
            work(y, runs[i].Start, runs[i].End, numbers[i]);
        }
    });

    // Fills wanted runs with 255, or clears unwanted ones, in one row of a tile.
    private void ForEach(Box bounds, int y, Span<byte> line, bool[] wanted, bool fill)
    {
        int last = rowStart[bounds.Y + y + 1];
        for (int i = FirstEndingAfter(bounds.X, bounds.Y + y); i < last && runs[i].Start < bounds.Right; i++)
        {
            if (wanted[numbers[i]] == fill)
            {
                int from = Math.Max(runs[i].Start, bounds.X), to = Math.Min(runs[i].End, bounds.Right);
                line[(from - bounds.X)..(to - bounds.X)].Fill(fill ? (byte)255 : (byte)0);
            }
        }
    }

    // The first run of the row that ends after a column.
    private int FirstEndingAfter(int x, int y)
    {
        int low = rowStart[y], high = rowStart[y + 1];
        while (low < high)
        {
            int middle = (low + high) >>> 1;
            if (runs[middle].End > x)
            {
                high = middle;
            }
            else
            {
                low = middle + 1;
            }
        }

        return low;
    }

    // Of most masks most tiles hold one value, and then nothing of them is looked at.
    private static void AddRuns(Plane<byte> mask, int y, List<Run> runs)
    {
        int begun = -1, left = 0;
        foreach (var tile in mask.Tiles.AsSpan(y / TileGrid.Side * mask.Grid.Columns, mask.Grid.Columns))
        {
            if (!tile.IsOneValue)
            {
                var line = tile.Samples.Slice(y % TileGrid.Side * tile.Width, tile.Width);
                for (int x = 0, next; (next = begun < 0 ? line[x..].IndexOfAnyExcept((byte)0) : line[x..].IndexOf((byte)0)) >= 0;)
                {
                    x += next;
                    Turn(left + x);
                }
            }
            else if ((tile.Value != 0) != (begun >= 0))
            {
                Turn(left);
            }

            left += tile.Width;
        }

        if (begun >= 0)
        {
            Turn(left);
        }

        void Turn(int x)
        {
            if (begun >= 0)
            {
                runs.Add(new Run(begun, x));
            }

            begun = begun < 0 ? x : -1;
        }
    }

    // The runs of a row wherever neighbors in them aren't alike.
    private static void Split(List<Run> runs, int from, ReadOnlySpan<Rgba8> pixels, int levels)
    {
        Run[] whole = [.. CollectionsMarshal.AsSpan(runs)[from..]];
        CollectionsMarshal.SetCount(runs, from);
        foreach (var run in whole)
        {
            int start = run.Start;
            for (int i = start + 1; i < run.End; i++)
            {
                if (pixels[i] != pixels[i - 1] && pixels[i].LargestDifference(pixels[i - 1]) > levels)
                {
                    runs.Add(new Run(start, i));
                    start = i;
                }
            }

            runs.Add(new Run(start, run.End));
        }
    }

    private static void Join(List<Run> runs, List<int> parents, int above, int here, RowPair rows)
    {
        ReadOnlySpan<Rgba8> pixels = rows.Pixels, pixelsAbove = rows.Above;
        int levels = rows.Levels, corner = rows.Corner;
        var all = CollectionsMarshal.AsSpan(runs);
        var roots = CollectionsMarshal.AsSpan(parents);
        int i = above, j = here;
        while (i < here && j < all.Length)
        {
            int from = Math.Max(all[i].Start, all[j].Start), to = Math.Min(all[i].End, all[j].End);
            if (from < to + corner && (pixels.IsEmpty || AnyAlike(pixels[from..to], pixelsAbove[from..to], levels)))
            {
                int a = Root(roots, i), b = Root(roots, j);
                // The root is the earliest run, so that it holds the region's first pixel.
                roots[Math.Max(a, b)] = Math.Min(a, b);
            }

            if (all[i].End < all[j].End)
            {
                i++;
            }
            else
            {
                j++;
            }
        }
    }

    private static bool AnyAlike(ReadOnlySpan<Rgba8> a, ReadOnlySpan<Rgba8> b, int levels)
    {
        for (int i = 0; i < a.Length; i++)
        {
            if (a[i] == b[i] || a[i].LargestDifference(b[i]) <= levels)
            {
                return true;
            }
        }

        return false;
    }

    private static int Root(Span<int> parents, int i)
    {
        while (parents[i] != i)
        {
            parents[i] = parents[parents[i]];
            i = parents[i];
        }

        return i;
    }

    private static (List<int> Numbers, List<int> Sizes) Number(List<Run> runs, List<int> parents)
    {
        // A parent precedes its children, so one pass in order turns parents into numbers in place.
        List<int> numbers = parents, sizes = [0];
        for (int i = 0; i < numbers.Count; i++)
        {
            if (parents[i] == i)
            {
                numbers[i] = sizes.Count;
                sizes.Add(0);
            }
            else
            {
                numbers[i] = numbers[parents[i]];
            }

            sizes[numbers[i]] += runs[i].End - runs[i].Start;
        }

        return (numbers, sizes);
    }

    private Extent[] Measure()
    {
        var found = new Extent[Count + 1];
        for (int y = 0; y + 1 < rowStart.Length; y++)
        {
            for (int i = rowStart[y]; i < rowStart[y + 1]; i++)
            {
                var (start, end) = runs[i];
                ref var e = ref found[numbers[i]];
                if (e.Bottom == 0)
                {
                    e = new Extent { FirstX = start, Left = start, Top = y };
                }

                e.Left = Math.Min(e.Left, start);
                e.Right = Math.Max(e.Right, end);
                e.Bottom = y + 1;
            }
        }

        return found;
    }

    private struct Extent
    {
        public int FirstX, Left, Top, Right, Bottom;
    }

    // Two rows, no pixels where all neighbors are alike, and by how many levels those differ that are; 1 where corners touch.
    private readonly ref struct RowPair(ReadOnlySpan<Rgba8> pixels, ReadOnlySpan<Rgba8> above, int levels, int corner)
    {
        public readonly ReadOnlySpan<Rgba8> Pixels = pixels, Above = above;
        public readonly int Levels = levels, Corner = corner;
    }

    private readonly record struct Run(int Start, int End);
}

/// <summary>Sees the pixels of one run and the number of its region.</summary>
internal delegate void RunWork(ReadOnlySpan<Rgba8> pixels, int number);
