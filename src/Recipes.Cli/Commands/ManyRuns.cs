using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Library;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;
using Serilog;

namespace Recipes.Cli.Commands;

/// <summary>Many pictures through recipes at once: each has a file and a record of its own, and a bad one doesn't stop the others.</summary>
internal sealed partial class ManyRuns(Session session, RecipeJob job, string folder, bool force, string? by) : IDisposable
{
    private const long LongestRecord = 64_000_000;

    private readonly WorkerPool workers = job.Workers(session);
    private readonly Guardrails guardrails = Options.ReadGuards(session.Parse.GetValue(job.Guard)!);
    private readonly ArtKind? kind = Options.ReadKind(session.Parse.GetValue(job.Kind));
    private readonly string[] sets = session.Parse.GetValue(job.Set)!;

    // Times are never twice the same, and the answers are, unless they are asked for.
    private readonly bool timed = session.Parse.GetValue(job.Timings);

    // Everything that is read; by its real path, since a link may lead from one's art to another's output.

    public void Dispose() => workers.Dispose();

    public Outcome Arts(string recipeName, string[] named)
    {
        var found = RunArts.Of(named, session.WorkFolder);
        string[] arts = [.. found.Arts];
        var stems = RunArts.Stems(arts);
        Expect(arts);
        Array.ForEach(arts, Originals.Add);
        var setup = ChosenSetup.Find(session.Setup(job.Setup), null).Required();
        var recipe = session.FindRecipeToKeep(recipeName, session.Parse.GetValue(job.RecipesFolder), workers);
        // A parameter that no file could be run with is refused before the first one.
        ParameterValues.Resolve(recipe.Spec, sets, setup.Setup.PixelsPerInch, setup.Setup);
        var items = Make($"Running {recipe.Source.Name}", [.. arts.Zip(stems, (art, stem) => new Work(art, recipe, setup, stem, null))]);
        var fields = new JsonObject
        {
            ["recipe"] = new JsonObject { ["name"] = recipe.Identity.Name, ["version"] = recipe.Identity.Version, ["sha256"] = recipe.Identity.Sha256, ["title"] = recipe.Identity.Title },
            ["setup"] = SetupJson.ToJson(setup.Setup),
            ["skipped"] = new JsonArray([.. found.Skipped.Select(path => (JsonNode)path)]),
        };
        string[] stale = [.. Stale(items.OfType<Item>().Where(item => item.Output is not null).Select(item => item.Work))];
        fields["stale"] = new JsonArray([.. stale.Select(path => (JsonNode)path)]);
        var told = Tell(fields, items, null, []);
        return told with
        {
            Problems = [.. told.Problems, .. found.LeftOut],
            Human = text =>
            {
                told.Human(text);
                Say(text, found.Skipped, "Not run, since this program wrote it");
                Say(text, stale, "Left from an earlier run, of an art whose result has a longer name now; delete it, so that nobody prints it");
            },
        };
    }

    private static void Say(TextWriter text, IEnumerable<string> paths, string what)
    {
        foreach (string path in paths)
        {
            text.WriteLine($"{what}: {path}");
        }
    }

    // What an earlier run of the same art wrote under its stem, where no other stem met it.
    private IEnumerable<string> Stale(IEnumerable<Work> works) => works
        .Select(work => (work.Art, Stem: Path.GetFileNameWithoutExtension(work.Art), work))
        .Where(one => one.Stem != one.work.Stem && FilesOf(one.Stem) is var (picture, record) && File.Exists(picture) && IsOurs(record, one.Art))
        .Select(one => FilesOf(one.Stem).Picture).Distinct();

    // Workers start while the recipe is still being found and read.
    private void Expect(string[] arts)
    {
        ExpectReaders(arts);
        workers.Expect("run", arts.Length);
    }

    private void ExpectReaders(IEnumerable<string> arts)
    {
        foreach (var (reader, count) in arts.CountBy(ArtFile.ReaderAt))
        {
            workers.Expect(reader, count);
        }
    }

    private Item?[] Make(string what, Work[] works)
    {
        AtomicFile.CreateFolder(folder);
        var done = new Item?[works.Length];
        try
        {
            session.Progress.Counting(what, works.Length, count =>
                Parallel.For(0, works.Length, new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = session.Cancel }, i =>
                {
                    done[i] = One(works[i]);
                    count();
                }));
        }
        catch (Exception e) when (session.Cancel.IsCancellationRequested && e is OperationCanceledException or AggregateException)
        {
            Log.Debug(e, "Interrupted");
        }

        return done;
    }

    private Outcome Tell(JsonObject fields, Item?[] all, string? sheet, IReadOnlyList<Problem> problems)
    {
        Item[] items = [.. all.OfType<Item>()];
        var failed = items.Where(item => item.Problems.Count > 0).ToList();
        int written = items.Length - failed.Count;
        var unnoted = Journal.Note([.. items.Select(item => item.Entry).OfType<JournalEntry>()]);
        fields["items"] = new JsonArray([.. items.Select(item => item.Json)]);
        if (timed)
        {
            fields["milliseconds"] = session.Timings.ToJson();
        }

        return new Outcome(fields, text =>
        {
            foreach (var item in items)
            {
                text.WriteLine(item.Problems.Count > 0
                    ? $"{item.Work.Art}: not written"
                    : $"{item.Work.Art}: {item.Changed}, wrote {item.Output}");
                RunText.Questions(text, item.Questions, question => $"--set {question.Setting(ofList: false)}");
            }

            text.WriteLine($"{Numeral.Of(written)} of {Numeral.Of(all.Length)} written to {folder}.");
            if (sheet is not null)
            {
                text.WriteLine($"Print {sheet} to tick the pieces off.");
            }

            if (timed)
            {
                session.Timings.Write(text);
            }
        })
        {
            First = [.. items.SelectMany(item => item.First)],
            // The first failed file's problem comes first, and so decides the exit code.
            Problems =
            [
                .. session.Cancel.IsCancellationRequested
                    ? new[] { new Problem(Codes.Interrupted, $"Interrupted: {written} of {all.Length} were written.", "Run it again for the others.") } : [],
                .. failed.SelectMany(item => item.Problems.Select(problem => Named(item.Work, problem))), .. items.SelectMany(item => item.Warnings), .. problems, .. Session.Warnings(unnoted),
            ],
        };
    }

    // Of many, which one comes first: a recipe's own line doesn't tell.
    private static Problem Named(Work work, Problem problem)
    {
        string message = problem.Where is null || problem.Where.File == work.Art ? problem.Message : $"{problem.Message} ({problem.Where})";
        return problem with
        {
            Where = work.Order?.PlaceOf("art") ?? new Place(work.Art),
            Message = work.Order is { } order ? $"row {Numeral.Of(order.Number)}, {work.Art}: {message}" : message,
        };
    }

    private (string Picture, string Record) FilesOf(string stem) => (Path.Combine(folder, stem + ".png"), Path.Combine(folder, stem + ".json"));

    private Item One(Work work)
    {
        var making = Begin(work);
        try
        {
            RefuseForeignOutput(work.Art, making.Picture, making.Record);
            making.IsOurs = true;
            return Done(making);
        }
        catch (ProblemException e)
        {
            Log.Debug(e, "A file failed");
            return Failed(making, e.Problems);
        }
#pragma warning disable CA1031 // One file's fault must not take the others' results with it.
        catch (Exception e) when (e is not OperationCanceledException)
#pragma warning restore CA1031
        {
            Log.Error(e, "A fault of the program");
            return Failed(making, [new Problem(
                Codes.Fault, $"A fault of the program: {CleanText.Line(e.Message, 300)}", "Please report it; --verbose shows more.", new Place(work.Art))]);
        }
    }

    private Making Begin(Work work)
    {
        var (picture, record) = FilesOf(work.Stem);
        var fields = new JsonObject
        {
            ["art"] = new JsonObject { ["path"] = work.Art },
            ["inputs"] = new JsonObject { ["art"] = Path.GetRelativePath(Path.GetFullPath(folder), Path.GetFullPath(work.Art)) },
        };
        if (work.Order is { } order)
        {
            fields["order"] = new JsonObject { ["row"] = order.Number, ["quantity"] = order.Quantity, ["label"] = order.Label,
                ["order"] = order.OrderNumber, ["shipBy"] = order.ShipBy?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture),
                ["garment"] = order.Garment, ["sizes"] = order.Sizes, ["place"] = order.Place,
                ["from"] = order.FromKept ? OrderList.Kept : OrderList.ArtItself };
        }

        return new Making(work, picture, record, fields);
    }

    private Item Done(Making making)
    {
        var (work, timings, fields) = (making.Work, making.Timings, making.Fields);
        var (recipe, setup) = (work.Recipe, work.Setup.Setup);
        var file = timings.Measure("read", () => ArtFile.Read(work.Art));
        using var kept = KeptOf(work);
        var state = timings.Measure("decode", () => StateOf(work, file, kept).As(kind));
        var values = ParameterValues.Resolve(recipe.Spec, SetsOf(work.Order, recipe), setup.ResolutionFor(state.Art), setup);
        RefuseRepeat(work, state);
        var result = new RecipeRunner(workers, guardrails, session.Cancel, timings).Run(recipe, state, values);
        ReportJson.AddTo(fields, result.Report);
        if ((RecipeJob.Refusal(result.Report) ?? job.Unanswered(session, result.Report)) is { } refusal)
        {
            return Failed(making, [refusal]);
        }

        var after = state with { Art = result.After };
        fields["effectivePpi"] = Math.Round(ResolutionInWords.Effective(after.Art, after.Setup), 2);
        ImmutableArray<Finding> findings = [];
        if (work.Order is not null)
        {
            // Whoever prints thirty shirts doesn't check each file: the sheet says what 'check' would, of what is printed.
            findings = timings.Measure("check", () => ArtCheck.Of(result.After, setup).Findings);
            fields["findings"] = ReportJson.Of(findings);
        }

        var (lastBad, warnings) = kept is null ? Remembered(work.Art, work.Setup, file.Sha256) : (EarlierPrint.LastBad(kept, setup.Name), []);
        fields["lastBad"] = lastBad is null ? null : PrintedCommand.Of(lastBad.Setup, lastBad.Print);
        string sha256 = timings.Measure("write", () => WriteBehindRecord(making, result.After));
        fields["outputs"] = new JsonObject { ["file"] = making.Picture, ["report"] = making.Record };
        if (timed)
        {
            fields["milliseconds"] = timings.ToJson();
        }

        Problem[] first = lastBad is null ? [] : [Named(work, lastBad.Warning(work.Art))];
        Record(making, true, warnings);
        session.Timings.Add(timings);
        return new Item(work, making.Picture, RunText.Changed(result.Report), [], ReportJson.Answer("run", ExitCode.Done, [.. warnings, .. first], fields))
        {
            First = first,
            LastBad = lastBad,
            Warnings = warnings,
            Findings = findings,
            Resolution = ResolutionInWords.Effective(after),
            Questions = [.. result.Report.OpenQuestions],
            Small = work.Order is null ? null : TickOffPage.Small(result.After, setup),
            Entry = Entry(making, file, sha256),
        };
    }

    private JournalEntry Entry(Making making, ArtFile file, string sha256)
    {
        var recipe = making.Work.Recipe.Identity;
        return new JournalEntry
        {
            At = session.Now,
            Act = JournalAct.Run,
            By = by,
            Recipe = new JournalRecipe(recipe.Name, recipe.Version, recipe.Sha256),
            Art = new JournalFile(JournalFile.NameOf(making.Work.Art), file.Sha256),
            Setup = making.Work.Setup.Setup.Name,
            File = new JournalFile(JournalFile.NameOf(making.Picture), sha256),
        };
    }

    private static Item Failed(Making making, IReadOnlyList<Problem> problems)
    {
        // What an earlier run left must not pass for this one's result; where there is nothing, nothing is left.
        if (making.IsOurs && (File.Exists(making.Picture) || File.Exists(making.Record)))
        {
            try
            {
                Record(making, false, problems);
            }
            catch (ProblemException e)
            {
                Log.Debug(e, "The failure couldn't be recorded");
            }
        }

        return new Item(making.Work, null, "", problems, ReportJson.Answer("run", problems[0].Code.Exit, problems, making.Fields));
    }

    // An unfinished record stands before the picture does, so that a picture without its own record never passes for a good
    // one; it goes to the disk while the picture is encoded.
    private static string WriteBehindRecord(Making making, Artwork after)
    {
        var unfinished = Task.Run(() => Record(
            making, false, [new Problem(Codes.Interrupted, "The picture was not finished.", "Run it again.", new Place(making.Work.Art))]));
        try
        {
            return AtomicFile.WriteHashed(making.Picture, stream =>
            {
                PngWriter.Write(stream, after.Flat, after.PixelsPerInch, [new PngText(PngText.Provenance, KindHint.ToJson(after.Ground))]);
                unfinished.GetAwaiter().GetResult();
            });
        }
        finally
        {
            // Where the picture failed, the record of that mustn't come before this one.
            Task.WhenAny(unfinished).GetAwaiter().GetResult();
        }
    }

    // A record that isn't good leaves no picture beside it.
    private static void Record(Making making, bool keepPicture, IReadOnlyList<Problem> problems)
    {
        var exit = problems.FirstOrDefault(problem => problem.Severity == Severity.Error)?.Code.Exit ?? ExitCode.Done;
        var answer = ReportJson.Answer("run", exit, problems, making.Fields);
        AtomicFile.Write(making.Record, stream => ReportJson.Write(stream, answer));
        if (!keepPicture)
        {
            AtomicFile.Delete(making.Picture);
        }
    }

    // The open work file of a row that begins with what was kept; null of one that begins with the file.
    private WorkFile? KeptOf(Work work)
    {
        if (work.Order is not { FromKept: true })
        {
            return null;
        }

        var kept = session.OpenWork(work.Art);
        if (kept?.Line(work.Setup.Setup.Name).Head is not > 0)
        {
            kept?.Dispose();
            throw new ProblemException(Codes.BadOrderList, $"Nothing is kept for {work.Art} under {work.Setup.Setup.Name}.",
                "Leave 'from' empty to begin with the file, or keep what is done to it with 'recipes commit' first.", new Place(work.Art));
        }

        return kept;
    }

    private ArtState StateOf(Work work, ArtFile file, WorkFile? kept) => ArtState.Find(file, kept, work.Setup, kept is null, workers, session.Cancel);

    private static void RefuseRepeat(Work work, ArtState state)
    {
        if (ReadyRun.Repeated(state, [work.Recipe]) is { } repeat)
        {
            throw new ProblemException(repeat with { Hint = "Leave 'from' empty to begin with the file, or undo that step." });
        }
    }

    // What the art's work file knows: the picture alone wouldn't show that its last print was bad, or that what was kept isn't in it.
    private (EarlierPrint? LastBad, Problem[] LeftOut) Remembered(string artPath, ChosenSetup setup, string sha256)
    {
        try
        {
            using var kept = session.OpenWork(artPath);
            int steps = kept?.Line(setup.Setup.Name).Head ?? 0;
            var bad = kept?.Original.Sha256 == sha256 ? EarlierPrint.LastBad(kept, setup.Setup.Name) : null;
            return steps == 0 ? (bad, []) : (bad,
            [
                new Problem(Codes.KeptStepsLeftOut, $"The result begins with the file itself; step {steps} under {setup.Setup.Name}, kept in its work file, isn't in it.",
                    "'recipes export' writes what was kept; run takes that as any file.", new Place(artPath), Severity.Warning),
            ]);
        }
        catch (ProblemException e)
        {
            // What was kept can't be read, and run doesn't need it.
            Log.Debug(e, "The work file couldn't be looked at");
            return (null, []);
        }
    }

    /// <summary>One picture to make.</summary>
    private sealed record Work(string Art, ReadyRecipe Recipe, ChosenSetup Setup, string Stem, Order? Order);

    /// <summary>A picture that is being made: its files, and what its record says so far.</summary>
    private sealed record Making(Work Work, string Picture, string Record, JsonObject Fields)
    {
        public Timings Timings { get; } = new();

        /// <summary>True once its files are known to be ours to replace.</summary>
        public bool IsOurs { get; set; }
    }

    /// <summary>What became of it.</summary>
    private sealed record Item(Work Work, string? Output, string Changed, IReadOnlyList<Problem> Problems, JsonObject Json)
    {
        /// <summary>The journal's line, or null where nothing was written.</summary>
        public JournalEntry? Entry { get; init; }

        /// <summary>What to know about a result that was written.</summary>
        public IReadOnlyList<Problem> Warnings { get; init; } = [];

        /// <summary>That the last print of the art was bad, to be said before all else.</summary>
        public IReadOnlyList<Problem> First { get; init; } = [];

        /// <summary>That print.</summary>
        public EarlierPrint? LastBad { get; init; }

        /// <summary>What the tick-off sheet tells of what is printed.</summary>
        public ImmutableArray<Finding> Findings { get; init; } = [];

        /// <summary>The effective resolution in words.</summary>
        public string? Resolution { get; init; }

        /// <summary>What nobody answered: the proposals were taken.</summary>
        public ImmutableArray<AskedQuestion> Questions { get; init; } = [];

        /// <summary>A small picture for the tick-off sheet.</summary>
        public Plane<Rgba8>? Small { get; init; }
    }

    // What an earlier run of the same art wrote may be replaced; anything else may not.
    private void RefuseForeignOutput(string artPath, string picture, string record)
    {
        Originals.Refuse(picture);
        Originals.Refuse(record);
        if (force || (!File.Exists(picture) && !File.Exists(record)))
        {
            return;
        }

        if (!IsOurs(record, artPath))
        {
            throw AtomicFile.Exists(File.Exists(picture) ? picture : record);
        }
    }

    private static bool IsOurs(string record, string artPath) =>
        OutsideJson.ReadFile(record, LongestRecord) is { } json && json.Text("command") == "run"
        && OutsideJson.PathFrom(Path.GetDirectoryName(Path.GetFullPath(record))!, json.Object("inputs").Text("art")) == Path.GetFullPath(artPath);
}
