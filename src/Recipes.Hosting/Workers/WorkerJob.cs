using Recipes.Jail;

namespace Recipes.Hosting.Workers;

/// <summary>What a worker is asked, once.</summary>
/// <param name="Mode">What it shall do: <c>compile</c>, <c>decode</c>, <c>convert</c>, <c>run</c>, <c>jpeg</c> or <c>editor</c>.</param>
/// <param name="Memory">Memory limit in bytes.</param>
/// <param name="Longest">The longest answer taken, in bytes.</param>
/// <param name="Ask">Writes the request.</param>
/// <param name="Answer">Reads the answer, which nobody can change any more; a <see cref="Protocol.FrameException"/> of it is a bad reply.</param>
internal sealed record WorkerJob<T>(string Mode, long Memory, long Longest, Action<Stream> Ask, Func<Stream, T> Answer)
{
    /// <summary>What a confined worker left for this one to read behind the request, or null.</summary>
    public SealedPart? Art { get; init; }

    /// <summary>Takes over a confined worker's answer once it was read, or null.</summary>
    public Action<SharedMemory>? Keep { get; init; }
}
