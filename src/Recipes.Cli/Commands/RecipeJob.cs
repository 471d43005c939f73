using System.CommandLine;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary>The options of every command that runs a recipe, and the run itself.</summary>
internal sealed class RecipeJob
{
    public Option<string?> Setup { get; } = Options.Setup();

    public Option<string[]> Set { get; } = Options.Set();

    public Option<string[]> Guard { get; } = Options.Guard();

    public Option<string?> RecipesFolder { get; } = Options.RecipesFolder();

    public Option<double> TimeLimit { get; } = Options.TimeLimit();

    public Option<int?> MemoryLimit { get; } = Options.MemoryLimit();

    public Option<bool> Timings { get; } = Options.Timings();

    public Option<string?> Kind { get; } = Options.Kind();

    public Option<bool> Strict { get; } = new("--strict") { Description = "End with exit code 6 while a question is open" };

    public void AddTo(Command command)
    {
        command.Add(Set);
        command.Add(Setup);
        command.Add(Options.Garment);
        command.Add(Guard);
        command.Add(RecipesFolder);
        command.Add(TimeLimit);
        command.Add(MemoryLimit);
        command.Add(Timings);
        command.Add(Kind);
        command.Add(Strict);
    }

    /// <summary>The problem of open questions where they are to stop it, or null.</summary>
    public Problem? Unanswered(Session session, RunReport report)
    {
        AskedQuestion[] open = [.. report.OpenQuestions];
        return !session.Parse.GetValue(Strict) || open.Length == 0 ? null : new Problem(
            Codes.OpenQuestions,
            $"{(open.Length == 1 ? "A question is open" : $"{open.Length} questions are open")}: {string.Join(" ", open.Select(question => question.Message))}",
            $"Answer with {string.Join(" ", open.Select(question => $"--set {question.Setting(!report.Steps.IsEmpty)}"))}, or go on without --strict: "
                + $"then {open[0].Proposal}.",
            new Place(report.Art.Path));
    }

    /// <summary>The workers of one command, which disposes of them.</summary>
    public WorkerPool Workers(Session session) => new(Options.ReadLimits(session.Parse.GetValue(TimeLimit), session.Parse.GetValue(MemoryLimit)));

    /// <summary>Runs a recipe on a state and keeps the result for a later commit where asked.</summary>
    public static RunResult Run(Session session, ReadyRecipe recipe, ArtState state, ParameterValues values, Guardrails guardrails, WorkerPool workers, string prefix = "") =>
        session.Progress.During($"Running {recipe.Source.Name}", () =>
            new RecipeRunner(workers, guardrails, session.Cancel, session.Timings).Run(recipe, state, values, prefix));

    /// <summary>Runs a list, each recipe on what the one before left, and looks at what is left of it all.</summary>
    public static ListResult Run(Session session, ReadyList list, ArtState state, Guardrails guardrails, WorkerPool workers)
    {
        var listed = session.Progress.During($"Running {list.List.Name}", () =>
            RecipeListRunner.Run(new RecipeRunner(workers, guardrails, session.Cancel, session.Timings), list, state));
        return session.Progress.During("Looking", () => session.Timings.Measure("check", () => ListCheck.Of(listed, state.Setup)));
    }

    /// <summary>The problem of a result that a guardrail refused, or null.</summary>
    public static Problem? Refusal(RunReport report)
    {
        var refused = report.Guards.Where(guard => guard.Outcome == GuardOutcome.Refused).ToList();
        return refused.Count == 0 ? null : new Problem(
            Codes.GuardrailRefused,
            string.Join(" ", refused.Select(guard => $"{guard.Name}: {guard.Why}")),
            $"Look at the difference that a dry run shows. If it is meant, {string.Join(' ', refused.Select(guard => $"--guard {guard.Name}=allow"))} "
                + $"lets it pass.",
            new Place(report.Art.Path));
    }

    /// <summary>A warning where nobody chose the setup, else none.</summary>
    public static IEnumerable<Problem> FallbackWarning(ChosenSetup setup)
    {
        if (setup.IsFallback)
        {
            yield return new Problem(Codes.NoSetupChosen, $"No garment setup was chosen; this shows '{setup.Setup.Name}'.",
                "Name one with --setup, or choose one for good with 'recipes setups use NAME'.", null, Severity.Warning);
        }
    }
}
