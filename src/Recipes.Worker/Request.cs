namespace Recipes.Worker;

/// <summary>A request to read.</summary>
/// <param name="Stream">Its frames.</param>
/// <param name="Art">Where its art lies, which comes last: behind the other frames, or where the worker that decoded it left it.</param>
/// <param name="HasBeenRead">To be called when it was read whole.</param>
/// <param name="HasBeenLoaded">To be called by a job that loads code, when it was loaded and before it runs.</param>
internal sealed record Request(Stream Stream, Stream Art, Action HasBeenRead, Action HasBeenLoaded);
