using System.Collections.Immutable;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Runs;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.CarryOvers;

/// <summary>What became of a step's recipe on the later art.</summary>
/// <param name="Part">The recipe.</param>
/// <param name="Answers">What its region numbers are there; null where it takes none.</param>
/// <param name="Run">What it did.</param>
/// <param name="IsOpen">True where somebody must say what its region numbers are.</param>
public sealed record CarriedPart(PartToCarry Part, CarriedAnswers? Answers, RunResult Run, bool IsOpen);

/// <summary>What became of a step on the later art.</summary>
/// <param name="Step">The step.</param>
/// <param name="Result">What it did; of a list that ended early, what its last recipe did.</param>
/// <param name="Parts">Its recipes, up to the one that ended it.</param>
public sealed record CarriedStep(StepToCarry Step, RunResult Result, ImmutableArray<CarriedPart> Parts)
{
    /// <summary>The recipe that somebody must give an answer for, or null.</summary>
    public CarriedPart? Open => Parts.FirstOrDefault(part => part.IsOpen);

    /// <summary>When it was replayed, UTC.</summary>
    public DateTimeOffset At { get; init; }

    /// <summary>Whether an open question ends the replay.</summary>
    public bool IsStrict { get; init; }

    /// <summary>That a guardrail refused it, or that a question is open where none may be; or null.</summary>
    public Problem? Refusal => Open is not null ? null
        : RunProblems.Refusal(Result.Report) ?? (IsStrict ? RunProblems.Unanswered(Result.Report, named: true) : null);

    /// <summary>The step that it is on the later art, or would be; null where it ended the replay, or changes nothing there.</summary>
    public int? Number { get; init; }

    /// <summary>How the later art is turned, as the first recipe tells that finds it so.</summary>
    internal ArtTurn Turn => Parts.Select(part => part.Answers?.Match?.Turn ?? default).FirstOrDefault(turn => turn != default);
}

/// <summary>What became of an art's steps on the file that was sent instead.</summary>
/// <param name="State">The later art before them.</param>
/// <param name="Steps">The steps, up to the one that ended it.</param>
/// <param name="Left">How many steps weren't reached.</param>
public sealed record CarriedOver(ArtState State, ImmutableArray<CarriedStep> Steps, int Left)
{
    /// <summary>What somebody must answer before anything is kept, or null.</summary>
    public CarryOverQuestion? Question { get; init; }

    /// <summary>The pictures of what is asked, or null.</summary>
    public DryRunFolder? Pictures { get; init; }

    /// <summary>The step that the later art is at now.</summary>
    public required int Step { get; init; }

    /// <summary>The work file, where steps were kept; else null.</summary>
    public string? WorkPath { get; init; }

    /// <summary>Everything there is to say of it: what ended it first.</summary>
    public ImmutableArray<Problem> Problems { get; init; } = [];

    /// <summary>The report's fields.</summary>
    public JsonObject Fields { get; init; } = [];

    /// <summary>How many of the steps change the later art.</summary>
    public int Changing => Steps.Count(step => step.Number is not null);
}
