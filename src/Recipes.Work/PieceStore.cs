using System.Buffers.Binary;
using System.Collections.Immutable;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Recipes.Imaging;

namespace Recipes.Work;

/// <summary>
/// Artworks, layers and tiles in a work file, each stored once. It remembers which objects it read or wrote: what a later
/// state has in common with an earlier one is the same object again, and is neither hashed nor written twice.
/// </summary>
internal sealed class PieceStore(WorkDatabase database)
{
    // Tiles that are hashed, compressed or read at a time: enough for all cores, little enough for memory (8 MB of pixels).
    private const int Batch = 128;

    private readonly ConditionalWeakTable<object, Piece> pieces = [];
    private readonly Dictionary<long, WeakReference<object>> tiles = [];
    private readonly Dictionary<long, WeakReference<object>> layers = [];
    private readonly Dictionary<long, WeakReference<object>> states = [];
    private readonly Dictionary<(int, int, Rgba8), Tile<Rgba8>> plainPixels = [];
    private readonly Dictionary<(int, int, byte), Tile<byte>> plainCoverage = [];
    private WeakReference<Artwork>? latest;

    /// <summary>The same pieces through another connection to the same file.</summary>
    public WorkDatabase Database { get; set; } = database;

    /// <summary>Stores an artwork inside the running transaction.</summary>
    public Piece Write(Artwork art)
    {
        if (pieces.TryGetValue(art, out var known))
        {
            return known;
        }

        if (art.PixelsPerInch is { } stated && !Artwork.IsResolution(stated))
        {
            throw new ArgumentException("The resolution is out of range.", nameof(art));
        }

        Piece[] list = [.. art.Layers.Select(Write)];
        var data = new byte[16 + (8 * list.Length)];
        BinaryPrimitives.WriteInt32LittleEndian(data, art.Width);
        BinaryPrimitives.WriteInt32LittleEndian(data.AsSpan(4), art.Height);
        BinaryPrimitives.WriteDoubleLittleEndian(data.AsSpan(8), art.PixelsPerInch ?? 0);
        for (int i = 0; i < list.Length; i++)
        {
            BinaryPrimitives.WriteInt64LittleEndian(data.AsSpan(16 + (8 * i)), list[i].Id);
        }

        return Remember(states, art, Keep("state", HashState(data, list.Select(layer => layer.Hash)), () => data));
    }

    /// <summary>The artwork of a state.</summary>
    public Artwork Read(Piece state)
    {
        if (Recall(states, state.Id) is Artwork known)
        {
            return known;
        }

        var (size, ids) = ReadState(state);
        var list = ImmutableArray.CreateBuilder<Layer>(ids.Length);
        var hashes = new List<byte[]>(ids.Length);
        foreach (long id in ids)
        {
            var layer = ReadLayer(id, size.Grid);
            list.Add(layer);
            hashes.Add(pieces.TryGetValue(layer, out var piece) ? piece.Hash : throw new InvalidOperationException());
        }

        if (!HashState(size.Head, hashes).AsSpan().SequenceEqual(state.Hash))
        {
            throw Database.Damaged("a step doesn't hold what was written");
        }

        try
        {
            var art = new Artwork(size.Grid.Width, size.Grid.Height, size.PixelsPerInch, list.MoveToImmutable(),
                latest is not null && latest.TryGetTarget(out var earlier) ? earlier : null);
            if (art.ComposedPixels > Artwork.MostComposedPixels)
            {
                throw Database.Damaged("a step has more layers than are put together, 2,000 megapixels at most");
            }

            latest = new WeakReference<Artwork>(art);
            Remember(states, art, state);
            return art;
        }
        catch (ArgumentException)
        {
            throw Database.Damaged("two layers of a step have one name");
        }
    }

    /// <summary>The size of a state, without its layers.</summary>
    public (TileGrid Grid, double? PixelsPerInch) ReadSize(Piece state)
    {
        var size = ReadState(state).Size;
        return (size.Grid, size.PixelsPerInch);
    }

    /// <summary>Forgets everything, for what a failed transaction wrote isn't there.</summary>
    public void Forget()
    {
        pieces.Clear();
        tiles.Clear();
        layers.Clear();
        states.Clear();
    }

    private (StateSize Size, long[] Ids) ReadState(Piece state)
    {
        var (_, data) = ReadPieces("state", state.Id, state.Id, 16 + (8 * Artwork.MostLayers)) is [var only]
            ? (only.Piece, only.Data)
            : throw Database.Damaged("a step is missing");
        if (data.Length < 16 || data.Length % 8 != 0)
        {
            throw Database.Damaged("a step is cut short");
        }

        int width = BinaryPrimitives.ReadInt32LittleEndian(data), height = BinaryPrimitives.ReadInt32LittleEndian(data.AsSpan(4));
        double resolution = BinaryPrimitives.ReadDoubleLittleEndian(data.AsSpan(8));
        if (width is < 1 or > Artwork.LargestSide || height is < 1 or > Artwork.LargestSide || (long)width * height > Artwork.MostPixels
            || (resolution != 0 && !Artwork.IsResolution(resolution)))
        {
            throw Database.Damaged("the size of a step is out of range");
        }

        return (new StateSize(new TileGrid(width, height), resolution == 0 ? null : resolution, data[..16]),
            MemoryMarshal.Cast<byte, long>(data.AsSpan(16)).ToArray());
    }

    private static byte[] HashState(byte[] data, IEnumerable<byte[]> layerHashes) =>
        Digest.Of(["state", data[..16], .. layerHashes]);

    private Piece Write(Layer layer)
    {
        if (pieces.TryGetValue(layer, out var known))
        {
            return known;
        }

        if (System.Text.Encoding.UTF8.GetByteCount(layer.Name) > LayerBytes.LongestName)
        {
            throw new ArgumentException("A layer's name is too long.", nameof(layer));
        }

        var hashes = new Dictionary<long, byte[]>();
        var bytes = new LayerBytes(layer.Name, layer.Opacity, layer.Visible, layer.Mode, layer.Blend, layer.Intent, layer.Pixels.Grid,
            Write(layer.Pixels, hashes), layer.Coverage is null ? [] : Write(layer.Coverage, hashes));
        return Remember(layers, layer, Keep("layer", bytes.Hash(id => hashes[id]), bytes.ToBytes));
    }

    private ImmutableArray<TileName<T>> Write<T>(Plane<T> plane, Dictionary<long, byte[]> hashes)
        where T : unmanaged, IEquatable<T>
    {
        // In the order of the plane, so that new tiles get consecutive ids.
        var fresh = plane.Tiles.Where(tile => !tile.IsOneValue && !pieces.TryGetValue(tile, out _)).Distinct().ToArray();
        Action store = () => { };
        foreach (var batch in fresh.Chunk(Batch))
        {
            var found = new byte[batch.Length][];
            var packed = new byte[batch.Length][];
            Parallel.For(0, batch.Length, i => found[i] = TileBytes.Hash(batch[i]));
            var ids = new long[batch.Length];
            for (int i = 0; i < batch.Length; i++)
            {
                ids[i] = Find("tile", found[i]);
            }

            // One batch is compressed while the one before it is written.
            var packing = Task.Run(() => Parallel.For(0, batch.Length, () => new TilePacker(Database.Version >= WorkSchema.WithPackedRows), (i, _, packer) =>
            {
                packed[i] = ids[i] == 0 ? packer.Pack(batch[i]) : [];
                return packer;
            }, _ => { }));
            try
            {
                store();
            }
            finally
            {
                packing.Wait();
            }

            store = () =>
            {
                for (int i = 0; i < batch.Length; i++)
                {
                    int n = i;
                    Remember(tiles, batch[i], ids[i] == 0 ? Keep("tile", found[i], () => packed[n]) : new Piece(ids[i], found[i]));
                }
            };
        }

        store();

        return [.. plane.Tiles.Select(tile =>
        {
            if (tile.IsOneValue)
            {
                return new TileName<T>(0, tile.Value);
            }

            var piece = pieces.TryGetValue(tile, out var known) ? known : throw new InvalidOperationException();
            hashes[piece.Id] = piece.Hash;
            return new TileName<T>(piece.Id, default);
        })];
    }

    private Layer ReadLayer(long id, TileGrid grid)
    {
        if (Recall(layers, id) is Layer known)
        {
            return known.Pixels.Grid == grid ? known : throw Database.Damaged("a layer differs in size");
        }

        var (piece, data) = ReadPieces("layer", id, id, LayerBytes.Longest) is [var only]
            ? (only.Piece, only.Data)
            : throw Database.Damaged("a layer is missing");
        var bytes = LayerBytes.Read(data, grid) ?? throw Database.Damaged("a layer is not what was written");
        var pixels = ReadTiles(grid, bytes.Pixels, plainPixels, out var hashes);
        var coverage = ReadTiles(grid, bytes.Coverage, plainCoverage, out var coverageHashes);
        if (!bytes.Hash(tile => hashes.TryGetValue(tile, out byte[]? hash) ? hash : coverageHashes[tile]).AsSpan().SequenceEqual(piece.Hash))
        {
            throw Database.Damaged("a layer doesn't hold what was written");
        }

        var plane = new Plane<Rgba8>(grid.Width, grid.Height, pixels);
        if (bytes.Mode == LayerMode.Separation && !plane.Tiles.All(tile => tile.IsAll(default)))
        {
            throw Database.Damaged("a separation plane has colors");
        }

        var layer = bytes.Mode switch
        {
            LayerMode.Replace => Layer.Replace(bytes.Name, bytes.Intent, plane, new Plane<byte>(grid.Width, grid.Height, coverage)),
            LayerMode.Separation => Layer.Separation(bytes.Name, bytes.Intent, new Plane<byte>(grid.Width, grid.Height, coverage), plane),
            _ => Layer.Over(bytes.Name, plane, bytes.Blend),
        };
        layer = layer.WithOpacity(bytes.Opacity).WithVisible(bytes.Visible);
        Remember(layers, layer, piece);
        return layer;
    }

    // The tiles that have rows of their own, by id.
    private Dictionary<long, Tile<T>> ReadStored<T>(TileGrid grid, ImmutableArray<TileName<T>> names)
        where T : unmanaged, IEquatable<T>
    {
        var result = new Dictionary<long, Tile<T>>();
        var places = new SortedDictionary<long, Box>();
        for (int i = 0; i < names.Length; i++)
        {
            long id = names[i].Id;
            if (id == 0 || result.ContainsKey(id))
            {
                continue;
            }

            if (Recall(tiles, id) is { } known)
            {
                result.Add(id, known as Tile<T> ?? throw Database.Damaged("a tile is of the wrong kind"));
            }
            else
            {
                places.TryAdd(id, grid.Bounds(i));
            }
        }

        foreach (var (first, last) in Ranges(places.Keys))
        {
            var rows = ReadPieces("tile", first, last, TileBytes.Longest);
            var read = new Tile<T>?[rows.Count];
            Parallel.For(0, rows.Count, i =>
            {
                var bounds = places[rows[i].Piece.Id];
                read[i] = TileBytes.Unpack<T>(bounds.Width, bounds.Height, rows[i].Data, rows[i].Piece.Hash);
            });
            for (int i = 0; i < rows.Count; i++)
            {
                var tile = read[i] ?? throw Database.Damaged("a tile doesn't hold what was written");
                Remember(tiles, tile, rows[i].Piece);
                result.Add(rows[i].Piece.Id, tile);
            }
        }

        return result;
    }

    private ImmutableArray<Tile<T>> ReadTiles<T>(
        TileGrid grid, ImmutableArray<TileName<T>> names, Dictionary<(int, int, T), Tile<T>> plain, out Dictionary<long, byte[]> hashes)
        where T : unmanaged, IEquatable<T>
    {
        var stored = ReadStored(grid, names);
        hashes = new Dictionary<long, byte[]>();
        var array = ImmutableArray.CreateBuilder<Tile<T>>(names.Length);
        for (int i = 0; i < names.Length; i++)
        {
            var bounds = grid.Bounds(i);
            if (names[i].Id == 0)
            {
                var key = (bounds.Width, bounds.Height, names[i].Value);
                if (!plain.TryGetValue(key, out var one))
                {
                    plain[key] = one = Tile<T>.OneValue(bounds.Width, bounds.Height, names[i].Value);
                }

                array.Add(one);
                continue;
            }

            if (!stored.TryGetValue(names[i].Id, out var tile) || tile.Width != bounds.Width || tile.Height != bounds.Height)
            {
                throw Database.Damaged("a tile is missing or of the wrong size");
            }

            array.Add(tile);
            hashes[names[i].Id] = pieces.TryGetValue(tile, out var piece) ? piece.Hash : throw new InvalidOperationException();
        }

        return array.MoveToImmutable();
    }

    // Consecutive ids, at most a batch at a time.
    private static IEnumerable<(long First, long Last)> Ranges(IEnumerable<long> ids)
    {
        (long First, long Last) range = (0, -1);
        foreach (long id in ids)
        {
            if (id == range.Last + 1 && id - range.First < Batch)
            {
                range.Last = id;
                continue;
            }

            if (range.First != 0)
            {
                yield return range;
            }

            range = (id, id);
        }

        if (range.First != 0)
        {
            yield return range;
        }
    }

    private List<(Piece Piece, byte[] Data)> ReadPieces(string table, long first, long last, int longest) => Database.Query(
        $"SELECT id, {WorkRow.Bounded("hash", 32)}, {WorkRow.Bounded("data", longest)} FROM {table} WHERE id BETWEEN $1 AND $2",
        Batch,
        row => (new Piece(row.Id(0), row.Bytes(1)), row.Bytes(2)),
        first, last);

    // Looks the hash up in the row too: a damaged index must not name another row.
    private long Find(string table, byte[] hash) => Database.Query(
        $"SELECT id FROM {table} AS found WHERE hash = $1 AND (SELECT hash FROM {table} WHERE id = found.id) = $1",
        1,
        row => row.Id(0),
        hash).FirstOrDefault();

    private Piece Keep(string table, byte[] hash, Func<byte[]> data)
    {
        long id = Find(table, hash);
        return new Piece(id != 0 ? id : Database.Insert($"INSERT INTO {table} (hash, data) VALUES ($1, $2)", hash, data()), hash);
    }

    private Piece Remember(Dictionary<long, WeakReference<object>> known, object value, Piece piece)
    {
        pieces.AddOrUpdate(value, piece);
        known[piece.Id] = new WeakReference<object>(value);
        return piece;
    }

    private static object? Recall(Dictionary<long, WeakReference<object>> known, long id) =>
        known.TryGetValue(id, out var reference) && reference.TryGetTarget(out object? value) ? value : null;

    private sealed record StateSize(TileGrid Grid, double? PixelsPerInch, byte[] Head);
}

/// <summary>A stored artwork, layer or tile: its row and the hash of its content.</summary>
internal sealed record Piece(long Id, byte[] Hash);
