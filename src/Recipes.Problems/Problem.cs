namespace Recipes.Problems;

/// <summary>Whether a problem stopped the work.</summary>
public enum Severity
{
    /// <summary>Worth knowing; the work went on.</summary>
    Warning,

    /// <summary>The work stopped.</summary>
    Error,
}

/// <summary>Where a problem lies: a file and, where known, line and column, both counted from 1.</summary>
public sealed record Place(string File, int? Line = null, int? Column = null)
{
    /// <summary><c>file(line,column)</c>, which terminals and editors make clickable.</summary>
    public override string ToString() => Line is null ? File : $"{File}({Line},{Column ?? 1})";
}

/// <summary>One failure: a stable code, a place, what happened, and what to do.</summary>
/// <param name="Code">An entry of <see cref="Codes"/>; each has a page in docs/problems.</param>
/// <param name="Message">What happened, in one or two sentences.</param>
/// <param name="Hint">What to do about it.</param>
/// <param name="Where">The place, where there is one.</param>
/// <param name="Severity">Error unless said otherwise.</param>
public sealed record Problem(Code Code, string Message, string Hint, Place? Where = null, Severity Severity = Severity.Error)
{
    /// <summary>Compiler form: <c>recipes/x.csx(12,5): error R2003: message</c>.</summary>
    public override string ToString() =>
        $"{(Where is null ? "" : Where + ": ")}{(Severity == Severity.Error ? "error" : "warning")} {Code.Id}: {Message}";
}

/// <summary>Ends a command with one or more problems; the only exception that is meant to reach the command line.</summary>
public sealed class ProblemException : Exception
{
    /// <summary>Ends the command with one problem.</summary>
    public ProblemException(Problem problem, Exception? cause = null)
        : base(problem?.Message, cause) => Problems = [problem!];

    /// <summary>Ends the command with several problems; the first decides the exit code.</summary>
    public ProblemException(IReadOnlyList<Problem> problems)
        : base(problems is [var first, ..] ? first.Message : throw new ArgumentException("No problem given.", nameof(problems))) => Problems = problems;

    /// <summary>Ends the command with one problem.</summary>
    public ProblemException(Code code, string message, string hint, Place? where = null, Exception? cause = null)
        : this(new Problem(code, message, hint, where), cause)
    {
    }

    /// <summary>What went wrong, at least one.</summary>
    public IReadOnlyList<Problem> Problems { get; }

    /// <summary>The same as warnings, where the work went on without what they are about.</summary>
    public IEnumerable<Problem> LeftOut() =>
        Problems.Select(problem => problem with { Severity = Severity.Warning, Message = $"Left out: {problem.Message}" });

    /// <summary>The exit code of the first problem.</summary>
    public ExitCode Exit => Problems[0].Code.Exit;
}
