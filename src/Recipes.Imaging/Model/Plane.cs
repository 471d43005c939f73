using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>Works on the samples of one tile in place; <paramref name="bounds"/> says where in the plane they lie.</summary>
public delegate void TileWork<T>(Box bounds, Span<T> samples);

/// <summary>An immutable raster of samples, cut into tiles: the pixels of a layer or the coverage of a region.</summary>
public sealed class Plane<T>
    where T : unmanaged, IEquatable<T>
{
    /// <summary>Assembles a plane of tiles that must fit the grid of its size.</summary>
    public Plane(int width, int height, ImmutableArray<Tile<T>> tiles)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(width, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(height, 1);
        Grid = new TileGrid(width, height);
        if (tiles.Length != Grid.Count)
        {
            throw new ArgumentException("The tiles do not fill the plane.", nameof(tiles));
        }

        for (int i = 0; i < tiles.Length; i++)
        {
            var bounds = Grid.Bounds(i);
            if (tiles[i].Width != bounds.Width || tiles[i].Height != bounds.Height)
            {
                throw new ArgumentException($"Tile {i} does not fit its place.", nameof(tiles));
            }
        }

        Tiles = tiles;
    }

    /// <summary>Size and cut.</summary>
    public TileGrid Grid { get; }

    /// <summary>Width in px.</summary>
    public int Width => Grid.Width;

    /// <summary>Height in px.</summary>
    public int Height => Grid.Height;

    /// <summary>The tiles in rows from the top.</summary>
    public ImmutableArray<Tile<T>> Tiles { get; }

    /// <summary>The sample at a place.</summary>
    public T this[int x, int y] => Tiles[Grid.IndexAt(x, y)][x % TileGrid.Side, y % TileGrid.Side];

    /// <summary>A plane of one value.</summary>
    public static Plane<T> OneValue(int width, int height, T value)
    {
        var grid = new TileGrid(width, height);
        var tiles = ImmutableArray.CreateBuilder<Tile<T>>(grid.Count);
        // At most four shapes of tile occur: inner, right edge, bottom edge, corner.
        var shapes = new Dictionary<(int, int), Tile<T>>();
        for (int i = 0; i < grid.Count; i++)
        {
            var bounds = grid.Bounds(i);
            if (!shapes.TryGetValue((bounds.Width, bounds.Height), out var tile))
            {
                shapes[(bounds.Width, bounds.Height)] = tile = Tile<T>.OneValue(bounds.Width, bounds.Height, value);
            }

            tiles.Add(tile);
        }

        return new Plane<T>(width, height, tiles.MoveToImmutable());
    }

    /// <summary>Cuts a contiguous raster into tiles; a tile equal to the predecessor's is the predecessor's.</summary>
    public static Plane<T> FromContiguous(int width, int height, ReadOnlyMemory<T> samples, Plane<T>? predecessor = null)
    {
        if (samples.Length != (long)width * height)
        {
            throw new ArgumentException("The samples do not fill the plane.", nameof(samples));
        }

        return Build(width, height, predecessor, (bounds, target) =>
        {
            var source = samples.Span;
            for (int y = 0; y < bounds.Height; y++)
            {
                source.Slice(((bounds.Y + y) * width) + bounds.X, bounds.Width).CopyTo(target[(y * bounds.Width)..]);
            }
        });
    }

    /// <summary>
    /// Builds a plane tile by tile, on all cores; the work fills the samples of its tile. A tile equal to the
    /// predecessor's at the same place is the predecessor's, and a plane of nothing but those is the predecessor itself.
    /// </summary>
    /// <param name="width">Width in px.</param>
    /// <param name="height">Height in px.</param>
    /// <param name="predecessor">The plane that this one comes from, or null.</param>
    /// <param name="work">Fills a tile.</param>
    /// <param name="whole">Gives the tile of an index where it is known without looking at its samples, else null.</param>
    public static Plane<T> Build(int width, int height, Plane<T>? predecessor, TileWork<T> work, Func<int, Tile<T>?>? whole = null)
    {
        ArgumentNullException.ThrowIfNull(work);
        var grid = new TileGrid(width, height);
        bool comparable = predecessor is not null && predecessor.Grid == grid;
        var tiles = new Tile<T>[grid.Count];
        Parallel.For(
            0,
            grid.Count,
            () => new T[TileGrid.Side * TileGrid.Side],
            (i, _, scratch) =>
            {
                var bounds = grid.Bounds(i);
                if (whole?.Invoke(i) is { } known)
                {
                    tiles[i] = comparable && predecessor!.Tiles[i].SameSamples(known) ? predecessor.Tiles[i] : known;
                    return scratch;
                }

                var samples = scratch.AsSpan(0, bounds.Width * bounds.Height);
                work(bounds, samples);
                tiles[i] = Tile<T>.Freeze(bounds.Width, bounds.Height, samples, comparable ? predecessor!.Tiles[i] : null);
                return scratch;
            },
            _ => { });
        return comparable ? predecessor!.WithTiles(ImmutableArray.Create(tiles)) : new Plane<T>(width, height, ImmutableArray.Create(tiles));
    }

    /// <summary>The plane with these tiles; this plane itself where all of them are its own.</summary>
    public Plane<T> WithTiles(ImmutableArray<Tile<T>> tiles)
    {
        if (tiles.Length == Tiles.Length)
        {
            int i = 0;
            while (i < tiles.Length && ReferenceEquals(tiles[i], Tiles[i]))
            {
                i++;
            }

            if (i == tiles.Length)
            {
                return this;
            }
        }

        return new Plane<T>(Width, Height, tiles);
    }

    /// <summary>All samples in one array, rows from the top.</summary>
    public T[] ToContiguous()
    {
        var target = new T[checked(Width * Height)];
        Parallel.For(0, Grid.Count, i =>
        {
            var bounds = Grid.Bounds(i);
            for (int y = 0; y < bounds.Height; y++)
            {
                Tiles[i].CopyRowTo(y, target.AsSpan(((bounds.Y + y) * Width) + bounds.X, bounds.Width));
            }
        });
        return target;
    }

    /// <summary>Writes one whole row of the plane.</summary>
    public void CopyRowTo(int y, Span<T> target)
    {
        int first = y / TileGrid.Side * Grid.Columns;
        for (int column = 0; column < Grid.Columns; column++)
        {
            Tiles[first + column].CopyRowTo(y % TileGrid.Side, target[(column * TileGrid.Side)..]);
        }
    }

    /// <summary>True where both planes have the same size and samples.</summary>
    public bool SameSamples(Plane<T> other)
    {
        ArgumentNullException.ThrowIfNull(other);
        if (Grid != other.Grid)
        {
            return false;
        }

        for (int i = 0; i < Tiles.Length; i++)
        {
            if (!Tiles[i].SameSamples(other.Tiles[i]))
            {
                return false;
            }
        }

        return true;
    }
}
