using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Cases;

/// <summary>What became of a test case.</summary>
public sealed record CaseOutcome
{
    /// <summary>The case's name.</summary>
    public required string Name { get; init; }

    /// <summary>The case's file.</summary>
    public required string Path { get; init; }

    /// <summary>How what came out differs from what was expected; empty where the case passed.</summary>
    public required ImmutableArray<string> Differences { get; init; }

    /// <summary>What the recipe gave, or null where it gave nothing.</summary>
    public RunResult? Result { get; init; }

    /// <summary>The pixels that were expected, or null where the case expects none.</summary>
    public Plane<Rgba8>? Expected { get; init; }

    /// <summary>The case, or null where it couldn't be read.</summary>
    public RecipeCase? Case { get; init; }

    /// <summary>How a second run of it differed from the first, in a process of its own; empty where it didn't, or there was none.</summary>
    public string Unsteady { get; init; } = "";

    /// <summary>Whether all came out as expected.</summary>
    public bool Passed => Differences.IsEmpty;

    /// <summary>The same as an approval asks it.</summary>
    /// <param name="recipe">The recipe's file.</param>
    public CaseVerdict Verdict(string recipe) => new(Passed, Passed ? Name : $"{Name}: {Differences[0]}", Unsteady.Length > 0 ? TwoResults(recipe) : null);

    /// <summary>The problem where the second run differed: R6111.</summary>
    /// <param name="recipe">The recipe's file.</param>
    public ProblemException TwoResults(string recipe) => new(Codes.TwoResults,
        $"Two runs of the case {CleanText.Line(Name, 80)} differ, on the same art with the same parameters: {Unsteady}",
        "The same art must give the same pixels everywhere: look in the recipe for what depends on more than the art.", new Place(recipe));
}

/// <summary>What a case is to expect from now on.</summary>
/// <param name="Fields">The changed fields of <c>expect</c>, in words.</param>
/// <param name="Files">The case's file, and the pictures that it expects, as <see cref="AtomicFile.WriteAll"/> takes them.</param>
public sealed record CaseUpdate(string Fields, ImmutableArray<(string Path, Action<Stream> Write, bool Replace)> Files);

/// <summary>Runs a recipe's test cases in workers, as any other run.</summary>
public static class CaseRunner
{
    /// <summary>The fields of <c>expect</c>.</summary>
    public static IReadOnlyList<string> Fields { get; } = ["changed", "box", "gained", "lost", "prints", "size",
        "rows", "picture", "note", "guards", "problem"];

    /// <summary>Runs all cases of a recipe, in the order of their names.</summary>
    /// <param name="recipe">The recipe, compiled and checked.</param>
    /// <param name="workers">The workers, with their limits.</param>
    /// <param name="twice">How many of them, the first ones, run twice, each time in a process of its own, where hash codes are others.</param>
    /// <param name="cancel">Ends it.</param>
    /// <exception cref="ProblemException">R6204: the case files are too many, or links.</exception>
    public static ImmutableArray<CaseOutcome> Run(ReadyRecipe recipe, WorkerPool workers, int twice, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(workers);
        ArgumentNullException.ThrowIfNull(recipe);
        int cases = RecipeCase.Files(recipe.Source.Path).Count;
        workers.Expect("run", cases + Math.Min(twice, cases));
        var runner = new RecipeRunner(workers, Guardrails.Default, cancel, withDigest: true);
        return Run(recipe, twice, (state, values) => runner.Run(recipe, state, values), workers, cancel);
    }

    internal static ImmutableArray<CaseOutcome> Run(
        ReadyRecipe recipe, int twice, Func<ArtState, ParameterValues, RunResult> run, WorkerPool workers, CancellationToken cancel)
    {
        var files = RecipeCase.Files(recipe.Source.Path);
        int again = Math.Min(twice, files.Count);
        var attempts = new Attempt[files.Count + again];
        var outcomes = new CaseOutcome[files.Count];
        Parallel.For(0, attempts.Length, new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = cancel }, i =>
        {
            attempts[i] = Try(recipe, files[i % files.Count], run, workers, cancel);
            if (i < files.Count)
            {
                outcomes[i] = Judge(attempts[i], files[i], workers, cancel);
            }
        });
        return [.. outcomes.Select((outcome, i) => i < again ? outcome with { Unsteady = Difference(attempts[i], attempts[files.Count + i]) } : outcome)];
    }

    /// <summary>What makes a case expect what came out, in the fields that it has; where it has none, in the counts. Nothing is written yet.</summary>
    /// <returns>What changes; null where nothing came out that could be expected.</returns>
    /// <param name="outcome">What came out.</param>
    /// <param name="originals">The art of other cases; none of it is written.</param>
    /// <exception cref="ProblemException">R8001 an original would be written over; R6108.</exception>
    public static CaseUpdate? Update(CaseOutcome outcome, params ReadOnlySpan<string> originals)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        if (outcome is not { Case: { } made, Result: { } result } || made.Expect.ContainsKey("problem"))
        {
            return null;
        }

        var files = ImmutableArray.CreateBuilder<(string, Action<Stream>, bool)>();
        var expect = made.Expect.DeepClone().AsObject();
        string[] fields = expect.Count == 0 ? ["changed", "gained", "lost"] : [.. expect.Select(field => field.Key)];
        IReadOnlyDictionary<char, Rgba8> added = new Dictionary<char, Rgba8>();
        foreach (string field in fields)
        {
            switch (field)
            {
                case "picture":
                    string picture = made.PictureFile(expect.Text("picture") ?? "");
                    AtomicFile.RefuseOriginal(picture, [.. originals, made.ArtPicture ?? made.Path]);
                    files.Add((picture, stream => PngWriter.Write(stream, result.After.Flat, result.After.PixelsPerInch), true));
                    break;
                case "rows":
                    var spelled = made.Spell(result.After.Flat)
                        ?? throw RecipeCase.Bad(made.Path, "the result has too many pixels or colors for rows; expect a picture");
                    (expect["rows"], added) = spelled;
                    break;
                case "note":
                    expect["note"] = string.Join(" ", result.Report.Notes);
                    break;
                default:
                    expect[field] = Actual(field, expect[field], result);
                    break;
            }
        }

        files.Add((made.Path, stream => made.Write(stream, expect, added), true));
        return new CaseUpdate(string.Join(", ", fields), files.ToImmutable());
    }

    // What reading and running a case gave.
    private sealed record Attempt(RecipeCase? Case, RunResult? Result, ProblemException? Failure);

    private static Attempt Try(ReadyRecipe recipe, string path, Func<ArtState, ParameterValues, RunResult> run, WorkerPool workers, CancellationToken cancel)
    {
        RecipeCase? made = null;
        try
        {
            made = RecipeCase.Read(path);
            var state = StateOf(made, workers, cancel);
            return new Attempt(made, run(state, ParameterValues.Resolve(recipe.Spec, made.Sets, made.Setup.ResolutionFor(state.Art), made.Setup)), null);
        }
        catch (ProblemException e)
        {
            return new Attempt(made, null, e);
        }
    }

    private static CaseOutcome Judge(Attempt attempt, string path, WorkerPool workers, CancellationToken cancel)
    {
        var (made, result, failure) = attempt;
        var outcome = new CaseOutcome { Name = Path.GetFileNameWithoutExtension(path), Path = path, Differences = [], Case = made, Result = result };
        try
        {
            return failure is null && made!.Expect.ContainsKey("problem")
                ? outcome with { Differences = [$"problem: {made.Expect.Text("problem")} was expected, and it ran"] }
                : failure is null ? Judge(outcome, made!, result!, workers, cancel)
                : made?.Expect.Text("problem") == failure.Problems[0].Code.Id ? outcome
                : outcome with { Differences = Told(failure) };
        }
        // A picture that the case expects can't be read.
        catch (ProblemException e)
        {
            return outcome with { Differences = Told(e) };
        }

        static ImmutableArray<string> Told(ProblemException e) => [.. e.Problems.Take(20).Select(told => told.ToString())];
    }

    // A recipe's answer to the same question, twice. What a worker that died says of it may differ, since it depends on when.
    private static string Difference(Attempt first, Attempt second)
    {
        if (first.Result is not { } one || second.Result is not { } other)
        {
            return End(first) == End(second) ? "" : $"one run {End(first)}, the other {End(second)}";
        }

        string? pixels = Difference(one.After.Flat, other.After.Flat);
        return pixels is not null ? pixels
            : !one.Report.Notes.SequenceEqual(other.Report.Notes) ? $"one run notes '{Notes(one)}', the other notes '{Notes(other)}'"
            : one.Report.Declared != other.Report.Declared || one.AnswerSha256 != other.AnswerSha256 ? "they differ in what they declare or list"
            : "";

        static string Notes(RunResult run) => CleanText.Line(string.Join(' ', run.Report.Notes), 200);
        static string End(Attempt attempt) => attempt.Failure is not { } failure ? "gave a picture"
            : failure.Problems[0] is var problem && (problem.Code == Codes.RecipeThrew || problem.Code == Codes.RecipeDeclined)
                ? $"ended with {problem.Code.Id}: {CleanText.Line(problem.Message, 200)}"
            : $"ended with {problem.Code.Id}";
    }

    private static ArtState StateOf(RecipeCase made, WorkerPool workers, CancellationToken cancel)
    {
        var art = made.ReadArt(workers, cancel);
        return new ArtState
        {
            File = new ArtFile(made.Path, [], ""),
            Art = art,
            Identity = new ArtIdentity(made.Path, "", art.Width, art.Height, art.PixelsPerInch, "a test case's art", []),
            Step = 0,
            StateSha256 = "",
            Setup = made.Setup,
            SetupIsFallback = false,
            Work = null,
        };
    }

    private static CaseOutcome Judge(CaseOutcome outcome, RecipeCase made, RunResult result, WorkerPool workers, CancellationToken cancel)
    {
        var differences = ImmutableArray.CreateBuilder<string>();
        Plane<Rgba8>? expected = null;
        foreach (var (field, value) in made.Expect)
        {
            if (field is "rows" or "picture")
            {
                expected = field == "rows" ? made.Draw(value, "expect") : made.ReadPicture(made.Expect.Text(field) ?? "", workers, cancel).Flat;
                if (Difference(expected, result.After.Flat) is { } difference)
                {
                    differences.Add($"{field}: {difference}");
                }
            }
            else if (field == "note")
            {
                string notes = string.Join(" ", result.Report.Notes), part = made.Expect.Text(field) ?? "";
                if (part.Length == 0 ? notes.Length > 0 : !notes.Contains(part, StringComparison.Ordinal))
                {
                    differences.Add($"note: '{CleanText.Line(part, 200)}' was expected, and it said '{notes}'");
                }
            }
            else if (Actual(field, value, result) is var actual && !Same(value, actual))
            {
                differences.Add($"{field}: {Text(value)} was expected, and it is {Text(actual)}");
            }
        }

        if (made.Expect.Count == 0)
        {
            differences.Add("the case expects nothing; write what must come out into \"expect\", or take what came out with --update");
        }

        if (result.Report.Refused && !made.Expect.ContainsKey("guards"))
        {
            differences.Add(
                $"guards: {string.Join(", ", result.Report.Guards.Where(guard => guard.Outcome == GuardOutcome.Refused).Select(guard => guard.Name))}"
                    + " refused it, which the case doesn't expect");
        }

        return outcome with { Differences = differences.ToImmutable(), Expected = expected };
    }

    private static JsonNode? Actual(string field, JsonNode? expected, RunResult result)
    {
        var report = result.Report;
        return field switch
        {
            "changed" => report.Changed?.Pixels,
            "box" => ReportJson.Of(report.Changed?.Box),
            "gained" => report.Ink.Gained,
            "lost" => report.Ink.Lost,
            "prints" => report.Ink.After.Prints,
            "size" => new JsonArray(result.After.Width, result.After.Height),
            // Only the guardrails that the case names.
            _ => new JsonObject((expected as JsonObject ?? []).Select(pair => KeyValuePair.Create(
                pair.Key, (JsonNode?)report.Guards.Where(guard => guard.Name == pair.Key).Select(guard => EnumWord.Of(guard.Outcome)).FirstOrDefault()))),
        };
    }

    private static string? Difference(Plane<Rgba8> expected, Plane<Rgba8> actual)
    {
        if (expected.Grid != actual.Grid)
        {
            return string.Create(CultureInfo.InvariantCulture,
                $"{expected.Width} x {expected.Height} px were expected, and it has {actual.Width} x {actual.Height}");
        }

        var difference = ArtworkDiff.Between(expected, actual);
        return difference.Pixels == 0 ? null : string.Create(CultureInfo.InvariantCulture,
            $"{difference.Pixels} px differ by at most {difference.LargestDelta} levels, "
                + $"in the box {difference.Box!.Value.X},{difference.Box.Value.Y},{difference.Box.Value.Width},{difference.Box.Value.Height}");
    }

    // 3 and 3.0 are one number; what JSON calls them doesn't matter.
    private static bool Same(JsonNode? one, JsonNode? other) => JsonNode.DeepEquals(one, other);

    private static string Text(JsonNode? node) => node is null ? "none" : CleanText.Line(node.ToJsonString(), 300);
}
