using System.Text.Json.Nodes;
using Recipes.Problems;

namespace Recipes.Cli;

/// <summary>What a command gives: fields for JSON, sentences for people, problems and an exit code.</summary>
/// <param name="Fields">Fields of the JSON answer beside the common ones.</param>
/// <param name="Human">Writes the answer for people.</param>
internal sealed record Outcome(JsonObject Fields, Action<TextWriter> Human)
{
    /// <summary>Problems that didn't end the command with an exception.</summary>
    public IReadOnlyList<Problem> Problems { get; init; } = [];

    /// <summary>Warnings that come before all else: the first lines of the answer for people, and among the problems of the JSON answer.</summary>
    public IReadOnlyList<Problem> First { get; init; } = [];

    /// <summary>The exit code: the first error's, or done.</summary>
    public ExitCode Exit => Problems.FirstOrDefault(problem => problem.Severity == Severity.Error)?.Code.Exit ?? ExitCode.Done;
}
