using System.IO.Compression;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Recipes.Codecs;
using Recipes.Imaging;

namespace Recipes.Work;

/// <summary>Packs tiles for a work file, one after the other; each thread has its own.</summary>
/// <param name="byRows">False for a file of a version that knows plain zlib streams alone.</param>
#pragma warning disable CA1001 // A memory stream holds nothing that must be given back.
internal sealed class TilePacker(bool byRows)
#pragma warning restore CA1001
{
    // A work file is written while somebody waits, so the fastest level, and a sample that is soon looked at.
    private readonly SampledDeflater deflater = new(level: 1, sampleBytes: 4096);
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
        packed.WriteByte(TileBytes.ByRows);
        deflater.Deflate(rows, last: true, packed);
        return packed.ToArray();
    }
}
