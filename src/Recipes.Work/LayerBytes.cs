using System.Collections.Immutable;
using System.Runtime.InteropServices;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Work;

/// <summary>
/// A layer as it lies in a work file: its properties and, for each plane, runs of tiles. A run is either tiles of one value or
/// stored tiles with consecutive ids, so a local edit makes a list of a few bytes.
/// </summary>
/// <param name="Name">The name.</param>
/// <param name="Opacity">0 to 1.</param>
/// <param name="Visible">False where it is switched off.</param>
/// <param name="Mode">How it goes onto what is below.</param>
/// <param name="Blend">The blend mode.</param>
/// <param name="Intent">What wrote it.</param>
/// <param name="Grid">The size.</param>
/// <param name="Pixels">The tiles.</param>
/// <param name="Coverage">The tiles of the coverage; empty for an <see cref="LayerMode.Over"/> layer.</param>
internal sealed record LayerBytes(
    string Name, double Opacity, bool Visible, LayerMode Mode, BlendMode Blend, LayerIntent Intent, TileGrid Grid,
    ImmutableArray<TileName<Rgba8>> Pixels, ImmutableArray<TileName<byte>> Coverage)
{
    /// <summary>The longest name, bytes of UTF-8.</summary>
    public const int LongestName = 4096;

    /// <summary>The longest encoding: the largest artwork with a run of the longest form for each tile of both planes.</summary>
    public const int Longest = LongestName + 64 + (2 * 16 * MostTiles);

    // (w / 128 + 1) (h / 128 + 1) for 200 megapixels of at most 30,000 px a side.
    private const int MostTiles = 12_500;

    private static readonly UTF8Encoding Utf8 = new(false, throwOnInvalidBytes: true);

    /// <summary>Encodes.</summary>
    public byte[] ToBytes()
    {
        var buffer = new MemoryStream();
        var writer = new BinaryWriter(buffer);
        WriteProperties(writer);
        WriteRuns(writer, Pixels);
        if (Mode != LayerMode.Over)
        {
            WriteRuns(writer, Coverage);
        }

        return buffer.ToArray();
    }

    /// <summary>Decodes; null where the bytes are not a layer of that size.</summary>
    public static LayerBytes? Read(byte[] data, TileGrid grid)
    {
        var stream = new MemoryStream(data);
        var reader = new BinaryReader(stream);
        try
        {
            int length = reader.Read7BitEncodedInt();
            if (length is < 0 or > LongestName)
            {
                return null;
            }

            string name = Utf8.GetString(reader.ReadBytes(length));
            double opacity = reader.ReadDouble();
            byte visible = reader.ReadByte();
            var mode = (LayerMode)reader.ReadByte();
            var blend = (BlendMode)reader.ReadByte();
            var intent = (LayerIntent)reader.ReadByte();
            bool sound = opacity is >= 0 and <= 1 && visible <= 1
                && Enum.IsDefined(blend) && Enum.IsDefined(intent)
                && mode switch
                {
                    LayerMode.Over => intent == LayerIntent.None,
                    LayerMode.Replace => blend == BlendMode.Normal && intent is not (LayerIntent.Underbase or LayerIntent.SecondPass),
                    LayerMode.Separation => blend == BlendMode.Normal && (intent is LayerIntent.Underbase or LayerIntent.SecondPass),
                    _ => false,
                }
                && reader.ReadInt32() == grid.Width && reader.ReadInt32() == grid.Height;
            if (!sound)
            {
                return null;
            }

            var layer = new LayerBytes(name, opacity, visible == 1, mode, blend, intent, grid,
                ReadRuns<Rgba8>(reader, grid.Count), mode == LayerMode.Over ? [] : ReadRuns<byte>(reader, grid.Count));
            return stream.Position == stream.Length ? layer : null;
        }
        catch (Exception e) when (e is EndOfStreamException or FormatException or OverflowException or DecoderFallbackException)
        {
            return null;
        }
    }

    /// <summary>SHA-256 over the properties and, tile by tile, the value or the hash that a stored tile has.</summary>
    public byte[] Hash(Func<long, byte[]> hashOf)
    {
        var buffer = new MemoryStream();
        var writer = new BinaryWriter(buffer);
        WriteProperties(writer);
        AddTiles(Pixels);
        AddTiles(Coverage);
        return Digest.Of("layer", buffer.ToArray());

        void AddTiles<T>(ImmutableArray<TileName<T>> tiles)
            where T : unmanaged, IEquatable<T>
        {
            foreach (var tile in tiles)
            {
                writer.Write(tile.Id == 0);
                writer.Write(tile.Id == 0 ? MemoryMarshal.AsBytes([tile.Value]) : hashOf(tile.Id));
            }
        }
    }

    private void WriteProperties(BinaryWriter writer)
    {
        byte[] name = Encoding.UTF8.GetBytes(Name);
        writer.Write7BitEncodedInt(name.Length);
        writer.Write(name);
        writer.Write(Opacity);
        writer.Write((byte)(Visible ? 1 : 0));
        writer.Write((byte)Mode);
        writer.Write((byte)Blend);
        writer.Write((byte)Intent);
        writer.Write(Grid.Width);
        writer.Write(Grid.Height);
    }

    // A run: its length doubled, plus 1 for tiles of one value; then the value, or how far its first id lies from the id
    // after the last one.
    private static void WriteRuns<T>(BinaryWriter writer, ImmutableArray<TileName<T>> tiles)
        where T : unmanaged, IEquatable<T>
    {
        long next = 1;
        for (int start = 0; start < tiles.Length;)
        {
            var first = tiles[start];
            int end = start + 1;
            while (end < tiles.Length
                && (first.Id == 0 ? tiles[end] == first : tiles[end].Id == first.Id + (end - start)))
            {
                end++;
            }

            writer.Write7BitEncodedInt(((end - start) << 1) | (first.Id == 0 ? 1 : 0));
            if (first.Id == 0)
            {
                writer.Write(MemoryMarshal.AsBytes([first.Value]));
            }
            else
            {
                // Zigzag: small numbers of either sign are short.
                long distance = first.Id - next;
                writer.Write7BitEncodedInt64((distance << 1) ^ (distance >> 63));
                next = first.Id + (end - start);
            }

            start = end;
        }
    }

    private static ImmutableArray<TileName<T>> ReadRuns<T>(BinaryReader reader, int count)
        where T : unmanaged, IEquatable<T>
    {
        var tiles = ImmutableArray.CreateBuilder<TileName<T>>(count);
        var value = new T[1];
        long next = 1;
        while (tiles.Count < count)
        {
            int head = reader.Read7BitEncodedInt(), length = head >> 1;
            if (length < 1 || length > count - tiles.Count)
            {
                throw new FormatException();
            }

            if ((head & 1) == 1)
            {
                reader.BaseStream.ReadExactly(MemoryMarshal.AsBytes(value.AsSpan()));
                tiles.AddRange(Enumerable.Repeat(new TileName<T>(0, value[0]), length));
                continue;
            }

            long zigzag = reader.Read7BitEncodedInt64();
            long id = checked(next + ((long)((ulong)zigzag >> 1) ^ -(zigzag & 1)));
            next = checked(id + length);
            if (id < 1)
            {
                throw new FormatException();
            }

            tiles.AddRange(Enumerable.Range(0, length).Select(i => new TileName<T>(id + i, default)));
        }

        return tiles.MoveToImmutable();
    }
}

/// <summary>Names a tile: a stored one by its id, or one of a single value by that value where the id is 0.</summary>
internal readonly record struct TileName<T>(long Id, T Value)
    where T : unmanaged, IEquatable<T>;
