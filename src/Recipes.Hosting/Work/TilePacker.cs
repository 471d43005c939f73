using System.IO.Compression;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Recipes.Codecs;
using Recipes.Imaging;

namespace Recipes.Hosting.Work;

/// <summary>Packs tiles for a work file, one after the other; each thread has its own.</summary>
/// <param name="byRows">False for a file of a version that knows plain zlib streams alone.</param>
#pragma warning disable CA1001 // A memory stream holds nothing that must be given back.
internal sealed class TilePacker(bool byRows)
#pragma warning restore CA1001
{
    // So much of a tile tells grain, in which only single bytes repeat, from patterns.
    private const int SampleBytes = 4096;

    private readonly RunDeflater runs = new();
    private readonly MemoryStream packed = new();
    private byte[] differences = [];

    /// <summary>The bytes that <see cref="TileBytes.Unpack"/> takes.</summary>
    public byte[] Pack<T>(Tile<T> tile)
        where T : unmanaged, IEquatable<T>
    {
        var samples = MemoryMarshal.AsBytes(tile.Samples);
        packed.SetLength(0);
        if (!byRows)
        {
            using (var zlib = new ZLibStream(packed, CompressionLevel.Fastest, leaveOpen: true))
            {
                zlib.Write(samples);
            }

            return packed.ToArray();
        }

        differences = differences.Length < samples.Length ? new byte[samples.Length] : differences;
        var rows = differences.AsSpan(0, samples.Length);
        RowDifferences.Of(samples, tile.Width * Unsafe.SizeOf<T>(), rows);
        bool grain = IsGrain(rows.Slice(Math.Max(0, rows.Length - SampleBytes) / 2, Math.Min(SampleBytes, rows.Length)));
        packed.SetLength(0);
        packed.WriteByte(TileBytes.ByRows);
        Deflate(rows, grain);
        return packed.ToArray();
    }

    private bool IsGrain(ReadOnlySpan<byte> sample)
    {
        packed.SetLength(0);
        Deflate(sample, byRuns: false);
        long byLibrary = packed.Length;
        packed.SetLength(0);
        Deflate(sample, byRuns: true);
        return packed.Length < byLibrary;
    }

    private void Deflate(ReadOnlySpan<byte> bytes, bool byRuns)
    {
        if (byRuns)
        {
            runs.Deflate(bytes, last: true, packed);
            return;
        }

        using var library = new DeflateStream(packed, CompressionLevel.Fastest, leaveOpen: true);
        library.Write(bytes);
    }
}
