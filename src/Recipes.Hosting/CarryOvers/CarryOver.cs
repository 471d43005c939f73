using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.CarryOvers;

/// <summary>Replays the steps of an art on the file that was sent instead, and asks about what no longer fits.</summary>
public static class CarryOver
{
    /// <summary>Replays them, and keeps all of them or none.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="request">What is asked for.</param>
    /// <param name="workers">Where recipes run.</param>
    /// <exception cref="ProblemException">
    /// R1001 both have one work file; R1004 a value fits no step; R1008 nobody chose the setup; R6008 there are no steps to carry over; R6010 there are steps
    /// already; R3 codes the art can't be read; R4 codes a recipe failed; R6003 the work file is in use; R8 codes a file can't be written.
    /// </exception>
    public static CarriedOver Run(Shop shop, CarryOverRequest request, WorkerPool workers)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(workers);
        var (oldPath, newPath, _) = request;
        using var old = OpenOld(shop, request);
        var setup = ChosenSetup.Find(request.Setup, old).Required();
        string name = setup.Setup.Name;
        WorkStep[] steps = [.. old.Line(name).Steps.Where(step => step.State == StepState.Done)];
        if (steps.Length == 0)
        {
            throw new ProblemException(
                Codes.UnknownStep, $"{oldPath} has no steps under the setup {name} to carry over.",
                "See the steps with 'recipes history'.", new Place(oldPath));
        }

        var file = shop.ReadArt(newPath);
        using var work = shop.OpenWork(newPath, forWriting: request.Keep);
        if (work?.Line(name).Head > 0)
        {
            throw new ProblemException(Codes.StepsHere, $"{newPath} has steps under the setup {name} already.",
                $"'recipes undo {newPath} --to 0' takes them back; then the steps of {oldPath} can be carried over.", new Place(newPath));
        }

        var found = StepToCarry.With([.. steps.Select(step => StepToCarry.Find(shop, request, step, workers))], request.Sets);
        var state = shop.FindState(file, work, setup, original: false, workers).As(request.Kind);
        var carried = Replayed(new StepReplay(shop, request, workers, old), found, state);
        return carried.Steps[^1] switch
        {
            { Open: not null } => Asked(shop, request, carried),
            { Refusal: not null } => Told(shop, request, carried),
            _ => Told(shop, request, request.Keep && carried.Changing > 0 ? Kept(shop, request, carried, old) : carried),
        };
    }

    private static WorkFile OpenOld(Shop shop, CarryOverRequest request)
    {
        var (oldPath, newPath, _) = request;
        string path = oldPath.EndsWith(".work", StringComparison.Ordinal) ? oldPath : shop.WorkPathOf(oldPath);
        if (Path.GetFullPath(path) == Path.GetFullPath(shop.WorkPathOf(newPath)))
        {
            throw new ProblemException(Codes.BadUsage, $"{oldPath} and {newPath} have one work file.",
                "Save the new file under another name, or move the old work file away and name it instead of OLD.", new Place(newPath));
        }

        if (!File.Exists(oldPath) && !File.Exists(path))
        {
            throw new ProblemException(Codes.ArtMissing, $"There is no file {oldPath}, and no work file of it.", "Check the path.", new Place(oldPath));
        }

        return shop.Timings.Measure("work file", () => WorkFile.Open(path)) ?? throw new ProblemException(
            Codes.UnknownStep, $"{oldPath} has no steps yet, so there is nothing to carry over.", "Steps are kept with 'recipes commit'.", new Place(oldPath));
    }

    // Each on what the one before left, up to one that needs an answer or is refused.
    private static CarriedOver Replayed(StepReplay replay, StepToCarry[] steps, ArtState first)
    {
        var done = ImmutableArray.CreateBuilder<CarriedStep>();
        var state = first;
        foreach (var step in steps)
        {
            replay.Shop.Cancel.ThrowIfCancellationRequested();
            var carried = replay.Of(step, state) with { IsStrict = replay.Request.Strict, At = replay.Shop.Now };
            bool ends = carried.Open is not null || carried.Refusal is not null;
            // As ever, what changes nothing is no step.
            if (!ends && !carried.Result.Report.ChangesNothing)
            {
                state = state with { Art = carried.Result.After, Step = state.Step + 1 };
                carried = carried with { Number = state.Step };
            }

            done.Add(carried);
            if (ends)
            {
                break;
            }
        }

        replay.Shop.Cancel.ThrowIfCancellationRequested();
        return new CarriedOver(first, done.ToImmutable(), steps.Length - done.Count)
        {
            Step = first.Step, Problems = [.. Refused(done[^1]), .. OtherSources(replay.Request, steps), .. Turned(replay.Request, done)],
        };
    }

    private static IEnumerable<Problem> Refused(CarriedStep last) => last.Refusal is not { } refusal ? [] :
        [refusal with { Message = $"step {last.Step.Step.Number}, {last.Step.Step.Record.Recipe}: {refusal.Message}" }];

    private static IEnumerable<Problem> OtherSources(CarryOverRequest request, StepToCarry[] steps) => steps.Where(step => step.IsOtherSource)
        .Select(step => new Problem(Codes.OtherRecipe,
            $"'{step.Step.Record.Recipe}' has another source now than when step {step.Step.Number} was kept.",
            "Look at what it does here before you print it.", new Place(request.NewPath), Severity.Warning));

    private static IEnumerable<Problem> Turned(CarryOverRequest request, IEnumerable<CarriedStep> steps) => steps.Select(step => step.Turn)
        .Where(turn => turn != default).Take(1).Select(turn => new Problem(Codes.TurnedArt, $"{request.NewPath} looks like {request.OldPath} {turn}.",
            "If it isn't meant so, ask for the file upright. Boxes and sides that the steps were given aren't turned with it.",
            new Place(request.NewPath), Severity.Warning));

    private static CarriedOver Kept(Shop shop, CarryOverRequest request, CarriedOver carried, WorkFile old)
    {
        var first = carried.State;
        string workPath = shop.WorkPathOf(request.NewPath);
        (StepRecord Record, Artwork After)[] kept =
        [
            .. carried.Steps.Where(step => step.Number is not null)
                .Select(step => (NewSteps.Record(shop, first.Setup, step.Result.Report, request.By, step.Step.Origin(old)) with { At = step.At },
                    step.Result.After)),
        ];
        int step = shop.Progress.During("Keeping the steps", () => shop.Timings.Measure("keep", () => NewSteps.Keep(first, workPath, kept)));
        var unnoted = NewSteps.Note(first, step, [.. kept.Select(one => one.Record)]);
        return carried with { Step = step, WorkPath = workPath, Problems = unnoted is null ? carried.Problems : [.. carried.Problems, unnoted] };
    }

    private static CarriedOver Told(Shop shop, CarryOverRequest request, CarriedOver carried) =>
        carried with { Fields = CarryOverJson.Of(request, carried, shop.Timings) };

    private static CarriedOver Asked(Shop shop, CarryOverRequest request, CarriedOver carried)
    {
        var question = CarryOverQuestion.Of(carried.Steps[^1]);
        using var folder = DryRunFolder.Prepare(request.Folder, CarryOverJson.Command, request.Force, request.NewPath, request.OldPath);
        var told = Told(shop, request, carried with
        {
            Question = question, Pictures = folder, Problems = [question.Problem(request, folder["diff.png"]), .. carried.Problems],
        });
        shop.Progress.During("Drawing the pictures", () => shop.Timings.Measure("pictures", () =>
        {
            folder.Draw(question.Shown, cancel: shop.Cancel);
            var report = ReportJson.Answer(CarryOverJson.Command, Codes.OpenAnswers.Exit, told.Problems, told.Fields);
            if (!request.Timed)
            {
                report.Remove("milliseconds");
            }

            folder.Complete(report);
            return true;
        }));
        return told;
    }
}
