using System.CommandLine;
using System.CommandLine.Completions;
using System.Text.RegularExpressions;
using Recipes.Hosting.Library;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Cli;

/// <summary>
/// Words for completion. Nothing is compiled for them: a recipe's parameters are found by a look at its text, and what
/// counts is the compiled recipe's. A completion never fails, it only offers less.
/// </summary>
internal static partial class Names
{
    public static IEnumerable<CompletionItem> Recipes(CompletionContext context) => Items(() => RecipePath.All(Folder(context)).Select(recipe => recipe.Name));

    public static IEnumerable<CompletionItem> RecipesAndLists(CompletionContext context) =>
        Items(() => RecipePath.All(Folder(context)).Concat(RecipePath.Lists(Folder(context))).Select(recipe => recipe.Name));

    /// <summary>True for the name or the file of a recipe or a list, which somebody typed where a command belongs.</summary>
    public static bool IsRecipe(string typed) =>
        (Path.GetExtension(typed) is ".csx" or RecipeList.Ending && File.Exists(typed))
        || Items(() => RecipePath.All(null).Concat(RecipePath.Lists(null)).Select(recipe => recipe.Name)).Any(item => item.Label == typed);

    public static IEnumerable<CompletionItem> Setups(CompletionContext context) => Items(() => SetupStore.All().Keys);

    public static IEnumerable<CompletionItem> Garments(CompletionContext context) => Items(() => GarmentStock.All().Keys);

    public static IEnumerable<CompletionItem> Causes(CompletionContext context) => Items(() => PrintCauses.All().Select(cause => cause.Name));

    /// <summary>For <c>--set</c>: <c>name=</c>, and after that what the parameter takes, where that is a few words, or its default.</summary>
    public static IEnumerable<CompletionItem> Parameters(CompletionContext context) => Items(() =>
    {
        string? folder = Folder(context);
        if (context.ParseResult.CommandResult.Command.Arguments.FirstOrDefault(argument => argument.Name == "RECIPE") is not Argument<string> argument
            || context.ParseResult.GetValue(argument) is not { } recipe)
        {
            return [];
        }

        var parameters = RecipeList.Find(recipe, folder) is { } list
            ? list.Recipes.SelectMany(listed => ParametersOf(listed.Name, folder ?? Path.GetDirectoryName(Path.GetFullPath(list.Path)))
                .Select(parameter => parameter with { Name = $"{listed.Name}.{parameter.Name}" }))
            : ParametersOf(recipe, folder);
        return context.WordToComplete.Contains('=', StringComparison.Ordinal)
            ? parameters.SelectMany(parameter => parameter.Values.Select(value => $"{parameter.Name}={value}"))
            : parameters.Select(parameter => $"{parameter.Name}=");
    });

    private static IEnumerable<(string Name, string[] Values)> ParametersOf(string recipe, string? folder)
    {
        var (name, file) = RecipePath.Find(recipe, folder);
        var source = RecipeSource.Read(name, file);
        string text = string.Join('\n', source.Loads.Select(load => load.Text).Prepend(source.Text).SelectMany(text => text.Split('\n'))
            .Where(line => !line.TrimStart().StartsWith("//", StringComparison.Ordinal)));
        return ParameterCall().Matches(text).Select(call => (call.Groups["name"].Value, Values(call)));
    }

    private static string[] Values(Match call) => call.Groups["type"].Value switch
    {
        "Flag" => ["true", "false"],
        "OptionalLength" or "Box" => ["auto"],
        "Choice" => [.. call.Groups["choice"].Captures.Select(choice => choice.Value)],
        _ => call.Groups["default"].Value is { Length: > 0 } value ? [value] : [],
    };

    private static string? Folder(CompletionContext context) =>
        context.ParseResult.CommandResult.Command.Options.FirstOrDefault(option => option.Name == "--recipes") is Option<string?> option
            ? context.ParseResult.GetValue(option) : null;

    private static IEnumerable<CompletionItem> Items(Func<IEnumerable<string>> names)
    {
        try
        {
            return [.. names().Distinct().Select(name => new CompletionItem(CleanText.OneLine(name)))];
        }
        catch (Exception e) when (e is ProblemException or IOException or UnauthorizedAccessException)
        {
            return [];
        }
    }

    // The type, the name, and then a list of words, a text or a number; anything else is left to the compiler.
    [GeneratedRegex("""\bParam\s*\.\s*(?<type>[A-Za-z]+)\(\s*"(?<name>[a-z][a-z0-9-]*)"(?:\s*,\s*(?:\[(?:\s*"(?<choice>[^"\\\r\n]*)"\s*,?)*\]|"(?<default>[^"\\\r\n]*)"|(?<default>-?[0-9]+(?:\.[0-9]+)?)))?""", RegexOptions.CultureInvariant)]
    private static partial Regex ParameterCall();
}
