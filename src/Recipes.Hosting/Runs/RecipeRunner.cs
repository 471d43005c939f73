using System.Collections.Immutable;
using System.Globalization;
using System.Security.Cryptography;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.Runs;

/// <summary>What one run gave: the art before, the art that may be kept, and the report.</summary>
public sealed record RunResult(Artwork Before, Artwork After, RunReport Report)
{
    /// <summary>SHA-256 of all that the worker answered, in lower-case hex: layers, declarations and messages; empty where nobody asked for it.</summary>
    public string AnswerSha256 { get; init; } = "";
}

/// <summary>Runs a checked recipe in a worker and judges what comes back.</summary>
public sealed class RecipeRunner
{
    private const int MostNotes = 100, MostLists = 100, MostColors = 64, MostQuestions = 20, MostRegionsAsked = 1000, LongestAnswer = 4000;
    private readonly WorkerPool workers;
    private readonly Guardrails guardrails;
    private readonly CancellationToken cancel;
    private readonly Timings timings;
    private readonly bool withDigest;

    /// <summary>Sets workers and guardrails for all runs.</summary>
    /// <param name="workers">The workers.</param>
    /// <param name="guardrails">The guardrails.</param>
    /// <param name="cancel">Ends a run.</param>
    /// <param name="timings">Learns how long the worker took, and judging and counting after it.</param>
    /// <param name="withDigest">Whether results tell the digest of the worker's answer, to compare runs by.</param>
    public RecipeRunner(WorkerPool workers, Guardrails guardrails, CancellationToken cancel, Timings? timings = null, bool withDigest = false)
    {
        this.withDigest = withDigest;
        this.timings = timings ?? new Timings();
        this.workers = workers;
        this.guardrails = guardrails;
        this.cancel = cancel;
    }

    /// <summary>Runs the recipe.</summary>
    /// <param name="recipe">The recipe.</param>
    /// <param name="state">What it runs on.</param>
    /// <param name="values">Its parameters.</param>
    /// <param name="prefix">What <c>--set</c> needs before its parameters here, <c>fit-to-platen.</c> in a list for instance; it may advise to set one.</param>
    /// <exception cref="ProblemException">R4 codes: it failed, declined, isn't for this art or setup, or went over its budget.
    /// A guardrail that refuses is no exception; the report says so.</exception>
    public RunResult Run(ReadyRecipe recipe, ArtState state, ParameterValues values, string prefix = "")
    {
        ArgumentNullException.ThrowIfNull(recipe);
        ArgumentNullException.ThrowIfNull(state);
        ArgumentNullException.ThrowIfNull(values);
        Expectations.Require(recipe, state);
        try
        {
            string digest = "";
            var (reply, after, declared) = timings.Measure("run", () => RunInWorker(recipe, state, values, answer => digest = DigestOf(answer)));
            return timings.Measure("judge", () => Judge(recipe, state, values, reply, after, declared)) with { AnswerSha256 = digest };
        }
        catch (ProblemException e) when (e.Problems[0].Code == Codes.RecipeDeclined)
        {
            throw new ProblemException([.. e.Problems.Select(problem => Advised(problem, recipe, state, prefix))]);
        }
    }

    // A recipe doesn't know what it is part of, nor whether it is shown a step or the file.
    private static Problem Advised(Problem problem, ReadyRecipe recipe, ArtState state, string prefix)
    {
        var names = recipe.Spec.Parameters.Select(parameter => parameter.Name);
        return problem with
        {
            Message = (prefix.Length == 0 ? "" : $"{recipe.Source.Name}: ")
                + names.Aggregate(problem.Message, (text, name) => text.Replace($"--set {name}=", $"--set {prefix}{name}=", StringComparison.Ordinal)),
            Hint = problem.Hint.Length > 0 ? problem.Hint : "Nothing was changed. " + (state.Step, names.Any()) switch
            {
                (0, true) => $"Give other values with --set {prefix}NAME=VALUE, or choose another recipe.",
                (0, false) => "Choose another recipe.",
                (_, true) => $"Give other values with --set {prefix}NAME=VALUE, choose another recipe, "
                    + "or see with 'recipes dry-run --original' what it does to the file itself.",
                (_, false) => "Choose another recipe, or see with 'recipes dry-run --original' what it does to the file itself.",
            },
        };
    }

    private RunResult Judge(ReadyRecipe recipe, ArtState state, ParameterValues values, RunReply reply, Artwork after, Declaration declared)
    {
        // The schema speaks, read without running anything; a worker's answer can't.
        var guarded = guardrails.Judge(
            state.Art, after, declared with { LeavesBare = recipe.Spec.LeavesBare }, state.Setup.Ink, state.Setup.ResolutionFor(state.Art));
        var before = state.Art;
        var (regions, leftOut) = Regions(reply.Regions, before);
        var report = new RunReport
        {
            Recipe = recipe.Identity,
            Art = state.Identity,
            FromStep = state.Step,
            Parameters = values.Given,
            Setup = state.Setup,
            SetupIsFallback = state.SetupIsFallback,
            Change = ArtChange.Between(before, guarded.Art, state.Setup.Ink),
            Declared = new DeclaredCount(Count(declared.Printable), Count(declared.Bare), Count(declared.DroppedBlack),
                Count(declared.PrintedBlack), declared.SizeChange),
            Guards = guarded.Guards,
            Notes = [.. reply.Notes.Take(MostNotes).Select(note => CleanText.Line(note, 1000)), .. leftOut],
            Regions = regions,
            // Others list whites, too; what becomes of them is decided where they are made printable.
            Whites = recipe.Source.Name != Decisions.WhitesRecipe ? []
                : [.. regions.SelectMany(list => list.Regions).Where(region => region.Class.Length > 0)
                    .OrderByDescending(region => region.Pixels).Take(RunReport.MostWhites).OrderBy(region => region.Number)],
            WhitesEdge = before.Ground.Edge,
            Questions = Questions(reply.Questions, recipe, values, before),
            Ground = guarded.Art.Ground,
            Colors = [.. reply.Colors.Take(MostLists).Select(list => Colors(list, before.PixelCount))],
        };
        return new RunResult(before, guarded.Art, report);
    }

    /// <summary>Judges the ink that recipes lost together, one after the other; the size stays.</summary>
    /// <param name="before">What the first of them began with.</param>
    /// <param name="after">What the last of them left.</param>
    /// <param name="setup">The garment setup.</param>
    internal GuardResult JudgeLoss(Artwork before, Artwork after, GarmentSetup setup) =>
        timings.Measure("judge", () => guardrails.JudgeLoss(before, after, "", setup.Ink, setup.ResolutionFor(before)));

    // A pipe can be read once only.
    private string DigestOf(Stream answer)
    {
        if (!withDigest || !answer.CanSeek)
        {
            return "";
        }

        string digest = Convert.ToHexStringLower(SHA256.HashData(answer));
        answer.Position = 0;
        return digest;
    }

    private (RunReply Reply, Artwork After, Declaration Declared) RunInWorker(ReadyRecipe recipe, ArtState state, ParameterValues values, Action<Stream> see)
    {
        var before = state.Art;
        long memory = workers.Limits.MemoryFor(before.PixelCount);
        var left = workers.LeftOf(before);
        try
        {
            return workers.Ask(new WorkerJob<(RunReply, Artwork, Declaration)>("run", memory, memory,
                stream =>
                {
                    Message.Write(stream, new RunRequest(state.Setup, before.Ground, values.Resolved));
                    Frame.Write(stream, Frame.Bytes, recipe.Checked.Assembly.Span);
                    if (left is null)
                    {
                        PatchFrame.Write(stream, ArtworkPatch.Between(null, before));
                    }
                },
                stream =>
                {
                    see(stream);
                    return RefuseSecondUnderbase(ReadAnswer(stream, recipe.Source, before, state.Setup), before, state.Setup);
                })
            {
                Art = left,
            }, cancel);
        }
        catch (WorkerException e)
        {
            var where = new Place(recipe.Source.Path);
            throw e.End switch
            {
                WorkerEnd.OutOfTime => new ProblemException(Codes.OutOfTime,
                    $"The recipe ran longer than {workers.Limits.Time.TotalSeconds:0.###} s and was stopped.",
                    "Look for a loop that never ends, or raise --time-limit.", where, e),
                WorkerEnd.OutOfMemory => new ProblemException(Codes.OutOfMemory, $"The recipe used more than {memory / 1024 / 1024} MB and was stopped.",
                    "Look for a list or text that grows without end, or raise --memory-limit.", where, e),
                WorkerEnd.StackOverflow => new ProblemException(Codes.StackOverflow, "The recipe overflowed its stack and was stopped.",
                    "Look for a function that calls itself without end.", where, e),
                WorkerEnd.ForbiddenCall => new ProblemException(Codes.ForbiddenCall,
                    "The recipe's worker made a system call that recipes may not make, and was stopped.",
                    "No honest recipe does that. Don't use it, and find out where it came from.", where, e),
                WorkerEnd.BadReply => new ProblemException(Codes.BadReply, $"The worker's answer can't be used: {CleanText.Line(e.Message, 300)}",
                    "Nothing was changed. If the recipe is trustworthy, please report this.", where, e),
                _ => new ProblemException(Codes.WorkerDied, $"The worker ended unexpectedly: {CleanText.Line(e.Message, 300)}.",
                    "Nothing was changed. If it happens again, the recipe or the program is at fault.", where, e),
            };
        }
        finally
        {
            // Few arts are run twice as they came, and it is as large as the art.
            workers.LetGo(before);
        }
    }

    /// <summary>Reads a worker's answer as what it is: data from a stranger.</summary>
    /// <exception cref="FrameException">It breaks the rules.</exception>
    /// <exception cref="ProblemException">It tells a problem.</exception>
    internal static (RunReply Reply, Artwork After, Declaration Declared) ReadAnswer(Stream stream, RecipeSource source, Artwork before, GarmentSetup setup)
    {
        var reply = Message.Read<RunReply>(stream);
        if (reply.Problems.Length > 0)
        {
            throw WorkerAnswer.Problems(reply.Problems, source.PlaceOf, "R4");
        }

        if (reply.SizeChange)
        {
            var placed = ReadPlaten(stream, reply, before, setup);
            var edge = EdgeIn(placed, reply.Edge);
            var ground = before.Ground with { Edge = edge, Scale = ScaleOf(reply.Scale), Whole = WholeOf(edge, reply.Whole) };
            return (reply, placed.WithGround(ground), new Declaration(SizeChange: true));
        }

        var after = WorkerAnswer.Build(() => PatchFrame.Read(stream, before.Layers.Length, before.Grid).ApplyTo(before));
        RefuseForeignLayers(before, after);
        return (reply, after, new Declaration(
            reply.Printable ? PatchFrame.ReadCoverage(stream, before.Grid) : null,
            reply.Bare ? PatchFrame.ReadCoverage(stream, before.Grid) : null,
            reply.DroppedBlack ? PatchFrame.ReadCoverage(stream, before.Grid) : null,
            reply.PrintedBlack ? PatchFrame.ReadCoverage(stream, before.Grid) : null));
    }

    // Kind and paper are the host's own; where the picture lies now is the recipe's word, which only has to be possible.
    private static Box EdgeIn(Artwork placed, Box? told)
    {
        var canvas = new Box(0, 0, placed.Width, placed.Height);
        return told is { IsEmpty: false } edge && edge.Within(canvas) == edge ? edge
            : throw new FrameException("The answer places the picture outside of its canvas.");
    }

    // Of this the pictures are drawn, and nothing else follows.
    private static Box? WholeOf(Box edge, Box? told) => told is null || edge.Within(told.Value) == edge ? told
        : throw new FrameException("The answer places the picture beside its own edge.");

    // So is how far it was resampled. It can only lower the resolution that is told, and by which a later sizing declines.
    private static double ScaleOf(double? told) => told is >= Ground.LeastScale and <= Ground.MostScale ? told.Value
        : throw new FrameException("The answer resamples the picture beyond all measure.");

    // The one size that a recipe can ask for is the setup's platen, so the host knows the size that each resolution has.
    private static Artwork ReadPlaten(Stream stream, RunReply reply, Artwork before, GarmentSetup setup)
    {
        if (reply.Printable || reply.Bare || reply.DroppedBlack || reply.PrintedBlack)
        {
            throw new FrameException("The answer declares a size change and something else.");
        }

        var after = WorkerAnswer.Build(() => PatchFrame.Read(stream, before.Layers.Length, null, mostLayers: 1).ApplyTo(before));
        bool platen = after.PixelsPerInch is >= Platen.LowestPixelsPerInch and <= Platen.HighestPixelsPerInch
            && setup.PlatenAt(after.PixelsPerInch.Value) == new Box(0, 0, after.Width, after.Height);
        return platen && after.Layers is [{ Mode: LayerMode.Over, Blend: BlendMode.Normal, Visible: true, Opacity: 1, Name: "original" }] ? after
            : throw new FrameException("The answer has another size than the platen, or layers that a recipe can't make.");
    }

    // The underbase is laid by the machine, by the file or by nobody, never by two; the host judges, not the worker.
    private static (RunReply, Artwork, Declaration) RefuseSecondUnderbase(
        (RunReply Reply, Artwork After, Declaration Declared) answer, Artwork before, GarmentSetup setup) =>
        setup.Underbase == Underbase.File || answer.After.Layers.Skip(before.Layers.Length).All(layer => layer.Mode != LayerMode.Separation)
            ? answer
            : throw new FrameException("The answer lays an underbase where the file brings none.");

    // A recipe adds layers by its requests and can do nothing else; whatever differs from that, the worker made up.
    private static void RefuseForeignLayers(Artwork before, Artwork after)
    {
        bool kept = after.PixelsPerInch.Equals(before.PixelsPerInch) && after.Layers.Take(before.Layers.Length).SequenceEqual(before.Layers);
        bool own = after.Layers.Skip(before.Layers.Length).All(layer => layer is { Visible: true, Opacity: 1 } and (
        {
            Mode: LayerMode.Replace,
            Intent: LayerIntent.MakePrintable or LayerIntent.LeaveBare or LayerIntent.DropBlack or LayerIntent.PrintBlack or LayerIntent.Fill,
        }
        or { Mode: LayerMode.Separation }));
        if (after.ComposedPixels - before.ComposedPixels > Artwork.MostComposedPixels)
        {
            throw new FrameException("The answer brings more layers than are composed.");
        }

        if (!kept || !own)
        {
            throw new FrameException("The answer changes layers that a recipe can't change.");
        }
    }

    private static long Count(Plane<byte>? coverage) => coverage is null ? 0 : coverage.Tiles.Sum(tile =>
        tile.IsOneValue ? tile.Value == 0 ? 0 : tile.Count : tile.Count - tile.Samples.Count((byte)0));

    /// <summary>
    /// What is listed, in all lists together bounded to the largest regions,
    /// since each is numbered and placed in pictures; and a sentence where some are left out.
    /// </summary>
    internal static (ImmutableArray<ReportedRegions> Lists, ImmutableArray<string> LeftOut) Regions(ImmutableArray<RegionListMessage> told, Artwork art)
    {
        var canvas = new Box(0, 0, art.Width, art.Height);
        ImmutableArray<ReportedRegions> lists = [.. told.Take(MostLists).Select(list => new ReportedRegions(CleanText.Line(list.Title, 100),
            [.. list.Regions
                .Where(region => region.Number >= 1 && !region.Box.IsEmpty && region.Box.Within(canvas) == region.Box
                    && region.Pixels >= 1 && region.Pixels <= art.PixelCount)
                .DistinctBy(region => region.Number)
                .Select(region => new ReportedRegion(region.Number, region.Box, region.Pixels, region.Chosen, CleanText.Line(region.Class, 40)))]))];
        int all = lists.Sum(list => list.Regions.Length);
        if (all <= ReportedRegions.Most)
        {
            return (lists, []);
        }

        var largest = lists.SelectMany(list => list.Regions)
            .OrderByDescending(region => region.Pixels).Take(ReportedRegions.Most).ToHashSet(ReferenceEqualityComparer.Instance);
        return ([.. lists.Select(list => list with { Regions = list.Regions.RemoveAll(region => !largest.Contains(region)) })],
            [string.Create(CultureInfo.InvariantCulture, $"Of {all:#,0} listed regions the {ReportedRegions.Most:#,0} largest are shown; "
                + $"{all - ReportedRegions.Most:#,0} smaller ones are left out.")]);
    }

    // Bounded over all questions together: a step's report has to hold them.
    private static ImmutableArray<AskedQuestion> Questions(ImmutableArray<QuestionMessage> told, ReadyRecipe recipe, ParameterValues values, Artwork art)
    {
        var canvas = new Box(0, 0, art.Width, art.Height);
        var defaults = recipe.Spec.Parameters.ToDictionary(parameter => parameter.Name, parameter => parameter.Default);
        string given = string.Join(
            ", ", values.Given.Where(value => defaults.GetValueOrDefault(value.Key) != value.Value).Select(value => $"{value.Key}={value.Value}"));
        var asked = ImmutableArray.CreateBuilder<AskedQuestion>();
        int room = MostRegionsAsked;
        foreach (var question in told.Take(MostQuestions))
        {
            Island[] regions = [.. question.Regions.Take(room)
                .Where(region => region.Number >= 0 && !region.Box.IsEmpty && region.Box.Within(canvas) == region.Box && region.Pixels >= 1
                    && region.Pixels <= art.PixelCount)
                .Select(region => new Island(
                    region.Number, region.Box, region.Pixels, region.Box.X, region.Box.Y) { Class = CleanText.Line(region.Class, 40) })];
            room -= regions.Length;
            var one = AskedQuestion.Of(new Question(CleanText.Line(question.Code, 40), CleanText.Line(question.Message, 500), [.. regions],
                CleanText.Line(question.Proposal, 200), CleanText.Line(question.Answer, LongestAnswer), question.Decided), recipe.Source.Name, 1);
            asked.Add(one with
            {
                Edge = art.Ground.Edge,
                // What was given, which isn't always what was offered.
                Decision = one.Decision is { } decided && given.Length > 0 ? CleanText.Line($"{decided} with {given}", LongestAnswer) : one.Decision,
            });
        }

        return asked.ToImmutable();
    }

    private static ReportedColors Colors(ColorListMessage list, long pixels) => new(CleanText.Line(list.Title, 100),
        [.. list.Colors.Take(MostColors)
            .Select(color => (Known: Rgba8.TryParse(color.Color, out var rgb), Color: rgb, color.Pixels))
            .Where(color => color.Known && color.Pixels >= 1 && color.Pixels <= pixels)
            .Select(color => new ReportedColor(color.Color, color.Pixels))],
        Math.Max(0, list.Others));
}
