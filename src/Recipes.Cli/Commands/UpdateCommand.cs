using System.CommandLine;
using Recipes.Hosting.Packs;

namespace Recipes.Cli.Commands;

/// <summary><c>update</c>: looks again where the added recipes came from, tells what changed and installs it.</summary>
internal static class UpdateCommand
{
    public static Command Create()
    {
        var names = new Argument<string[]>("RECIPE")
        {
            HelpName = "RECIPE", Description = "The added recipes to update [default: all]", Arity = ArgumentArity.ZeroOrMore,
            CompletionSources = { Names.Recipes },
        };
        var installing = new Installing();
        var command = new Command("update", "Looks where added recipes came from, tells what changed and installs it") { names };
        installing.AddTo(command);
        return command.With("recipes update --show", session =>
        {
            var how = installing.Read(session);
            return AddCommand.Told(AddRecipes.Update(session.Shop, session.Parse.GetValue(names)!, how), how);
        });
    }
}
