using System.Buffers.Binary;
using System.Collections.Immutable;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Protocol;

/// <summary>
/// An <see cref="ArtworkPatch"/> or a coverage plane as bytes. The reader knows the size of the art and the tiles that may be
/// kept before it starts; nothing that comes in decides how much is allocated. In mapped memory, which is an
/// <see cref="UnmanagedMemoryStream"/>, tiles are written on all cores, and a worker works on them where they lie.
/// </summary>
public static class PatchFrame
{
    private const byte Kept = 0, OneValue = 1, Samples = 2;
    private const int LongestName = 400;

    // Tiles of one value that aren't the one before them again: on the wire they take 2 to 5 bytes, and here a hundred. The largest layer has
    // 12,500 tiles of pixels and as many of coverage, so 42 layers whose tiles are each of another value pass; no art is like that.
    private const int MostFlat = 1 << 20;

    /// <summary>How many bytes a patch takes on the wire.</summary>
    public static long LengthOf(ArtworkPatch patch)
    {
        ArgumentNullException.ThrowIfNull(patch);
        return 20 + patch.Layers.Sum(layer => 16L + Encoding.UTF8.GetByteCount(layer.Name)
            + layer.Pixels.Sum(LengthOf) + (layer.Mode == LayerMode.Over ? 0 : layer.Coverage.Sum(LengthOf)));
    }

    /// <summary>Writes a patch frame, tile by tile.</summary>
    public static void Write(Stream stream, ArtworkPatch patch)
    {
        ArgumentNullException.ThrowIfNull(patch);
        Frame.WriteHeader(stream, Frame.Patch, LengthOf(patch));
        using var writer = new BinaryWriter(stream, Encoding.UTF8, leaveOpen: true);
        writer.Write(patch.Width);
        writer.Write(patch.Height);
        writer.Write(patch.PixelsPerInch ?? 0);
        writer.Write(patch.Layers.Length);
        foreach (var layer in patch.Layers)
        {
            byte[] name = Encoding.UTF8.GetBytes(layer.Name);
            writer.Write(name.Length);
            writer.Write(name);
            writer.Write(layer.Opacity);
            writer.Write(layer.Visible);
            writer.Write((byte)layer.Mode);
            writer.Write((byte)layer.Blend);
            writer.Write((byte)layer.Intent);
            WritePlane(writer, stream as UnmanagedMemoryStream, layer.Pixels);
            if (layer.Mode != LayerMode.Over)
            {
                WritePlane(writer, stream as UnmanagedMemoryStream, layer.Coverage);
            }
        }
    }

    /// <summary>Writes a coverage frame.</summary>
    public static void Write(Stream stream, Plane<byte> coverage)
    {
        ArgumentNullException.ThrowIfNull(coverage);
        Frame.WriteHeader(stream, Frame.Coverage, coverage.Tiles.Sum(LengthOf));
        using var writer = new BinaryWriter(stream, Encoding.UTF8, leaveOpen: true);
        foreach (var tile in coverage.Tiles)
        {
            WriteTile(writer, tile);
        }
    }

    /// <summary>Reads a patch frame.</summary>
    /// <param name="stream">Where it comes from.</param>
    /// <param name="inputLayers">How many layers the input has, so that kept tiles can be judged.</param>
    /// <param name="expected">The size that the patch must have, or null where any size an artwork may have is fine.</param>
    /// <param name="mostLayers">The most layers.</param>
    /// <param name="inPlace">True: in mapped memory samples aren't copied, and that memory must stay as it is until the process ends.</param>
    /// <exception cref="FrameException">Anything is out of bounds.</exception>
    public static ArtworkPatch Read(Stream stream, int inputLayers, TileGrid? expected, int mostLayers = Artwork.MostLayers, bool inPlace = false)
    {
        // Every layer could bring all its tiles; the bytes are read piece by piece, so the bound costs nothing.
        var reader = new Reader(stream, Frame.ReadHeader(stream, Frame.Patch, long.MaxValue), inPlace);
        int width = reader.Int32(), height = reader.Int32();
        if (width is < 1 or > Artwork.LargestSide || height is < 1 or > Artwork.LargestSide || (long)width * height > Artwork.MostPixels
            || (expected is { } grid && grid != new TileGrid(width, height)))
        {
            throw new FrameException($"A patch of {width} x {height} px came, which is not the size that was due.");
        }

        double resolution = reader.Double();
        if (resolution != 0 && !Artwork.IsResolution(resolution))
        {
            throw new FrameException("The patch's resolution is out of range.");
        }

        int count = reader.Int32();
        if (count < 0 || count > mostLayers)
        {
            throw new FrameException($"A patch of {count} layers came; at most {mostLayers} are taken.");
        }

        var layers = ImmutableArray.CreateBuilder<LayerPatch>(count);
        for (int i = 0; i < count; i++)
        {
            layers.Add(ReadLayer(reader, new TileGrid(width, height), inputLayers));
        }

        reader.End();
        return new ArtworkPatch(width, height, resolution == 0 ? null : resolution, layers.MoveToImmutable());
    }

    /// <summary>Reads a coverage frame of a known size.</summary>
    /// <exception cref="FrameException">Anything is out of bounds.</exception>
    public static Plane<byte> ReadCoverage(Stream stream, TileGrid grid)
    {
        var reader = new Reader(stream, Frame.ReadHeader(stream, Frame.Coverage, long.MaxValue));
        var tiles = ReadPlane<byte>(reader, grid, inputLayers: 0);
        reader.End();
        return new Plane<byte>(grid.Width, grid.Height, [.. tiles.Select(tile => tile.New!)]);
    }

    private static long LengthOf<T>(TilePatch<T> tile)
        where T : unmanaged, IEquatable<T> => tile.New is null ? 9 : LengthOf(tile.New);

    private static long LengthOf<T>(Tile<T> tile)
        where T : unmanaged, IEquatable<T> => 1 + ((tile.IsOneValue ? 1L : tile.Count) * Unsafe.SizeOf<T>());

    // Fresh pages take longer than what is copied into them, so samples go there on all cores.
    private static unsafe void WritePlane<T>(BinaryWriter writer, UnmanagedMemoryStream? memory, ImmutableArray<TilePatch<T>> tiles)
        where T : unmanaged, IEquatable<T>
    {
        var places = new nint[tiles.Length];
        for (int i = 0; i < tiles.Length; i++)
        {
            var tile = tiles[i];
            if (tile.New is null)
            {
                writer.Write(Kept);
                writer.Write(tile.Layer);
                writer.Write(tile.Index);
            }
            else if (memory is null || tile.New.IsOneValue || memory.Length - memory.Position < LengthOf(tile.New))
            {
                WriteTile(writer, tile.New);
            }
            else
            {
                writer.Write(Samples);
                places[i] = (nint)memory.PositionPointer;
                memory.Position += (long)tile.New.Count * sizeof(T);
            }
        }

        Parallel.For(0, places.Length, i =>
        {
            if (places[i] != 0)
            {
                tiles[i].New!.CopyTo(new Span<T>((void*)places[i], tiles[i].New!.Count));
            }
        });
    }

    private static void WriteTile<T>(BinaryWriter writer, Tile<T> tile)
        where T : unmanaged, IEquatable<T>
    {
        if (tile.IsOneValue)
        {
            writer.Write(OneValue);
            writer.Write(MemoryMarshal.AsBytes([tile.Value]));
        }
        else
        {
            writer.Write(Samples);
            writer.Write(MemoryMarshal.AsBytes(tile.Samples));
        }
    }

    private static LayerPatch ReadLayer(Reader reader, TileGrid grid, int inputLayers)
    {
        int length = reader.Int32();
        if (length is < 1 or > LongestName)
        {
            throw new FrameException("A layer's name is empty or too long.");
        }

        string name = Encoding.UTF8.GetString(reader.Bytes(length));
        double opacity = reader.Double();
        bool visible = reader.Byte() != 0;
        var mode = (LayerMode)reader.Byte();
        var blend = (BlendMode)reader.Byte();
        var intent = (LayerIntent)reader.Byte();
        if (opacity is not (>= 0 and <= 1) || !Enum.IsDefined(mode) || !Enum.IsDefined(blend) || !Enum.IsDefined(intent))
        {
            throw new FrameException("A layer's properties are out of range.");
        }

        var pixels = ReadPlane<Rgba8>(reader, grid, inputLayers);
        return new LayerPatch(name, opacity, visible, mode, blend, intent, pixels,
            mode == LayerMode.Over ? [] : ReadPlane<byte>(reader, grid, inputLayers));
    }

    private static ImmutableArray<TilePatch<T>> ReadPlane<T>(Reader reader, TileGrid grid, int inputLayers)
        where T : unmanaged, IEquatable<T>
    {
        var tiles = new TilePatch<T>[grid.Count];
        var copies = new T[]?[grid.Count];
        TilePatch<T>? flat = null;
        for (int i = 0; i < tiles.Length; i++)
        {
            byte kind = reader.Byte();
            if (kind != Kept)
            {
                var tile = ReadTile<T>(reader, grid.Bounds(i), kind);
                if (kind == Samples)
                {
                    tiles[i] = new TilePatch<T>(-1, -1, tile);
                    copies[i] = reader.MustCopy && !tile.IsOneValue ? GC.AllocateUninitializedArray<T>(tile.Count) : null;
                    continue;
                }

                // Most layers are empty but for a part: their tiles are one object then.
                if (flat?.New is not { } last || last.Width != tile.Width || last.Height != tile.Height || !last.Value.Equals(tile.Value))
                {
                    reader.CountFlat(MostFlat);
                    flat = new TilePatch<T>(-1, -1, tile);
                }

                tiles[i] = flat;
                continue;
            }

            int layer = reader.Int32(), index = reader.Int32();
            if (layer < 0 || layer >= inputLayers || index < 0)
            {
                throw new FrameException("A patch keeps a tile that isn't there.");
            }

            tiles[i] = new TilePatch<T>(layer, index, null);
        }

        // On all cores, as they were written; not so the room for them, which the runtime makes behind a lock.
        Parallel.For(0, tiles.Length, i =>
        {
            if (copies[i] is { } copy)
            {
                var tile = tiles[i].New!;
                tile.CopyTo(copy);
                tiles[i] = new TilePatch<T>(-1, -1, Tile<T>.Adopt(tile.Width, tile.Height, copy));
            }
        });
        return ImmutableCollectionsMarshal.AsImmutableArray(tiles);
    }

    private static Tile<T> ReadTile<T>(Reader reader, Box bounds, byte kind)
        where T : unmanaged, IEquatable<T>
    {
        int count = kind == OneValue ? 1 : kind == Samples ? bounds.Width * bounds.Height : throw new FrameException("A tile of unknown kind came.");
        if (kind == Samples && reader.TryPass(count * Unsafe.SizeOf<T>(), out var bytes))
        {
            return Tile<T>.InPlace(bounds.Width, bounds.Height, MemoryMarshal.Cast<byte, T>(bytes));
        }

        var samples = GC.AllocateUninitializedArray<T>(count);
        reader.Fill(MemoryMarshal.AsBytes(samples.AsSpan()));
        return kind == OneValue
            ? Tile<T>.OneValue(bounds.Width, bounds.Height, samples[0])
            : Tile<T>.Adopt(bounds.Width, bounds.Height, samples);
    }

    // Never reads past the frame, however the content counts.
    private sealed class Reader(Stream stream, long left, bool inPlace = false)
    {
        private readonly UnmanagedMemoryStream? memory = stream as UnmanagedMemoryStream;
        private readonly byte[] scratch = new byte[8];
        private int flat;

        /// <summary>True where samples that were passed must not stay where they are.</summary>
        public bool MustCopy => memory is not null && !inPlace;

        public void CountFlat(int most)
        {
            if (++flat > most)
            {
                throw new FrameException($"A patch of more than {most} tiles of one color each came.");
            }
        }

        public void Fill(Span<byte> target)
        {
            left -= target.Length;
            if (left < 0)
            {
                throw new FrameException("A patch is shorter than its content says.");
            }

            Frame.ReadExactly(stream, target);
        }

        /// <summary>Passes bytes that stay where they are; false where they must be read.</summary>
        public unsafe bool TryPass(int count, out ReadOnlySpan<byte> bytes)
        {
            bytes = default;
            if (memory is null || count > Math.Min(left, memory.Length - memory.Position))
            {
                return false;
            }

            bytes = new ReadOnlySpan<byte>(memory.PositionPointer, count);
            memory.Position += count;
            left -= count;
            return true;
        }

        public byte[] Bytes(int count)
        {
            var bytes = new byte[count];
            Fill(bytes);
            return bytes;
        }

        public byte Byte()
        {
            Fill(scratch.AsSpan(0, 1));
            return scratch[0];
        }

        public int Int32()
        {
            Fill(scratch.AsSpan(0, 4));
            return BinaryPrimitives.ReadInt32LittleEndian(scratch);
        }

        public double Double()
        {
            Fill(scratch);
            return BinaryPrimitives.ReadDoubleLittleEndian(scratch);
        }

        public void End()
        {
            if (left != 0)
            {
                throw new FrameException("A patch is longer than its content.");
            }
        }
    }
}
