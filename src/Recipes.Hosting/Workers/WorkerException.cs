using Recipes.Hosting.Words;

namespace Recipes.Hosting.Workers;

/// <summary>How a worker ended before it gave a usable answer.</summary>
public enum WorkerEnd
{
    /// <summary>It ran longer than its time limit, or used more processor time than that allows.</summary>
    OutOfTime,
    /// <summary>It used more than its memory limit.</summary>
    OutOfMemory,
    /// <summary>It overflowed its stack.</summary>
    StackOverflow,
    /// <summary>It made a system call that workers may not make.</summary>
    ForbiddenCall,
    /// <summary>It ended for another reason.</summary>
    Died,
    /// <summary>Its answer breaks the rules.</summary>
    BadReply,
}

/// <summary>A worker ended without a usable answer.</summary>
public sealed class WorkerException(WorkerEnd end, string detail) : Exception(detail.Length > 0 ? detail : end.ToString())
{
    /// <summary>How.</summary>
    public WorkerEnd End { get; } = end;

    /// <summary>How a dead worker ended, from what its runtime wrote last and in what way it died.</summary>
    internal static WorkerException Explain(string lastWords, string death, bool forbiddenCall)
    {
        if (forbiddenCall)
        {
            return new WorkerException(WorkerEnd.ForbiddenCall, "");
        }

        if (lastWords.Contains("Stack overflow", StringComparison.Ordinal))
        {
            return new WorkerException(WorkerEnd.StackOverflow, "");
        }

        if (lastWords.Contains("Out of memory", StringComparison.OrdinalIgnoreCase)
            || lastWords.Contains(nameof(OutOfMemoryException), StringComparison.Ordinal))
        {
            return new WorkerException(WorkerEnd.OutOfMemory, "");
        }

        string first = CleanText.Line(lastWords.Split('\n').FirstOrDefault(line => line.Trim().Length > 0) ?? "", 300);
        return new WorkerException(WorkerEnd.Died, first.Length > 0 ? $"{death}: {first}" : death);
    }
}
