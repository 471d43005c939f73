using System.Collections.Immutable;
using System.Globalization;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Problems;

namespace Recipes.Hosting.Cases;

/// <summary>Recipes whose test cases are to run.</summary>
/// <param name="Pictures">The folder for pictures of failing cases, <c>RECIPE/CASE/</c> in it.</param>
public sealed record TestRequest(string Pictures)
{
    /// <summary>The recipe or list, by name or file; null for every recipe on the path that has cases.</summary>
    public string? Recipe { get; init; }

    /// <summary>A folder of recipes to look in first, or null.</summary>
    public string? RecipesFolder { get; init; }

    /// <summary>True: failing cases expect from now on what came out, where anything did that can be expected.</summary>
    public bool Update { get; init; }

    /// <summary>True: pictures replace what isn't an earlier test's.</summary>
    public bool Force { get; init; }
}

/// <summary>A test case that ran.</summary>
/// <param name="Outcome">What became of it.</param>
public sealed record TestedCase(CaseOutcome Outcome)
{
    /// <summary>What it expects from now on, or null.</summary>
    public CaseUpdate? Updated { get; init; }

    /// <summary>The picture of what changed, where it failed and none of it was updated; or null.</summary>
    public string? Picture { get; init; }
}

/// <summary>A recipe that was tested.</summary>
/// <param name="Name">Its name.</param>
/// <param name="File">Its file; that of the list where a list's recipe can't be found.</param>
public sealed record TestedRecipe(string Name, string File)
{
    /// <summary>The hash of its source and snippets; null where it can't be read.</summary>
    public string? Sha256 { get; init; }

    /// <summary>Whether it compiles; null where that isn't known.</summary>
    public bool? Compiles { get; init; }

    /// <summary>Its cases, by name.</summary>
    public ImmutableArray<TestedCase> Cases { get; init; } = [];

    /// <summary>What is wrong: it can't be read, doesn't compile, gives two results, or cases failed.</summary>
    public ImmutableArray<Problem> Problems { get; init; } = [];

    /// <summary>How many cases passed.</summary>
    public int Passed => Cases.Count(one => one.Outcome.Passed);
}

/// <summary>Runs the test cases that lie beside recipes, draws those that fail, or makes them expect what came out.</summary>
public static class TestRecipes
{
    /// <summary>
    /// Tests one recipe, those of a list, or all that have cases; whatever is wrong with one of several, the others are tested all the same.
    /// </summary>
    /// <exception cref="ProblemException">
    /// R1002, R1003, R2008, R6205 the one that is named can't be found or read; R6101 it can't be confined; R6204 its cases are too many, or links;
    /// R6108, R8 codes a picture or a case can't be written. What failed otherwise is told with the recipe.
    /// </exception>
    public static ImmutableArray<TestedRecipe> Run(Shop shop, TestRequest request, WorkerPool workers)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        string? name = request.Recipe, folder = request.RecipesFolder;
        IEnumerable<TestedRecipe?> each = (name is null ? null : RecipeList.Find(name, folder), name) switch
        {
            ({ } list, _) => list.Recipes.Select(one => TestReadable(one.Name, list.Path, () => ShopRecipes.Read(list, one.Name, folder))),
            (_, { } one) => [Test(shop, request, workers, ShopRecipes.Read(one, folder))],
            _ => RecipePath.All(folder).Select(found => TestReadable(found.Name, found.File, () => ReadWithCases(found))),
        };
        ImmutableArray<TestedRecipe> tested = [.. each.OfType<TestedRecipe>()];
        // At the end and all at once: where one can't be written, none is changed.
        AtomicFile.WriteAll([.. tested.SelectMany(recipe => recipe.Cases).Select(one => one.Updated).OfType<CaseUpdate>().SelectMany(update => update.Files)]);
        return tested;

        TestedRecipe? TestReadable(string recipe, string file, Func<RecipeSource?> read)
        {
            RecipeSource? source;
            try
            {
                source = read();
            }
            catch (ProblemException e)
            {
                return new TestedRecipe(recipe, file) { Problems = [.. e.Problems] };
            }

            return source is null ? null : Test(shop, request, workers, source);
        }
    }

    // Null where it has no cases.
    private static RecipeSource? ReadWithCases(FoundRecipe found) => RecipeCase.Files(found.File).Count == 0 ? null : RecipeSource.Read(found.Name, found.File);

    private static TestedRecipe Test(Shop shop, TestRequest request, WorkerPool workers, RecipeSource source)
    {
        var tested = new TestedRecipe(source.Name, source.Path) { Sha256 = source.Sha256 };
        ReadyRecipe recipe;
        try
        {
            recipe = shop.Compile(source, workers);
        }
        catch (ProblemException e) when (e.Exit == ExitCode.RecipeRefused)
        {
            return tested with { Compiles = false, Problems = [.. e.Problems] };
        }

        var outcomes = shop.Progress.During($"Testing {source.Name}", () => CaseRunner.Run(recipe, workers, twice: 1, shop.Cancel));
        // A result with pixels was read from art that has a sound name.
        string[] originals = [.. outcomes.Where(outcome => outcome.Result is not null).Select(outcome => outcome.Case!.ArtPicture).OfType<string>()];
        // All of them before the first picture: one that would write over an art leaves everything as it was.
        TestedCase[] cases = [.. outcomes.Select(outcome => new TestedCase(outcome)
        {
            Updated = request.Update && !outcome.Passed && outcome.Unsteady.Length == 0 ? CaseRunner.Update(outcome, originals) : null,
        })];
        return tested with
        {
            Compiles = true,
            Cases = [.. cases.Select(one => !Failed(one) || one.Outcome.Result is null ? one : one with
            {
                Picture = CasePictures.Draw(one.Outcome, Path.Combine(request.Pictures, source.Name, one.Outcome.Name), originals, request.Force),
            })],
            Problems =
            [
                .. outcomes.Where(outcome => outcome.Unsteady.Length > 0).SelectMany(outcome => outcome.TwoResults(source.Path).Problems),
                .. Failure(source, cases),
            ],
        };
    }

    private static bool Failed(TestedCase one) => !one.Outcome.Passed && one.Updated is null;

    private static IEnumerable<Problem> Failure(RecipeSource source, TestedCase[] cases)
    {
        CaseOutcome[] failed = [.. cases.Where(Failed).Select(one => one.Outcome)];
        return failed.Length == 0 ? [] :
        [
            new Problem(failed.Any(outcome => outcome.Case is not null) ? Codes.CasesFailed : Codes.BadCase, string.Create(CultureInfo.InvariantCulture,
                $"{failed.Length} of {cases.Length} test cases failed: {CleanText.Line(string.Join(", ", failed.Select(outcome => outcome.Name)), 300)}."),
                "Mend the recipe, or the case if it is the case that is wrong.", new Place(source.Path)),
        ];
    }
}
