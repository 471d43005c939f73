using System.IO.Compression;
using System.Runtime.InteropServices;
using CsCheck;
using Recipes.Imaging;
using Recipes.Work;

namespace Recipes.Hosting.Tests.Work;

public class TilePackerTests
{
    // Grain, a pattern that repeats, and flat color with a speck: what one way to deflate or the other is for.
    private static readonly Gen<Tile<Rgba8>> Tiles = Gen.Select(Gen.Int[1, 128], Gen.Int[1, 128], Gen.Int[0, 2], Gen.Int[0, 1 << 20])
        .Where(size => size.Item1 * size.Item2 > 1)
        .Select((width, height, kind, seed) =>
        {
            var random = new Random(seed);
            return Tile<Rgba8>.Freeze(width, height, [.. Enumerable.Range(0, width * height).Select(i => i == 0 ? new Rgba8(1, 2, 3) : kind switch
            {
                0 => new Rgba8((byte)random.Next(256), (byte)random.Next(90, 110), 7),
                1 => new Rgba8((byte)(i * i % 7 * 30), 9, 9),
                _ => Rgba8.White,
            })]);
        })
        .Where(tile => !tile.IsOneValue);

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void What_is_packed_comes_back(bool byRows)
    {
        var packer = new TilePacker(byRows);
        Tiles.Holds(tile =>
        {
            var coverage = Tile<byte>.Freeze(tile.Width, tile.Height, [.. tile.Samples.ToArray().Select(pixel => pixel.R)]);
            Back(packer, tile).SameSamples(tile).ShouldBeTrue();
            (coverage.IsOneValue || Back(packer, coverage).SameSamples(coverage)).ShouldBeTrue();
        }, iter: 200);
    }

    // By the definition alone: a byte 1, a stream that the base library inflates, and each byte less the one above it.
    [Fact]
    public void Rows_are_told_by_their_differences() => Tiles.Holds(tile =>
    {
        byte[] data = new TilePacker(true).Pack(tile);
        data[0].ShouldBe((byte)1);
        data.Length.ShouldBeLessThanOrEqualTo(TileBytes.Longest);
        using var inflate = new DeflateStream(new MemoryStream(data[1..]), CompressionMode.Decompress);
        using var whole = new MemoryStream();
        inflate.CopyTo(whole);
        byte[] bytes = whole.ToArray();
        for (int i = 4 * tile.Width; i < bytes.Length; i++)
        {
            bytes[i] = (byte)(bytes[i] + bytes[i - (4 * tile.Width)]);
        }

        bytes.ShouldBe(MemoryMarshal.AsBytes(tile.Samples).ToArray());
    }, iter: 100);

    [Fact]
    public void A_changed_byte_is_noticed()
    {
        var tile = Tile<Rgba8>.Freeze(2, 2, [Rgba8.White, Rgba8.Black, Rgba8.White, Rgba8.White]);
        byte[] data = new TilePacker(true).Pack(tile), hash = TileBytes.Hash(tile);
        for (int i = 0; i < data.Length; i++)
        {
            byte[] changed = [.. data];
            changed[i] ^= 0x10;
            var read = TileBytes.Unpack<Rgba8>(2, 2, changed, hash);
            (read is null || read.SameSamples(tile)).ShouldBeTrue();
        }

        TileBytes.Unpack<Rgba8>(2, 2, [], hash).ShouldBeNull();
        TileBytes.Unpack<Rgba8>(2, 1, data, hash).ShouldBeNull();
    }

    private static Tile<T> Back<T>(TilePacker packer, Tile<T> tile)
        where T : unmanaged, IEquatable<T> =>
        TileBytes.Unpack<T>(tile.Width, tile.Height, packer.Pack(tile), TileBytes.Hash(tile)).ShouldNotBeNull();
}
