using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Protocol;

namespace Recipes.Hosting.Arts;

/// <summary>A JPEG of an art, made in a worker: the host holds no such encoder.</summary>
public static class JpegFile
{
    private const int Largest = 256 * 1024 * 1024;

    /// <summary>Encodes an art at a quality from 1 to 100.</summary>
    public static byte[] Of(Artwork art, int quality, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(art);
        return WorkerPool.Usual.Ask(new WorkerJob<byte[]>("jpeg", WorkerLimits.Default.MemoryFor(art.PixelCount), Largest,
            stream =>
            {
                Message.Write(stream, new JpegRequest(quality));
                PatchFrame.Write(stream, ArtworkPatch.Between(null, art));
            },
            stream => Frame.Read(stream, Frame.Bytes, Largest)), cancel);
    }
}
