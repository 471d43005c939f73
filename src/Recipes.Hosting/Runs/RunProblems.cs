using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Runs;

/// <summary>What keeps a run's result from being kept, and what to know beside it.</summary>
public static class RunProblems
{
    /// <summary>The problem of a result that a guardrail refused, or null.</summary>
    public static Problem? Refusal(RunReport report)
    {
        ArgumentNullException.ThrowIfNull(report);
        var refused = report.Guards.Where(guard => guard.Outcome == GuardOutcome.Refused).ToList();
        return refused.Count == 0 ? null : new Problem(
            Codes.GuardrailRefused,
            string.Join(" ", refused.Select(guard => $"{guard.Name}: {guard.Why}")),
            "Look at the difference that a dry run shows. If it is meant, "
                + $"{string.Join(' ', refused.Select(guard => $"--guard {guard.Name}=allow"))} lets it pass.",
            new Place(report.Art.Path));
    }

    /// <summary>The problem of open questions, for whoever lets none pass; null where none is open.</summary>
    /// <param name="report">What the run did.</param>
    /// <param name="named">True: its parameters are told with the recipe's name, as those of a list's recipes are.</param>
    public static Problem? Unanswered(RunReport report, bool named = false)
    {
        ArgumentNullException.ThrowIfNull(report);
        AskedQuestion[] open = [.. report.OpenQuestions];
        return open.Length == 0 ? null : new Problem(
            Codes.OpenQuestions,
            $"{(open.Length == 1 ? "A question is open" : $"{open.Length} questions are open")}: {string.Join(" ", open.Select(question => question.Message))}",
            $"Answer with {string.Join(" ", open.Select(question => $"--set {question.Setting(named || !report.Steps.IsEmpty)}"))}, or go on without --strict: "
                + $"then {open[0].Proposal}.",
            new Place(report.Art.Path));
    }

    /// <summary>A warning where nobody chose the setup, else none.</summary>
    public static IEnumerable<Problem> Fallback(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        return Fallback(new ChosenSetup(state.Setup, state.SetupIsFallback));
    }

    /// <summary>The same of a setup without an art.</summary>
    public static IEnumerable<Problem> Fallback(ChosenSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        return !setup.IsFallback ? [] :
        [
            new Problem(Codes.NoSetupChosen, $"No garment setup was chosen; this shows '{setup.Setup.Name}'.",
                "Name one with --setup, or choose one for good with 'recipes setups use NAME'.", null, Severity.Warning),
        ];
    }
}
