using Recipes.Imaging;

namespace Recipes.Hosting.Workers;

/// <summary>What a worker process may use.</summary>
/// <param name="Time">Wall-clock time for decoding, compiling and running each; 60 s unless said otherwise.</param>
/// <param name="MemoryMegabytes">Memory in MB; null: 2048, or five times the raw pixels where that is more.</param>
public sealed record WorkerLimits(TimeSpan Time, int? MemoryMegabytes)
{
    /// <summary>The contract's defaults.</summary>
    public static WorkerLimits Default { get; } = new(TimeSpan.FromSeconds(60), null);

    /// <summary>The memory limit for so many pixels, in bytes.</summary>
    public long MemoryFor(long pixels) => MemoryMegabytes is { } stated
        ? stated * 1024L * 1024
        : Math.Max(2048L * 1024 * 1024, 5 * 4 * pixels);

    /// <summary>The memory limit for pictures of the usual size, in bytes.</summary>
    public long UsualMemory => MemoryFor(0);

    /// <summary>The memory limit where the picture's size isn't known yet.</summary>
    public long MemoryForUnknownSize => MemoryFor(Artwork.MostPixels);
}
