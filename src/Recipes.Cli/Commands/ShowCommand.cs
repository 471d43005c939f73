using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Words;

namespace Recipes.Cli.Commands;

/// <summary><c>show</c>: one recipe's purpose, parameters, example and version; or the recipes of a list.</summary>
internal static class ShowCommand
{
    public static Command Create()
    {
        var recipe = Options.RecipeOrList();
        var folder = Options.RecipesFolder();
        var command = new Command("show", "Shows what a recipe does and which parameters it takes, or what a list runs") { recipe, folder };
        return command.With("recipes show printable-whites", session =>
        {
            string name = session.Parse.GetRequiredValue(recipe);
            string? from = session.Parse.GetValue(folder);
            return ShowRecipe.FindList(name, from) is { } list ? Told(list) : Told(ShowRecipe.Find(session.Shop, name, from));
        });
    }

    private static Outcome Told(ShownList shown)
    {
        var (list, approval) = (shown.List, shown.Approval);
        return new Outcome(new JsonObject { ["list"] = RecipeJson.Of(shown) }, text =>
        {
            text.WriteLine($"{list.Name}: {(list.Title.Length > 0 ? list.Title : "a list of recipes")}");
            text.WriteLine();
            text.WriteLine("It runs, each on what the one before left ('recipes show NAME' tells of each; --set NAME.parameter=value):");
            foreach (var (i, recipe) in list.Recipes.Index())
            {
                text.WriteLine($"{i + 1,4}  {CleanText.Line(string.Join(' ', recipe.Sets.Prepend(recipe.Name)), 1000)}");
            }

            text.WriteLine();
            text.WriteLine($"Example:   recipes dry-run {list.Name} art.png");
            text.WriteLine($"Approval:  {approval.Approval.Words}");
            text.WriteLine($"File:      {list.Path}");
        })
        {
            Problems = [.. Session.Warnings(approval.House)],
        };
    }

    private static Outcome Told(ShownRecipe shown)
    {
        return new Outcome(new JsonObject { ["recipe"] = RecipeJson.Of(shown) }, text => Write(text, shown))
        {
            Problems = [.. Session.Warnings(shown.Approval.House)],
        };
    }

    private static void Write(TextWriter text, ShownRecipe shown)
    {
        var (recipe, spec) = (shown.Recipe, shown.Recipe.Spec);
        text.WriteLine($"{recipe.Source.Name}: {spec.Title}");
        text.WriteLine(spec.Purpose);
        text.WriteLine();
        text.WriteLine(spec.Parameters.Length == 0 ? "It takes no parameters." : "Parameters (--set name=value):");
        foreach (var parameter in spec.Parameters)
        {
            text.WriteLine($"  {parameter.Name}  {ParameterValues.Takes(parameter)} [default: {(parameter.Default.Length == 0 ? "none" : parameter.Default)}]");
            if (parameter.Help.Length > 0)
            {
                text.WriteLine($"      {parameter.Help}");
            }
        }

        text.WriteLine();
        if (string.Join("; ", Expectations.InWords(spec.Expects)) is { Length: > 0 } expects)
        {
            text.WriteLine($"Expects:   {expects}");
        }

        if (spec.RunOnce.Length > 0)
        {
            text.WriteLine($"Run once:  {spec.RunOnce}");
        }

        if (spec.LeavesBare.Length > 0)
        {
            text.WriteLine($"Bares:     {spec.LeavesBare}");
        }

        text.WriteLine($"Example:   {shown.Example}");
        text.WriteLine($"Version:   {spec.Version}, sha256 {recipe.Source.Sha256[..16]}");
        text.WriteLine($"Approval:  {shown.Approval.Approval.Words}");
        text.WriteLine($"File:      {recipe.Source.Path}");
    }
}
