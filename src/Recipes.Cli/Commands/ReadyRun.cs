using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Cli.Commands;

/// <summary>A recipe or a list with its values, and the state that it is to run on.</summary>
/// <param name="List">The list, or null where it is one recipe.</param>
/// <param name="Recipes">The recipe, or those of the list.</param>
/// <param name="State">What it runs on.</param>
/// <param name="Setup">The garment setup, and whether somebody chose it.</param>
/// <param name="Values">Its parameters; a list's as <c>recipe.name</c>.</param>
/// <param name="Guardrails">What may happen to printing.</param>
/// <param name="Workers">Where it runs.</param>
internal sealed record ReadyRun(
    ReadyList? List, ImmutableArray<ReadyRecipe> Recipes, ArtState State, ChosenSetup Setup, ParameterValues Values, Guardrails Guardrails, WorkerPool Workers)
{
    /// <summary>The file that it came from.</summary>
    public string Path => List?.List.Path ?? Recipes[0].Source.Path;

    /// <summary>The names of a list's recipes; none of one recipe.</summary>
    public string[] Parts => [.. List?.List.Recipes.Select(recipe => recipe.Name) ?? []];

    /// <summary>Of all that decides what comes out.</summary>
    public string Digest => List is null ? KeptRun.Digest(Recipes[0], State, Values, Guardrails) : KeptRun.Digest(List, State, Guardrails);

    /// <summary>That a recipe which says that a second run does harm is among the art's steps, or null. Undone steps don't count: what they did is gone.</summary>
    public Problem? RanAlready => Repeated(State, Recipes);

    /// <summary>The same of any recipes on a state.</summary>
    public static Problem? Repeated(ArtState state, IEnumerable<ReadyRecipe> recipes) => state.Work?.Line(state.Setup.Name) is not { } line ? null
        : recipes.Where(recipe => recipe.Spec.RunOnce.Length > 0)
        .Select(recipe => (recipe, Earlier: line.Steps.FirstOrDefault(step => step.State == StepState.Done && Ran(step.Record, recipe.Source.Name))))
        .Where(repeat => repeat.Earlier is not null)
        .Select(repeat => new Problem(Codes.RunAlready, $"'{repeat.recipe.Source.Name}' has run on this art, as step {repeat.Earlier!.Number}. {repeat.recipe.Spec.RunOnce}",
            "Undo that step first, or repeat it on purpose with --again.", new Place(state.File.Path)))
        .FirstOrDefault();

    // A list that was kept as one step ran all its recipes; its parameters and notes don't say so, its counts do.
    private static bool Ran(StepRecord record, string recipe) => record.Recipe == recipe || StepRecipes.PartsOf(record).Contains(recipe);

    /// <summary>Finds all that a run needs, and goes on with it while the work file is open.</summary>
    /// <param name="session">The command.</param>
    /// <param name="job">Its options.</param>
    /// <param name="recipeName">The recipe or the list.</param>
    /// <param name="artPath">The art.</param>
    /// <param name="original">The art as it came, whatever its work file holds.</param>
    /// <param name="toKeep">The result will be kept: somebody must have chosen the setup, and the house may ask for an approval.</param>
    /// <param name="then">What to do with it.</param>
    /// <exception cref="ProblemException">Something is missing, isn't allowed or doesn't fit; the recipe's name is looked at first.</exception>
    public static Outcome Find(Session session, RecipeJob job, string recipeName, string artPath, bool original, bool toKeep, Func<ReadyRun, Outcome> then)
    {
        using var workers = job.Workers(session);
        var guardrails = Options.ReadGuards(session.Parse.GetValue(job.Guard)!);
        string? folder = session.Parse.GetValue(job.RecipesFolder);
        var list = RecipeList.Find(recipeName, folder);
        if (list is null)
        {
            RecipePath.Find(recipeName, folder);
        }

        // They start while the files are read and the recipe is compiled.
        workers.Expect("run", list?.Recipes.Length ?? 1);
        var file = session.ReadArt(artPath);
        using var work = session.OpenWork(artPath, forWriting: toKeep);
        workers.Expect(file.Reader, work is null ? 1 : 0);
        var chosen = ChosenSetup.Find(session.Setup(job.Setup), work);
        var setup = toKeep ? chosen.Required() : chosen;
        string[] sets = session.Parse.GetValue(job.Set)!;
        var ready = list is null ? null : session.FindList(list, folder, sets, toKeep, workers);
        ImmutableArray<ReadyRecipe> recipes = ready?.Recipes ?? [toKeep ? session.FindRecipeToKeep(recipeName, folder, workers) : session.FindRecipe(recipeName, folder, workers)];
        var state = session.FindState(file, work, setup, original, workers).As(Options.ReadKind(session.Parse.GetValue(job.Kind)));
        var values = ready?.Given(state) ?? ParameterValues.Resolve(recipes[0].Spec, sets, setup.Setup.ResolutionFor(state.Art), setup.Setup);
        return then(new ReadyRun(ready, recipes, state, setup, values, guardrails, workers)).TellFirst(state);
    }

    /// <summary>Runs it.</summary>
    public ListResult Run(Session session) => List is null
        ? new ListResult(RecipeJob.Run(session, Recipes[0], State, Values, Guardrails, Workers), [])
        : RecipeJob.Run(session, List, State, Guardrails, Workers);
}
