using System.Collections.Immutable;
using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Runs;

/// <summary>What a list gave: all of it as one run, and each recipe's own.</summary>
/// <param name="Whole">From the first art to the last; refused where a guardrail refused one of them.</param>
/// <param name="Steps">One for each recipe that ran. After a refusal none follows.</param>
public sealed record ListResult(RunResult Whole, ImmutableArray<RunResult> Steps)
{
    /// <summary>What a check finds of the art that the list left, without advice to run again what it ran; null where nobody looked.</summary>
    public ImmutableArray<Finding>? Left { get; init; }
}

/// <summary>Runs a list, each recipe on what the one before left.</summary>
public static class RecipeListRunner
{
    /// <summary>Runs it.</summary>
    /// <exception cref="ProblemException">As <see cref="RecipeRunner.Run"/>; the first failure ends the list.</exception>
    public static ListResult Run(RecipeRunner runner, ReadyList list, ArtState state)
    {
        ArgumentNullException.ThrowIfNull(runner);
        ArgumentNullException.ThrowIfNull(list);
        ArgumentNullException.ThrowIfNull(state);
        var given = list.Given(state).Given;
        var steps = ImmutableArray.CreateBuilder<RunResult>();
        var now = state;
        for (int i = 0; i < list.Recipes.Length; i++)
        {
            var step = runner.Run(list.Recipes[i], now,
                ParameterValues.Resolve(list.Recipes[i].Spec, list.Sets[i], state.Setup.ResolutionFor(now.Art), state.Setup),
                list.Recipes[i].Source.Name + ".");
            steps.Add(step with
            {
                Report = step.Report with
                {
                    FromRecipe = i == 0 ? null : list.Recipes[i - 1].Source.Name,
                    Questions = [.. step.Report.Questions.Select(question => question with { Step = i + 1 })],
                },
            });
            if (step.Report.Refused)
            {
                break;
            }

            now = now with { Art = step.After };
        }

        RunResult[] done = [.. steps];
        var (before, after) = (state.Art, done[^1].After);
        var numbered = done.Select(step => step.Report).LastOrDefault(step => !step.Whites.IsEmpty);
        var report = new RunReport
        {
            Recipe = list.Identity,
            Art = state.Identity,
            FromStep = state.Step,
            Steps = [.. done.Select(step => step.Report.Recipe.Name)],
            Parameters = given,
            Setup = state.Setup,
            SetupIsFallback = state.SetupIsFallback,
            Change = ArtChange.Between(before, after, state.Setup.Ink),
            Declared = new DeclaredCount(
                done.Sum(step => step.Report.Declared.Printable), done.Sum(step => step.Report.Declared.Bare),
                done.Sum(step => step.Report.Declared.DroppedBlack),
                done.Sum(step => step.Report.Declared.PrintedBlack), done.Any(step => step.Report.Declared.SizeChange),
                done.LastOrDefault(step => step.Report.Declared.SizeChange)?.Report.Recipe.Name),
            Guards = [.. done[0].Report.Guards.Select(guard => guard.Name == Guardrails.InkMostlyLost
                ? Together(runner, list, done, state.Setup).Append(Worst(guard.Name, done)).MaxBy(judged => judged.Outcome)!
                : Worst(guard.Name, done))],
            Notes = [.. done.SelectMany(step => step.Report.Notes.Select(note => $"{step.Report.Recipe.Name}: {note}"))],
            Whites = numbered?.Whites ?? [],
            WhitesEdge = numbered?.WhitesEdge,
            Questions = OnceEach([.. done.SelectMany(step => step.Report.Questions)]),
            Ground = after.Ground,
            // Numbers belong to the art that the step saw, so they stand in the step's own report.
        };
        return new ListResult(new RunResult(before, after, report), [.. done]);
    }

    // Two recipes may wonder about the same white; whoever comes last knows what is left of it.
    private static ImmutableArray<AskedQuestion> OnceEach(ImmutableArray<AskedQuestion> all) =>
        [.. all.Where((question, i) => !all.Skip(i + 1).Any(later => later.Code == question.Code && later.Recipe != question.Recipe
            && (question.Box is { } one && later.Box is { } other ? !one.Within(other).IsEmpty : question.Box is null && later.Box is null)))];

    // Recipes that each lose less than is refused may lose too much together. Where one changes the size, what came before it and what
    // follows are counted apart, since no pixel has another to be compared with.
    private static IEnumerable<GuardResult> Together(RecipeRunner runner, ReadyList list, RunResult[] done, GarmentSetup setup)
    {
        for (int first = 0, next = 1; first < done.Length; first = next++)
        {
            var size = done[first].Before.Grid;
            while (next < done.Length && done[next].Before.Grid == size && done[next].After.Grid == size)
            {
                next++;
            }

            var meant = Enumerable.Range(first, next - first).Where(i => list.Recipes[i].Spec.LeavesBare.Length > 0).Select(i => done[i]).ToArray();
            if (next - first - meant.Length > 1)
            {
                var guard = runner.JudgeLoss(done[first].Before, Without(meant, done[next - 1].After, setup.Ink), setup);
                yield return guard.Outcome == GuardOutcome.Clear ? guard : guard with { Why = $"the recipes together: {guard.Why}" };
            }
        }
    }

    // The art as it would be had recipes that leave ink bare on purpose not done so: each speaks for itself alone.
    private static Artwork Without(RunResult[] meant, Artwork after, InkRules rules)
    {
        var flat = after.Flat;
        foreach (var (was, now) in meant.Select(step => (step.Before.Flat, step.After.Flat)))
        {
            flat = Plane<Rgba8>.Build(flat.Width, flat.Height, flat, (bounds, pixels) =>
            {
                for (int y = 0; y < bounds.Height; y++)
                {
                    for (int x = 0; x < bounds.Width; x++)
                    {
                        var before = was[bounds.X + x, bounds.Y + y];
                        bool bared = rules.StateOf(before) == InkState.Prints && rules.StateOf(now[bounds.X + x, bounds.Y + y]) != InkState.Prints;
                        pixels[(y * bounds.Width) + x] = bared ? before : flat[bounds.X + x, bounds.Y + y];
                    }
                }
            }, i => ReferenceEquals(was.Tiles[i], now.Tiles[i]) ? flat.Tiles[i] : null);
        }

        return meant.Length == 0 ? after : Artwork.FromPixels(flat, after.PixelsPerInch);
    }

    private static GuardResult Worst(string name, RunResult[] steps)
    {
        var (guard, recipe) = steps.Select(step => (Guard: step.Report.Guards.First(guard => guard.Name == name), step.Report.Recipe.Name))
            .MaxBy(step => step.Guard.Outcome);
        return guard.Outcome == GuardOutcome.Clear ? guard : guard with { Why = string.Create(CultureInfo.InvariantCulture, $"{recipe}: {guard.Why}") };
    }
}
