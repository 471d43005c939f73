using System.IO.Compression;

namespace Recipes.Codecs;

/// <summary>
/// Deflates bytes in one of two ways, whichever a sample says takes less: grain, where only single bytes repeat, by <see cref="RunDeflater"/>,
/// and patterns by the base library. Each thread has its own.
/// </summary>
/// <param name="level">The base library's level, 1 to 9.</param>
/// <param name="sampleBytes">How long a piece from the middle stands for all.</param>
public sealed class SampledDeflater(int level, int sampleBytes)
{
    private readonly ZLibCompressionOptions options = new() { CompressionLevel = level };
    private readonly RunDeflater runs = new();

    /// <summary>Deflates bytes to the end of a whole byte, so that the result can be followed by more, unless it is the last.</summary>
    /// <param name="bytes">Any number of them.</param>
    /// <param name="last">True ends the deflated stream.</param>
    /// <param name="into">Where it goes, at its end.</param>
    /// <param name="mayBeGrain">False where it is known to be none, as bytes that are mostly zeros: then the base library takes them.</param>
    public void Deflate(ReadOnlySpan<byte> bytes, bool last, MemoryStream into, bool mayBeGrain = true)
    {
        ArgumentNullException.ThrowIfNull(into);
        if (mayBeGrain && RunsAreLess(bytes, into))
        {
            runs.Deflate(bytes, last, into);
        }
        else
        {
            ByLibrary(bytes, last, into);
        }
    }

    private bool RunsAreLess(ReadOnlySpan<byte> bytes, MemoryStream into)
    {
        var sample = bytes.Slice(Math.Max(0, bytes.Length - sampleBytes) / 2, Math.Min(sampleBytes, bytes.Length));
        long start = into.Length;
        ByLibrary(sample, last: true, into);
        long byLibrary = into.Length - start;
        into.SetLength(start);
        runs.Deflate(sample, last: true, into);
        long byRuns = into.Length - start;
        into.SetLength(start);
        return byRuns < byLibrary;
    }

    private void ByLibrary(ReadOnlySpan<byte> bytes, bool last, MemoryStream into)
    {
        using var deflate = new DeflateStream(into, options, leaveOpen: true);
        deflate.Write(bytes);
        if (!last)
        {
            deflate.Flush();
        }

        long end = into.Length;
        deflate.Dispose();
        // Disposing ends the stream, which is for the last to do.
        into.SetLength(last ? into.Length : end);
    }
}
