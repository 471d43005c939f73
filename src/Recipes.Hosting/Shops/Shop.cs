using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;

namespace Recipes.Hosting.Shops;

/// <summary>
/// What a front end gives with everything that it asks for: where work files lie, what time it is, who is told that work goes on, and what ends it. It is
/// passed, so that two front ends in one process, or two tests, don't share these. The user's folders and settings, the house, and which files are originals
/// are still the process's.
/// </summary>
public sealed class Shop
{
    /// <summary>The clock that steps, prints and approvals are dated by.</summary>
    public required TimeProvider Clock { get; init; }

    /// <summary>The folder of all work files; null where each lies beside its art.</summary>
    public string? WorkFolder { get; init; }

    /// <summary>Who is told that long work goes on.</summary>
    public Progress Progress { get; init; } = Progress.Silent;

    /// <summary>How long what is asked for takes, by phase.</summary>
    public Timings Timings { get; } = new();

    /// <summary>Who decodes and runs where a use case isn't given others.</summary>
    public WorkerPool Workers { get; init; } = WorkerPool.Usual;

    /// <summary>Ends what goes on, and leaves everything as it was; of many files, those that were written stay.</summary>
    public CancellationToken Cancel { get; init; }

    /// <summary>The same shop for one of many things that go on side by side: it tells nobody, and has times of its own.</summary>
    public Shop Aside() => new() { Clock = Clock, WorkFolder = WorkFolder, Workers = Workers, Cancel = Cancel };

    /// <summary>The time, UTC.</summary>
    public DateTimeOffset Now => Clock.GetUtcNow();
}
