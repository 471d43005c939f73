using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Runs;

/// <summary>A recipe or a list with its values, and the state that it is to run on.</summary>
/// <param name="Recipes">What runs.</param>
/// <param name="State">What it runs on.</param>
/// <param name="Values">Its parameters; a list's as <c>recipe.name</c>.</param>
/// <param name="Guardrails">What may happen to printing.</param>
/// <param name="Workers">Where it runs.</param>
public sealed record ReadyRun(ReadyRecipes Recipes, ArtState State, ParameterValues Values, Guardrails Guardrails, WorkerPool Workers)
{
    /// <summary>What stands before one recipe's parameters where values are given, <c>2.swap-color.</c> for instance; it may advise to give one.</summary>
    public string Prefix { get; init; } = "";

    /// <summary>Of all that decides what comes out.</summary>
    public string Digest => Recipes.List is { } list ? RunCache.Digest(list, State, Guardrails) : RunCache.Digest(Recipes.All[0], State, Values, Guardrails);

    /// <summary>
    /// That a recipe which says that a second run does harm is among the art's steps, or null. Undone steps don't count: what they did is gone.
    /// </summary>
    public Problem? RanAlready => RunOnce.Repeated(State, Recipes.All);

    /// <summary>Finds all that a run needs, and goes on with it while the work file is open.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="request">What is to run. Where its result is kept, somebody must have chosen the setup, and the house may ask for an approval.</param>
    /// <param name="workers">Where it runs.</param>
    /// <param name="then">What to do with it.</param>
    /// <exception cref="ProblemException">Something is missing, isn't allowed or doesn't fit; the recipe's name is looked at first.</exception>
    public static T Find<T>(Shop shop, TryRequest request, WorkerPool workers, Func<ReadyRun, T> then)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(workers);
        ArgumentNullException.ThrowIfNull(then);
        var recipe = request.Recipe;
        var list = RecipeList.Find(recipe.NameOrFile, recipe.Folder);
        if (list is null)
        {
            RecipePath.Find(recipe.NameOrFile, recipe.Folder);
        }

        // They start while the files are read and the recipe is compiled.
        workers.Expect("run", list?.Recipes.Length ?? 1);
        using var art = OpenArt.Of(shop, request.Art, forWriting: recipe.ToKeep, toWrite: recipe.ToKeep);
        workers.Expect(art.File.Reader, art.Work is null ? 1 : 0);
        var recipes = shop.Find(recipe, workers);
        var state = art.State(workers);
        return then(new ReadyRun(recipes, state, recipes.Values(state), request.Guardrails, workers));
    }

    /// <summary>Runs it: a list each recipe on what the one before left, with a look at what is left of it all.</summary>
    /// <exception cref="ProblemException">R4 codes. A guardrail that refuses is no exception; the report says so.</exception>
    public ListResult Run(Shop shop)
    {
        ArgumentNullException.ThrowIfNull(shop);
        if (Recipes.All.IsEmpty)
        {
            return new ListResult(AsItStands(), []);
        }

        var runner = new RecipeRunner(Workers, Guardrails, shop.Cancel, shop.Timings);
        if (Recipes.List is not { } list)
        {
            var recipe = Recipes.All[0];
            return new ListResult(shop.Progress.During($"Running {recipe.Source.Name}", () => runner.Run(recipe, State, Values, Prefix)), []);
        }

        var listed = shop.Progress.During($"Running {list.List.Name}", () => RecipeListRunner.Run(runner, list, State));
        return shop.Progress.During("Looking", () => shop.Timings.Measure("check", () => ListCheck.Of(listed, State.Setup)));
    }

    // Nothing is run, so no guardrail has anything to judge.
    private RunResult AsItStands() => new(State.Art, State.Art, new RunReport
    {
        Recipe = Recipes.Identity,
        Art = State.Identity,
        FromStep = State.Step,
        Parameters = Values.Given,
        Setup = State.Setup,
        SetupIsFallback = State.SetupIsFallback,
        Change = ArtChange.Between(State.Art, State.Art, State.Setup.Ink),
        Declared = new DeclaredCount(0, 0, 0, 0, false),
        Guards = [],
        Ground = State.Art.Ground,
    });
}
