using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.CarryOvers;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Library;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Cli.Commands;

/// <summary><c>carry-over</c>: the steps of an art, replayed on the file that the customer sent instead.</summary>
internal static class CarryOverCommand
{
    private const string Name = "carry-over";

    public static Command Create()
    {
        var old = new Argument<string>("OLD") { Description = "The picture that the work was done on, or its work file" };
        var now = new Argument<string>("NEW") { Description = "The picture that was sent instead" };
        var job = new RecipeJob();
        var show = new Option<bool>("--show") { Description = "Show what would be carried over, and keep nothing" };
        var output = new Option<string?>("--out")
        {
            Description = "The folder for pictures of what needs an answer [default: FILENAME.carry-over beside NEW]", HelpName = "DIR",
        };
        var force = Options.Force();
        var by = Options.By();
        var command = new Command(Name, "Replays the steps of an art on a file that was sent again, and asks about what no longer fits") { old, now, show, output, force, by };
        job.AddTo(command);
        return command.With("recipes carry-over puffin.png puffin-2.png --by night-shift", session =>
        {
            var parse = session.Parse;
            return new CarryOver(session, job, parse.GetRequiredValue(old), parse.GetRequiredValue(now), parse.GetValue(output), session.By(by))
                .Run(keep: !parse.GetValue(show), parse.GetValue(force));
        });
    }

    /// <summary>A recipe of a step, with the values that it had there or was given for the new art.</summary>
    private sealed record Part(string Name, ReadyRecipe Recipe, ImmutableArray<string> Was)
    {
        /// <summary>What <c>--set</c> takes before its parameters: its name, and the step's number where several steps ran it.</summary>
        public string Key { get; init; } = Name;

        public ImmutableArray<string> Given { get; init; } = [];

        /// <summary>The old values with what was given in their place.</summary>
        public ImmutableArray<string> Sets => [.. Was.Where(set => !Given.Any(given => NameIn(given) == NameIn(set))), .. Given];

        public bool Numbered => CarriedAnswers.NumbersOf(Recipe.Spec).Any();

        public string[] Answered => [.. CarriedAnswers.NumbersOf(Recipe.Spec).Select(parameter => parameter.Name).Where(name => Given.Any(given => NameIn(given) == name))];

        public static string NameIn(string set) => set.Split('=')[0];
    }

    /// <summary>A step to replay: one recipe, or a list that was kept as one step.</summary>
    private sealed record Replay(WorkStep Step, ReadyList? List, ImmutableArray<Part> Parts, bool OtherSource);

    /// <summary>What became of a part.</summary>
    private sealed record Carried(Replay Step, Part Part, CarriedAnswers? Answers, RunResult Run, bool Open);

    private sealed record Done(Replay Step, RunResult Result, ImmutableArray<Carried> Parts, int? Kept);

    private sealed class CarryOver(Session session, RecipeJob job, string oldPath, string newPath, string? output, string? by)
    {
        private readonly WorkerPool workers = job.Workers(session);
        private readonly Guardrails guardrails = GuardrailText.Read(session.Parse.GetValue(job.Guard)!);

        public Outcome Run(bool keep, bool force)
        {
            string oldWorkPath = oldPath.EndsWith(".work", StringComparison.Ordinal) ? oldPath : WorkPath.Of(oldPath, session.Shop.WorkFolder);
            string newWorkPath = WorkPath.Of(newPath, session.Shop.WorkFolder);
            if (Path.GetFullPath(oldWorkPath) == Path.GetFullPath(newWorkPath))
            {
                throw new ProblemException(Codes.BadUsage, $"{oldPath} and {newPath} have one work file.",
                    "Save the new file under another name, or move the old work file away and name it instead of OLD.", new Place(newPath));
            }

            using var old = OpenOld(oldWorkPath);
            var setup = ChosenSetup.Find(session.Setup(job.Setup), old).Required();
            WorkStep[] steps = [.. old.Line(setup.Setup.Name).Steps.Where(step => step.State == StepState.Done)];
            if (steps.Length == 0)
            {
                throw new ProblemException(Codes.UnknownStep, $"{oldPath} has no steps under the setup {setup.Setup.Name} to carry over.", "See the steps with 'recipes history'.", new Place(oldPath));
            }

            var file = session.Shop.ReadArt(newPath);
            using var work = session.Shop.OpenWork(newPath, forWriting: keep);
            if (work?.Line(setup.Setup.Name).Head > 0)
            {
                throw new ProblemException(Codes.StepsHere, $"{newPath} has steps under the setup {setup.Setup.Name} already.",
                    $"'recipes undo {newPath} --to 0' takes them back; then the steps of {oldPath} can be carried over.", new Place(newPath));
            }

            var replays = Answer([.. steps.Select(Find)]);
            var state = session.Shop.FindState(file, work, setup, original: false, workers);
            return Replay(old, replays, state, newWorkPath, keep, force);
        }

        private WorkFile OpenOld(string path)
        {
            if (!File.Exists(oldPath) && !File.Exists(path))
            {
                throw new ProblemException(Codes.ArtMissing, $"There is no file {oldPath}, and no work file of it.", "Check the path.", new Place(oldPath));
            }

            return session.Timings.Measure("work file", () => WorkFile.Open(path)) ?? throw new ProblemException(
                Codes.UnknownStep, $"{oldPath} has no steps yet, so there is nothing to carry over.", "Steps are kept with 'recipes commit'.", new Place(oldPath));
        }

        private Replay Find(WorkStep step)
        {
            string? recipes = session.Parse.GetValue(job.RecipesFolder);
            string[] sets = [.. step.Record.Parameters.Select(pair => $"{pair.Key}={pair.Value}")];
            if (!StepRecipes.PartsOf(step.Record).Any())
            {
                var recipe = session.Shop.FindOne(new RecipeRequest(step.Record.Recipe) { Folder = recipes, ToKeep = true }, workers);
                return new Replay(step, null, [new Part(step.Record.Recipe, recipe, [.. sets])], recipe.Source.Sha256 != step.Record.RecipeSha256);
            }

            var list = RecipeList.Find(step.Record.Recipe, recipes) ?? throw new ProblemException(
                Codes.UnknownRecipe, $"There is no recipe list '{CleanText.Line(step.Record.Recipe, 80)}', which step {step.Number} was made with.", "Name the folder that holds it with --recipes.");
            var ready = session.Shop.Find(new RecipeRequest(step.Record.Recipe) { Folder = recipes, Sets = sets, ToKeep = true }, workers).List!;
            return new Replay(step, ready, [.. list.Recipes.Select((listed, i) => new Part(listed.Name, ready.Recipes[i], ready.Sets[i]))], ready.Identity.Sha256 != step.Record.RecipeSha256);
        }

        // --set RECIPE.name=value, or STEP.RECIPE.name=value where several steps ran the recipe.
        private Replay[] Answer(Replay[] replays)
        {
            foreach (string set in session.Parse.GetValue(job.Set)!)
            {
                string[] names = Part.NameIn(set).Split('.');
                int step = 0;
                bool ofStep = names.Length == 3 && int.TryParse(names[0], NumberStyles.None, CultureInfo.InvariantCulture, out step);
                (int Step, int Part)[] fits = names.Length != (ofStep ? 3 : 2) ? [] :
                    [.. replays.SelectMany((replay, r) => replay.Parts.Select((part, p) => (r, p))).Where(at => replays[at.r].Parts[at.p].Name == names[^2] && (!ofStep || replays[at.r].Step.Number == step))];
                if (fits is not [var (at, which)])
                {
                    throw new ProblemException(Codes.UnknownParameter,
                        fits.Length == 0 ? $"'--set {CleanText.Line(set, 80)}' names no recipe of the steps." : $"'{names[^2]}' ran in {fits.Length} steps.",
                        fits.Length == 0 ? $"Write --set RECIPE.name=value with one of {string.Join(", ", replays.SelectMany(replay => replay.Parts.Select(part => part.Name)).Distinct())}."
                            : $"Write --set {replays[fits[0].Step].Step.Number}.{CleanText.Line(set, 80)} with the step's number in front.");
                }

                var replay = replays[at];
                var part = replay.Parts[which];
                replays[at] = replay with { Parts = replay.Parts.SetItem(which, part with { Given = part.Given.Add(set[(set.IndexOf(names[^1], names[..^1].Sum(name => name.Length + 1), StringComparison.Ordinal))..]) }) };
            }

            string[] several = [.. replays.SelectMany(replay => replay.Parts.Select(part => part.Name)).GroupBy(name => name).Where(group => group.Count() > 1).Select(group => group.Key)];
            return [.. replays.Select(replay => replay with
            {
                Parts = [.. replay.Parts.Select(part => several.Contains(part.Name) ? part with { Key = string.Create(CultureInfo.InvariantCulture, $"{replay.Step.Number}.{part.Name}") } : part)],
            })];
        }

        private Outcome Replay(WorkFile old, Replay[] replays, ArtState first, string workPath, bool keep, bool force)
        {
            var problems = replays.Where(replay => replay.OtherSource).Select(replay => new Problem(
                Codes.OtherRecipe, $"'{replay.Step.Record.Recipe}' has another source now than when step {replay.Step.Number} was kept.",
                "Look at what it does here before you print it.", new Place(newPath), Severity.Warning)).ToList();
            var done = new List<Done>();
            var kept = new List<(StepRecord Record, Artwork After)>();
            var state = first;
            foreach (var replay in replays)
            {
                session.Cancel.ThrowIfCancellationRequested();
                var (parts, result) = Replay(old, replay, state);
                bool open = parts.Any(part => part.Open), changes = !result.Report.ChangesNothing;
                var refusal = open ? null : RunProblems.Refusal(result.Report);
                if (parts.Select(part => part.Answers?.Match?.Turn ?? default).FirstOrDefault(turn => turn != default) is var turn && turn != default && problems.TrueForAll(problem => problem.Code != Codes.TurnedArt))
                {
                    problems.Add(new Problem(Codes.TurnedArt, $"{newPath} looks like {oldPath} {turn}.",
                        "If it isn't meant so, ask for the file upright. Boxes and sides that the steps were given aren't turned with it.", new Place(newPath), Severity.Warning));
                }

                done.Add(new Done(replay, result, parts, open || refusal is not null || !changes ? null : kept.Count + 1));
                if (open)
                {
                    return Ask(done, parts.First(part => part.Open), first, problems, replays.Length, force);
                }

                if (refusal is not null)
                {
                    problems.Insert(0, refusal with { Message = $"step {replay.Step.Number}, {replay.Step.Record.Recipe}: {refusal.Message}" });
                    return Tell(done, first, problems, text => text.WriteLine("A guardrail refused this; nothing was kept."));
                }

                // As ever, what changes nothing is no step.
                if (changes)
                {
                    kept.Add((NewSteps.Record(session.Shop, first.Setup, result.Report, by, Origin(old, replay)), result.After));
                    state = state with { Art = result.After, Step = kept.Count };
                }
            }

            session.Cancel.ThrowIfCancellationRequested();
            int step = keep && kept.Count > 0
                ? session.Progress.During("Keeping the steps", () => session.Timings.Measure("keep", () => NewSteps.Keep(first, workPath, kept)))
                : first.Step;
            problems.AddRange(Session.Warnings(keep && kept.Count > 0 ? NewSteps.Note(first, step, [.. kept.Select(one => one.Record)]) : null));
            return Tell(done, first, problems, text => text.WriteLine(
                kept.Count == 0 ? $"Nothing to keep: the recipes change nothing here. {newPath} stays at step {step}."
                : keep ? $"Kept as {(kept.Count == 1 ? $"step {step}" : $"steps {step - kept.Count + 1} to {step}")}. Look at the export before you print; 'recipes undo {newPath}' takes the last step back."
                : "A try: everything fits, and nothing was kept. Leave out --show to keep it."), step, keep && kept.Count > 0 ? workPath : null);
        }

        private static JsonObject Origin(WorkFile old, Replay replay)
        {
            var more = new JsonObject
            {
                ["carriedOver"] = new JsonObject { ["art"] = old.Original.Name, ["sha256"] = old.Original.Sha256, ["step"] = replay.Step.Number, ["by"] = replay.Step.Record.By },
            };
            if (replay.List is { } list)
            {
                more["recipes"] = new JsonArray([.. list.List.Recipes.Select(recipe => (JsonNode?)recipe.Name)]);
            }

            return more;
        }

        // A list's parts are carried over one by one; then it runs as the whole that it was kept as.
        private (ImmutableArray<Carried> Parts, RunResult Result) Replay(WorkFile old, Replay replay, ArtState state)
        {
            var earlier = Earlier(old, replay, state);
            var parts = ImmutableArray.CreateBuilder<Carried>();
            var sets = ImmutableArray.CreateBuilder<ImmutableArray<string>>();
            var now = state;
            foreach (var (i, part) in replay.Parts.Index())
            {
                var carried = Carry(replay, part, earlier is null || i >= earlier.Value.Runs.Length ? null : earlier.Value.Runs[i], earlier?.Holds ?? false, earlier?.Values[i], now);
                parts.Add(carried);
                sets.Add([.. carried.Run.Report.Parameters.Select(pair => $"{pair.Key}={pair.Value}")]);
                if (carried.Open || carried.Run.Report.Refused)
                {
                    return (parts.ToImmutable(), carried.Run);
                }

                now = now with { Art = carried.Run.After };
            }

            return (parts.ToImmutable(), replay.List is { } list ? RunList(list with { Sets = sets.ToImmutable() }, state) : parts[^1].Run);
        }

        private Carried Carry(Replay replay, Part part, RunResult? earlier, bool holds, ParameterValues? was, ArtState state)
        {
            if (was is null || !part.Numbered)
            {
                return new Carried(replay, part, null, RunPart(part, part.Sets, state), false);
            }

            // Without numbers first: the numbers of the old art say nothing here, and one that isn't there declines.
            string[] names = [.. was.Given.Keys.Where(name => CarriedAnswers.NumbersOf(part.Recipe.Spec).Any(parameter => parameter.Name == name))];
            ImmutableArray<string> others = [.. part.Sets.Where(set => !names.Contains(Part.NameIn(set)))];
            bool numbered = names.Any(name => was.Given[name].Length > 0);
            var plain = RunPart(part, [.. others, .. names.Select(name => name + "=")], state);
            var answers = CarriedAnswers.Of(was, part.Recipe.Spec, numbered && !holds ? null : earlier, plain, first(state));
            ImmutableArray<string> sets = [.. others, .. names.Select(name => part.Given.FirstOrDefault(given => Part.NameIn(given) == name) ?? $"{name}={CarriedAnswers.Text(answers.Numbers[name])}")];
            var run = sets.All(set => !names.Contains(Part.NameIn(set)) || set.EndsWith('=')) ? plain : RunPart(part, sets, state);
            if (part.Answered.Length > 0)
            {
                return new Carried(replay, part, answers, run, answers.Why is not null && names.Except(part.Answered).Any(name => was.Given[name].Length > 0));
            }

            answers = earlier is null ? answers : answers.CheckedBy(earlier, run);
            return new Carried(replay, part, answers, run, !answers.AllFit);

            static double first(ArtState state) => state.Setup.ResolutionFor(state.Art);
        }

        private RunResult RunPart(Part part, ImmutableArray<string> sets, ArtState state) =>
            session.Progress.During($"Running {part.Recipe.Source.Name}", () => new RecipeRunner(workers, guardrails, session.Cancel, session.Timings).Run(
                part.Recipe, state, ParameterValues.Resolve(part.Recipe.Spec, sets, state.Setup.ResolutionFor(state.Art), state.Setup), part.Key + "."));

        private RunResult RunList(ReadyList list, ArtState state) =>
            new ReadyRun(new ReadyRecipes(list), state, list.Given(state), guardrails, workers).Run(session.Shop).Whole;

        // The step once more on the old art, for its numbered regions. Null where no part has such.
        private (ImmutableArray<RunResult> Runs, ImmutableArray<ParameterValues> Values, bool Holds)? Earlier(WorkFile old, Replay replay, ArtState like)
        {
            if (!replay.Parts.Any(part => part.Numbered))
            {
                return null;
            }

            var art = old.Read(like.Setup.Name, replay.Step.Parent);
            var state = like with
            {
                File = new ArtFile(oldPath, [], old.Original.Sha256),
                Identity = new ArtIdentity(oldPath, old.Original.Sha256, art.Width, art.Height, art.PixelsPerInch, old.Original.Format, old.Original.Notes),
                Art = art, Step = replay.Step.Parent, Work = old,
            };
            double ppi = state.Setup.ResolutionFor(art);
            ImmutableArray<ParameterValues> values = [.. replay.Parts.Select(part => ParameterValues.Resolve(part.Recipe.Spec, part.Was, ppi, state.Setup))];
            var runs = ImmutableArray.CreateBuilder<RunResult>();
            try
            {
                foreach (var part in replay.Parts)
                {
                    runs.Add(RunPart(part, part.Was, state));
                    state = state with { Art = runs[^1].After };
                }
            }
            catch (ProblemException e) when (replay.OtherSource && e.Exit == ExitCode.RecipeFailed)
            {
                // It no longer does what it did; what that means for the answers is told below.
            }

            // Another source that gives the very same pixels means the same regions.
            bool holds = !replay.OtherSource || (runs.Count == replay.Parts.Length && old.Read(like.Setup.Name, replay.Step.Number) is var kept
                && kept.Flat.Grid == state.Art.Flat.Grid && ArtworkDiff.Between(kept.Flat, state.Art.Flat).Pixels == 0);
            return (runs.ToImmutable(), values, holds);
        }

        private Outcome Ask(List<Done> done, Carried open, ArtState first, List<Problem> problems, int steps, bool force)
        {
            var answers = open.Answers!;
            int step = open.Step.Step.Number;
            string key = open.Part.Key;
            var numbers = CarriedAnswers.NumbersOf(open.Part.Recipe.Spec).ToList();
            // Where no number was given, the one that makes exceptions is asked for; every other recipe has one such parameter, or says what it wants.
            var asked = numbers.Where(parameter => open.Part.Was.Any(set => set.StartsWith(parameter.Name + "=", StringComparison.Ordinal) && set.Length > parameter.Name.Length + 1)).ToList();
            asked = asked.Count > 0 ? asked : [numbers.Find(parameter => parameter.Name == "except") ?? numbers[0]];
            string[] without = [.. asked.Select(parameter => $"--set {key}.{parameter.Name}={answers.NumbersWith(parameter.Name, open: false)}")];
            string[] with = [.. asked.Select(parameter => $"--set {key}.{parameter.Name}={answers.NumbersWith(parameter.Name, open: true)}")];

            string folderPath = output ?? DryRunCommand.DefaultFolder(newPath, Name);
            using var folder = DryRunFolder.Prepare(folderPath, Name, force, newPath, oldPath);
            string regions = answers.Open.Length == 1 ? $"region {answers.Open[0].Region.Number}" : $"regions {CleanText.Line(CarriedAnswers.Text(answers.Open.Select(region => region.Region.Number)), 200)}";
            var words = RegionFate.Of(open.Run.Report, [.. answers.Open.Select(region => region.Region)]);
            string message = answers.Why is { } why ? $"Step {step}, {open.Part.Name}: {why}. Nothing was kept."
                : $"Step {step}, {open.Part.Name}: what was said about {oldPath} doesn't tell what to do with {regions} of {newPath}. Nothing was kept.";
            problems.Insert(0, new Problem(Codes.OpenAnswers, message,
                answers.Why is null
                    ? $"Look for {regions} in {folder["diff.png"]}. Then run the command again: "
                        + $"with {string.Join(' ', without)} it {words.Unnamed}, with {string.Join(' ', with)} it {words.Named}."
                    : $"Look at {folder["diff.png"]}. Then run the command again with the numbers that are right there: {string.Join(' ', without)}1,2 for instance.", new Place(newPath)));
            var question = new JsonObject
            {
                ["step"] = step,
                ["recipe"] = open.Part.Name,
                ["why"] = answers.Why,
                ["options"] = new JsonArray([.. asked.Select((parameter, i) => new JsonObject
                {
                    ["recipe"] = open.Part.Name, ["parameter"] = parameter.Name, ["help"] = parameter.Help, ["without"] = without[i], ["with"] = answers.Why is null ? with[i] : null,
                })]),
                ["regions"] = new JsonArray([.. answers.Open.Select(region =>
                {
                    var json = ReportJson.Of(region.Region).AsObject();
                    json["numbers"] = CarriedAnswers.Text(region.Numbers);
                    json["why"] = region.Why;
                    json["was"] = new JsonArray([.. region.Was.Select(number => (JsonNode?)number)]);
                    return json;
                })]),
            };
            var outcome = Tell(done, first, problems, text =>
            {
                foreach (var region in answers.Open)
                {
                    string pieces = region.Numbers.Length == 1 ? "" : $" (with its pieces {CarriedAnswers.Text(region.Numbers)})";
                    string fate = RegionFate.Of(open.Run.Report, [region.Region]).Unnamed;
                    text.WriteLine(string.Create(CultureInfo.InvariantCulture,
                        $"  region {region.Region.Number} in the box {region.Region.Box}, {region.Region.Pixels:N0} px{pieces}: {region.Why}; {fate}"));
                }

                foreach (var (i, parameter) in asked.Index())
                {
                    text.WriteLine($"  {parameter.Name}: {parameter.Help}");
                    text.WriteLine(answers.Why is null ? $"    {words.Unnamed}:  {without[i]}" : $"    {without[i]}NUMBERS");
                    if (answers.Why is null)
                    {
                        text.WriteLine($"    {words.Named}:  {with[i]}");
                    }
                }

                text.WriteLine($"Nothing was kept. Look at {folder["report.html"]}, or {folder["diff.png"]}; the numbers are those of {newPath} at this step.");
                if (done.Count < steps)
                {
                    text.WriteLine($"{(steps - done.Count == 1 ? "One step follows" : $"{steps - done.Count} steps follow")} when this is answered.");
                }
            });
            outcome.Fields["questions"] = new JsonArray(question);
            outcome.Fields["outputs"] = folder.Outputs();
            outcome.Fields["inputs"] = new JsonObject { ["art"] = folder.Seen(newPath), ["old"] = folder.Seen(oldPath) };
            // A JPEG has hundreds of pieces; the picture numbers what is asked.
            var drawn = answers.Open.IsEmpty ? open.Run.Report : open.Run.Report with { Regions = [.. open.Run.Report.Regions.Select(list => list with { Regions = [.. answers.Open.Select(region => region.Region)] })] };
            session.Progress.During("Drawing the pictures", () => session.Timings.Measure("pictures", () =>
            {
                folder.Draw(open.Run with { Report = drawn }, cancel: session.Cancel);
                var report = ReportJson.Answer(Name, Codes.OpenAnswers.Exit, problems, outcome.Fields);
                if (!session.Parse.GetValue(job.Timings))
                {
                    report.Remove("milliseconds");
                }

                folder.Complete(report);
                return true;
            }));
            return outcome;
        }

        private Outcome Tell(List<Done> done, ArtState first, List<Problem> problems, Action<TextWriter> end, int? step = null, string? file = null)
        {
            var fields = new JsonObject
            {
                ["old"] = oldPath,
                ["art"] = ReportJson.Of(first.Identity),
                ["setup"] = SetupJson.ToJson(first.Setup),
                ["steps"] = new JsonArray([.. done.Select(Of)]),
                ["questions"] = new JsonArray(),
                ["step"] = step ?? first.Step,
                ["outputs"] = new JsonObject { ["file"] = file },
                ["milliseconds"] = session.Timings.ToJson(),
            };
            return new Outcome(fields, text =>
            {
                text.WriteLine($"{oldPath} carried over to {newPath}, setup {first.Setup.Name}");
                RunText.Art(text, first.Identity, first.Setup);
                foreach (var one in done)
                {
                    Write(text, one);
                }

                end(text);
                if (session.Parse.GetValue(job.Timings))
                {
                    session.Timings.Write(text);
                }
            })
            {
                Problems = problems,
            };
        }

        private static JsonObject Of(Done done)
        {
            var json = new JsonObject { ["from"] = done.Step.Step.Number, ["step"] = done.Kept };
            ReportJson.AddTo(json, done.Result.Report);
            json["carried"] = new JsonArray([.. done.Parts.Where(part => part.Answers?.Match is not null).Select(part => new JsonObject
            {
                ["recipe"] = part.Part.Name,
                ["placement"] = new JsonObject
                {
                    ["turned"] = part.Answers!.Match!.Turn.Quarters * 90, ["mirrored"] = part.Answers.Match.Turn.Mirrored,
                    ["scale"] = part.Answers.Match.Placement.Scale, ["x"] = part.Answers.Match.Placement.X, ["y"] = part.Answers.Match.Placement.Y,
                },
                ["regions"] = new JsonArray([.. part.Answers.Match.Found.Select(found => new JsonObject
                {
                    ["old"] = found.Number,
                    ["fit"] = found.Fit == RegionFit.Gone && part.Answers.LeavesOut ? "not-listed" : EnumWord.Of(found.Fit),
                    ["now"] = new JsonArray([.. found.Now.Select(number => (JsonNode?)number)]),
                })]),
                ["new"] = new JsonArray([.. part.Answers.Match.New.Select(added => (JsonNode?)added.Number)]),
            })]);
            return json;
        }

        private static void Write(TextWriter text, Done done)
        {
            var report = done.Result.Report;
            bool open = done.Parts.Any(part => part.Open);
            text.WriteLine($"step {done.Step.Step.Number}, {done.Step.Step.Record.Recipe}: {(open ? "needs an answer" : report.Changed switch
            {
                null => "changes the size",
                { Pixels: 0 } when done.Kept is null && !report.Refused => "changes nothing here, so it is no step",
                { Pixels: 0 } => RunText.Changed(report),
                _ => $"{RunText.Changed(report)}, {Numeral.Of(report.Ink.Gained)} more print, {Numeral.Of(report.Ink.Lost)} fewer",
            })}");
            foreach (var part in done.Parts.Where(part => part.Answers?.Match is not null))
            {
                var match = part.Answers!.Match!;
                int there = match.Found.Count(found => found.Fit == RegionFit.Matched);
                string where = match.Placement == ArtPlacement.Same ? "in the same place and size"
                    : string.Create(CultureInfo.InvariantCulture, $"at {match.Placement.Scale:0.0##} times the size, moved by {match.Placement.X:0.#},{match.Placement.Y:0.#} px");
                text.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {there} of {match.Found.Length} numbered regions are there again, {(match.Turn == default ? "" : $"{match.Turn}, ")}{where}"));
                if (part.Answers.LeavesOut)
                {
                    text.WriteLine($"  only the {Numeral.Of(ReportedRegions.Most)} largest regions of an art are listed; smaller ones were not looked at");
                }

                int[] gone = [.. part.Answers.Gone];
                if (gone.Length > 0)
                {
                    text.WriteLine($"  {(part.Answers.LeavesOut ? "not among them here" : "gone")}: {CleanText.Line(CarriedAnswers.Text(gone), 200)}; what was said about them is dropped");
                }

                foreach (string name in part.Answers.Numbers.Keys)
                {
                    string was = part.Part.Was.FirstOrDefault(set => Part.NameIn(set) == name)?[(name.Length + 1)..] ?? "", now = part.Run.Report.Parameters[name];
                    if (was.Length + now.Length > 0)
                    {
                        text.WriteLine($"  {name}={(was.Length == 0 ? "none" : was)} is {name}={(now.Length == 0 ? "none" : CleanText.Line(now, 200))} here{(part.Part.Answered.Contains(name) ? ", as you said" : "")}");
                    }
                }
            }
        }
    }
}
