using System.CommandLine;
using Recipes.Hosting.Packs;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>update</c>: looks again where the added recipes came from, tells what changed and installs it.</summary>
internal static class UpdateCommand
{
    public static Command Create()
    {
        var names = new Argument<string[]>("RECIPE") { HelpName = "RECIPE", Description = "The added recipes to update [default: all]", Arity = ArgumentArity.ZeroOrMore, CompletionSources = { Names.Recipes } };
        var how = new AddCommand.Installing();
        var command = new Command("update", "Looks where added recipes came from, tells what changed and installs it") { names };
        how.AddTo(command);
        return command.With("recipes update --show", session => Run(session, session.Parse.GetValue(names)!, how));
    }

    private static Outcome Run(Session session, string[] names, AddCommand.Installing how)
    {
        var shelf = RecipeShelf.Own();
        var added = shelf.Added();
        if (names.FirstOrDefault(name => !added.ContainsKey(name)) is { } missing)
        {
            throw new ProblemException(Codes.UnknownRecipe, $"No recipe '{CleanText.Line(missing, 80)}' was added.", Suggestion.Hint(missing, [.. added.Keys]));
        }

        var warnings = new List<Problem>();
        var sources = new List<(string, IEnumerable<PackedRecipe>)>();
        foreach (var source in added.Where(recipe => names.Length == 0 || names.Contains(recipe.Key)).GroupBy(recipe => recipe.Value, recipe => recipe.Key))
        {
            if (Path.Exists(source.Key))
            {
                var arriving = shelf.Newest(AddCommand.Arriving(source.Key), source.Key, [.. source]);
                sources.Add((source.Key, arriving));
                warnings.AddRange(source.Except(arriving.Select(recipe => recipe.Name)).Select(name => new Problem(
                    Codes.UnknownRecipe, $"{source.Key} no longer has '{name}'.", "Yours stays as it is; ask whether it was withdrawn.", new Place(source.Key), Severity.Warning)));
            }
            else
            {
                warnings.Add(new Problem(Codes.DamagedPack, $"{source.Key} is gone, where {string.Join(", ", source)} came from.", "Connect the drive, or add the recipes from where they are now.", new Place(source.Key), Severity.Warning));
            }
        }

        return AddCommand.Shelve(session, shelf, sources, how, warnings);
    }
}
