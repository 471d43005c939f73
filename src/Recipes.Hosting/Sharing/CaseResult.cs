namespace Recipes.Hosting;

/// <summary>What a recipe's test cases said.</summary>
/// <param name="Passed">How many passed.</param>
/// <param name="Failed">How many failed.</param>
public sealed record CaseResult(int Passed, int Failed)
{
    /// <summary>The recipe has no cases.</summary>
    public static CaseResult None { get; } = new(0, 0);

    /// <summary>Counts what became of them.</summary>
    public static CaseResult Of(IReadOnlyCollection<CaseOutcome> outcomes) => new(outcomes.Count(outcome => outcome.Passed), outcomes.Count(outcome => !outcome.Passed));
}
