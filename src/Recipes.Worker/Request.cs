namespace Recipes.Worker;

/// <summary>A request to read.</summary>
/// <param name="Stream">Its frames.</param>
/// <param name="HasBeenRead">To be called when it was read whole.</param>
internal sealed record Request(Stream Stream, Action HasBeenRead);
