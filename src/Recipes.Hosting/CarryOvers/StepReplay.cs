using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.CarryOvers;

/// <summary>Replays steps of an art on another.</summary>
/// <param name="Shop">The shop.</param>
/// <param name="Request">What is asked for.</param>
/// <param name="Workers">Where recipes run.</param>
/// <param name="Old">The earlier art's work file.</param>
internal sealed record StepReplay(Shop Shop, CarryOverRequest Request, WorkerPool Workers, WorkFile Old)
{
    // The step once more on the earlier art. Its runs end early where another source no longer does what the step did; it holds where they gave the
    // step's pixels.
    private sealed record OnceMore(ImmutableArray<RunResult> Runs, ImmutableArray<ParameterValues> Values, bool Holds);

    /// <summary>Replays a step. A list's parts are carried over one by one; then it runs as the whole that it was kept as.</summary>
    /// <exception cref="ProblemException">R4 codes. A guardrail that refuses is no exception.</exception>
    public CarriedStep Of(StepToCarry step, ArtState state)
    {
        var earlier = Earlier(step, state);
        var parts = ImmutableArray.CreateBuilder<CarriedPart>();
        var now = state;
        for (int i = 0; i < step.Parts.Length; i++)
        {
            var carried = Carry(step.Parts[i], i, earlier, now);
            parts.Add(carried);
            if (carried.IsOpen || carried.Run.Report.Refused)
            {
                return new CarriedStep(step, carried.Run, parts.ToImmutable());
            }

            now = now with { Art = carried.Run.After };
        }

        return new CarriedStep(step, step.List is { } list ? Run(list with { Sets = [.. parts.Select(Sets)] }, state) : parts[^1].Run, parts.ToImmutable());

        static ImmutableArray<string> Sets(CarriedPart part) => [.. part.Run.Report.Parameters.Select(pair => $"{pair.Key}={pair.Value}")];
    }

    private CarriedPart Carry(PartToCarry part, int at, OnceMore? earlier, ArtState state)
    {
        if (earlier is null || part.Numbered.IsEmpty)
        {
            return new CarriedPart(part, null, Run(part, part.Sets, state), false);
        }

        // Without numbers first: the numbers of the old art say nothing here, and one that isn't there declines.
        var (was, before) = (earlier.Values[at], earlier.Runs.ElementAtOrDefault(at));
        string[] names = [.. was.Given.Keys.Where(name => part.Numbered.Contains(name))];
        ImmutableArray<string> others = [.. part.Sets.Where(set => !names.Contains(PartToCarry.NameIn(set)))];
        bool numbered = names.Any(name => was.Given[name].Length > 0);
        var plain = Run(part, [.. others, .. names.Select(name => name + "=")], state);
        var answers = CarriedAnswers.Of(was, part.Recipe.Spec, numbered && !earlier.Holds ? null : before, plain, state.Setup.ResolutionFor(state.Art));
        string[] numbers = [.. names.Select(name =>
            part.Given.FirstOrDefault(given => PartToCarry.NameIn(given) == name) ?? $"{name}={CarriedAnswers.Text(answers.Numbers[name])}")];
        var run = numbers.All(set => set.EndsWith('=')) ? plain : Run(part, [.. others, .. numbers], state);
        if (part.Answered.Any())
        {
            return new CarriedPart(part, answers, run, answers.Why is not null && names.Except(part.Answered).Any(name => was.Given[name].Length > 0));
        }

        answers = before is null ? answers : answers.CheckedBy(before, run);
        return new CarriedPart(part, answers, run, !answers.AllFit);
    }

    // For its numbered regions; null where no part has such.
    private OnceMore? Earlier(StepToCarry step, ArtState like)
    {
        if (step.Parts.All(part => part.Numbered.IsEmpty))
        {
            return null;
        }

        var art = Old.Read(like.Setup.Name, step.Step.Parent);
        var (path, original) = (Request.OldPath, Old.Original);
        var state = like with
        {
            File = new ArtFile(path, [], original.Sha256),
            Identity = new ArtIdentity(path, original.Sha256, art.Width, art.Height, art.PixelsPerInch, original.Format, original.Notes),
            Art = art, Step = step.Step.Parent, Work = Old,
        };
        double ppi = state.Setup.ResolutionFor(art);
        ImmutableArray<ParameterValues> values = [.. step.Parts.Select(part => ParameterValues.Resolve(part.Recipe.Spec, part.Was, ppi, state.Setup))];
        var runs = ImmutableArray.CreateBuilder<RunResult>();
        try
        {
            foreach (var part in step.Parts)
            {
                runs.Add(Run(part, part.Was, state));
                state = state with { Art = runs[^1].After };
            }
        }
        catch (ProblemException e) when (step.IsOtherSource && e.Exit == ExitCode.RecipeFailed)
        {
            // It no longer does what it did; what that means for the answers is told later.
        }

        // Another source that gives the very same pixels means the same regions.
        bool holds = !step.IsOtherSource || (runs.Count == step.Parts.Length && Old.Read(like.Setup.Name, step.Step.Number) is var kept
            && kept.Flat.Grid == state.Art.Flat.Grid && ArtworkDiff.Between(kept.Flat, state.Art.Flat).Pixels == 0);
        return new OnceMore(runs.ToImmutable(), values, holds);
    }

    private RunResult Run(PartToCarry part, IEnumerable<string> sets, ArtState state) => Run(new ReadyRecipes(part.Recipe, sets), state, part.Key + ".");

    private RunResult Run(ReadyList list, ArtState state) => Run(new ReadyRecipes(list), state);

    private RunResult Run(ReadyRecipes recipes, ArtState state, string prefix = "") =>
        new ReadyRun(recipes, state, recipes.Values(state), Request.Guardrails, Workers) { Prefix = prefix }.Run(Shop).Whole;
}
