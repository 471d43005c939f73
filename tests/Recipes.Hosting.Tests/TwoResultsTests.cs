using Recipes.Hosting.Cases;
using Recipes.Hosting.Library;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Tests.Pages;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.Tests;

/// <summary>A recipe that gives two results for the same case is found, whatever they differ in; one that gives the same twice isn't.</summary>
public sealed class TwoResultsTests : IDisposable
{
    private const string Case =
        """
        { "case": 1, "setup": "light-garment", "colors": { "b": "#101010", "_": "#ffffff" }, "art": { "rows": ["b_b", "_b_"] }, "expect": { "note": "" } }
        """;

    private readonly string folder = Directory.CreateTempSubdirectory("recipes-twice-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void The_same_twice_is_no_problem() =>
        Run(["one", "two"], int.MaxValue, (_, usual) => usual).ShouldAllBe(outcome => outcome.Passed && outcome.Unsteady.Length == 0);

    [Theory]
    [InlineData("pixels", "1 px differ|1 px differ")]
    [InlineData("notes", "notes '', the other notes 'again'|notes 'again', the other notes ''")]
    [InlineData("declared", "declare or list")]
    [InlineData("answer", "declare or list")]
    [InlineData("problem", "gave a picture, the other ended with R4001: at random|ended with R4001: at random, the other gave a picture")]
    public void What_differs_is_named(string what, string words)
    {
        var outcome = Run(["one"], 1, (run, usual) => run == 1 ? usual : what switch
        {
            "pixels" => usual with { After = Changed(usual.After) },
            "notes" => usual with { Report = usual.Report with { Notes = ["again"] } },
            "declared" => usual with { Report = usual.Report with { Declared = usual.Report.Declared with { Printable = 7 } } },
            "answer" => usual with { AnswerSha256 = "0" },
            _ => throw new ProblemException(Codes.RecipeThrew, "at random", ""),
        }).ShouldHaveSingleItem();
        // Which run is the odd one depends on which ends first.
        words.Split('|').ShouldContain(word => outcome.Unsteady.Contains(word, StringComparison.Ordinal), outcome.Unsteady);
        var problem = outcome.TwoResults("whiten.csx").Problems.ShouldHaveSingleItem();
        problem.Code.Exit.ShouldBe(ExitCode.TestFailed);
        problem.Message.ShouldContain(outcome.Unsteady);
    }

    [Fact]
    public void Only_the_first_cases_run_twice_where_so_many_are_asked_for()
    {
        int runs = 0;
        var outcomes = Run(["one", "three", "two"], 1, (run, usual) =>
        {
            runs = Math.Max(runs, run);
            return usual;
        });
        (outcomes.Count, runs).ShouldBe((3, 4));
    }

    // The runs are this test's: what a worker would answer. No recipe can be made to give two results.
    private IReadOnlyList<CaseOutcome> Run(string[] cases, int twice, Func<int, RunResult, RunResult> answer)
    {
        string path = Path.Combine(folder, "whiten.csx");
        File.WriteAllText(path, "Recipe.Title(\"Whiten\");\n");
        Directory.CreateDirectory(Path.Combine(folder, "whiten.cases"));
        foreach (string name in cases)
        {
            File.WriteAllText(Path.Combine(folder, "whiten.cases", name + ".json"), Case);
        }

        var recipe = new ReadyRecipe(RecipeSource.Read("whiten", path), new RecipeSpec("Whiten", "", 1, "", []), null!);
        int runs = 0;
        using var gate = new SemaphoreSlim(1);
        return CaseRunner.Run(recipe, twice, (state, _) =>
        {
            gate.Wait();
            try
            {
                var report = HarborArt.Report(state.Art.Flat, state.Art.Flat, state.Setup) with { Notes = [] };
                return answer(++runs, new RunResult(state.Art, state.Art, report) { AnswerSha256 = "1" });
            }
            finally
            {
                gate.Release();
            }
        }, WorkerPool.Usual, TestContext.Current.CancellationToken);
    }

    private static Artwork Changed(Artwork art) => Artwork.FromPixels(Plane<Rgba8>.FromContiguous(3, 2,
        Enumerable.Range(0, 6).Select(i => i == 4 ? new Rgba8(1, 2, 3) : art.Flat[i % 3, i / 3]).ToArray()), 300);
}
