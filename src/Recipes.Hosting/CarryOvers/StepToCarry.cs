using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.CarryOvers;

/// <summary>A recipe of a step, with the values that it had there or is given for the later art.</summary>
/// <param name="Name">The recipe's name.</param>
/// <param name="Recipe">The recipe as it is now.</param>
/// <param name="Was">Its values there, as <c>name=value</c>.</param>
public sealed record PartToCarry(string Name, ReadyRecipe Recipe, ImmutableArray<string> Was)
{
    /// <summary>What stands before its parameters where values are given: its name, and the step's number where several steps ran it.</summary>
    public string Key { get; init; } = Name;

    /// <summary>The values given for the later art.</summary>
    public ImmutableArray<string> Given { get; init; } = [];

    /// <summary>Its parameters that take region numbers.</summary>
    public ImmutableArray<string> Numbered => [.. CarriedAnswers.NumbersOf(Recipe.Spec).Select(parameter => parameter.Name)];

    /// <summary>Those of them that are given for the later art.</summary>
    public IEnumerable<string> Answered => Numbered.Where(name => Given.Any(given => NameIn(given) == name));

    /// <summary>The old values with what was given in their place.</summary>
    internal ImmutableArray<string> Sets => [.. Was.Where(set => !Given.Any(given => NameIn(given) == NameIn(set))), .. Given];

    internal static string NameIn(string set) => set.Split('=')[0];
}

/// <summary>A step that is to be replayed: one recipe, or a list that was kept as one step.</summary>
/// <param name="Step">The step.</param>
/// <param name="List">The list, or null.</param>
/// <param name="Parts">The recipe, or those of the list.</param>
/// <param name="IsOtherSource">True where the recipe or list isn't the one that the step was made with.</param>
public sealed record StepToCarry(WorkStep Step, ReadyList? List, ImmutableArray<PartToCarry> Parts, bool IsOtherSource)
{
    internal static StepToCarry Find(Shop shop, CarryOverRequest request, WorkStep step, WorkerPool workers)
    {
        var (name, hash) = (step.Record.Recipe, step.Record.RecipeSha256);
        string[] sets = [.. step.Record.Parameters.Select(pair => $"{pair.Key}={pair.Value}")];
        var wanted = new RecipeRequest(name) { Folder = request.RecipesFolder, ToKeep = true };
        if (!StepRecipes.PartsOf(step.Record).Any())
        {
            var recipe = shop.FindOne(wanted, workers);
            return new StepToCarry(step, null, [new PartToCarry(name, recipe, [.. sets])], recipe.Source.Sha256 != hash);
        }

        var list = RecipeList.Find(name, request.RecipesFolder) is null
            ? throw new ProblemException(Codes.UnknownRecipe, $"There is no recipe list '{CleanText.Line(name, 80)}', which step {step.Number} was made with.",
                "Name the folder that holds it with --recipes.")
            : shop.Find(wanted with { Sets = sets }, workers).List!;
        var parts = list.List.Recipes.Select((listed, i) => new PartToCarry(listed.Name, list.Recipes[i], list.Sets[i]));
        return new StepToCarry(step, list, [.. parts], list.Identity.Sha256 != hash);
    }

    /// <summary>The steps with the values that are given for the later art.</summary>
    /// <exception cref="ProblemException">R1004 a value names no recipe of the steps, or several.</exception>
    internal static StepToCarry[] With(StepToCarry[] steps, IEnumerable<string> sets)
    {
        foreach (string set in sets)
        {
            Give(steps, set);
        }

        string[] several = [.. steps.SelectMany(step => step.Parts).GroupBy(part => part.Name).Where(group => group.Count() > 1).Select(group => group.Key)];
        return
        [
            .. steps.Select(step => step with
            {
                Parts = [.. step.Parts.Select(part => several.Contains(part.Name)
                    ? part with { Key = string.Create(CultureInfo.InvariantCulture, $"{step.Step.Number}.{part.Name}") } : part)],
            }),
        ];
    }

    // RECIPE.name=value, or STEP.RECIPE.name=value where several steps ran the recipe.
    private static void Give(StepToCarry[] steps, string set)
    {
        string[] names = PartToCarry.NameIn(set).Split('.');
        int number = 0;
        bool ofStep = names.Length == 3 && int.TryParse(names[0], NumberStyles.None, CultureInfo.InvariantCulture, out number);
        (int Step, int Part)[] fits = names.Length != (ofStep ? 3 : 2) ? [] :
        [
            .. steps.SelectMany((step, s) => step.Parts.Select((part, p) => (s, p)))
                .Where(at => steps[at.s].Parts[at.p].Name == names[^2] && (!ofStep || steps[at.s].Step.Number == number)),
        ];
        if (fits is not [var (s, p)])
        {
            throw fits.Length == 0
                ? Unfit($"'--set {CleanText.Line(set, 80)}' names no recipe of the steps.",
                    $"RECIPE.name=value with one of {string.Join(", ", steps.SelectMany(step => step.Parts.Select(part => part.Name)).Distinct())}.")
                : Unfit($"'{names[^2]}' ran in {fits.Length} steps.",
                    $"{steps[fits[0].Step].Step.Number}.{CleanText.Line(set, 80)} with the step's number in front.");
        }

        string own = set[names[..^1].Sum(name => name.Length + 1)..];
        var part = steps[s].Parts[p];
        steps[s] = steps[s] with { Parts = steps[s].Parts.SetItem(p, part with { Given = part.Given.Add(own) }) };
    }

    private static ProblemException Unfit(string what, string write) => new(Codes.UnknownParameter, what, "Write --set " + write);

    /// <summary>What the replayed step says of where it comes from.</summary>
    internal JsonObject Origin(WorkFile old)
    {
        var more = new JsonObject
        {
            ["carriedOver"] = new JsonObject { ["art"] = old.Original.Name, ["sha256"] = old.Original.Sha256, ["step"] = Step.Number, ["by"] = Step.Record.By },
        };
        if (List is { } list)
        {
            more["recipes"] = new JsonArray([.. list.List.Recipes.Select(recipe => (JsonNode?)recipe.Name)]);
        }

        return more;
    }
}
