using System.CommandLine;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>run</c>: many files through one recipe, without work files, several at a time.</summary>
internal static class RunCommand
{
    public static Command Create()
    {
        var recipe = Options.Recipe();
        recipe.Arity = ArgumentArity.ZeroOrOne;
        var art = new Argument<string[]>("ART") { Description = "The pictures, or folders of them", Arity = ArgumentArity.ZeroOrMore };
        var output = new Option<string>("--output", "-o")
        {
            Description = "The folder for STEM.png and STEM.json of each picture, or FILENAME.png where stems meet", HelpName = "DIR", Required = true,
        };
        var list = new Option<string?>("--list")
        {
            Description = "Take each picture, its recipe, parameters, setup, quantity and more from a CSV file, and make a tick-off sheet",
            HelpName = "FILE.csv",
        };
        var (force, by) = (Options.Force(), Options.By());
        var job = new RecipeJob();
        var command = new Command("run", "Runs a recipe on many files at once and writes the results elsewhere") { recipe, art, output, list, force, by };
        job.AddTo(command);
        return command.With("recipes run clean-background orders/*.png -o printed --setup light-garment", session =>
        {
            var parse = session.Parse;
            using var run = new ManyRuns(session, job, parse.GetRequiredValue(output), parse.GetValue(force), session.By(by));
            return (parse.GetValue(list), parse.GetValue(recipe), parse.GetValue(art)) switch
            {
                ({ } file, null, not { Length: > 0 }) => run.List(file),
                (null, { } name, { Length: > 0 } arts) => run.Arts(name, arts),
                _ => throw new ProblemException(Codes.BadUsage, "'run' takes a RECIPE and at least one ART, or --list FILE.csv.", "For instance: recipes run clean-background puffin.png -o printed"),
            };
        });
    }
}
