using System.Collections.Immutable;
using System.Text;
using System.Text.RegularExpressions;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Library;

/// <summary>A recipe on the recipe path, by a look at its text: what counts is what the compiled recipe says of itself.</summary>
/// <param name="Name">Its name.</param>
/// <param name="File">Its file.</param>
/// <param name="Title">Its title; empty where its text states none.</param>
public sealed partial record KnownRecipe(string Name, string File, string Title)
{
    internal static KnownRecipe Of(FoundRecipe found) => new(found.Name, found.File, Said(TitleCall(), found.File));

    /// <summary>What a recipe says that it is for, else its title; empty where its text states neither.</summary>
    internal static string PurposeIn(string file) => Said(PurposeCall(), file) is { Length: > 0 } purpose ? purpose : Said(TitleCall(), file);

    private static string Said(Regex call, string file)
    {
        try
        {
            return OutsideFile.Read(file, RecipeSource.Longest) is { } bytes && call.Match(Encoding.UTF8.GetString(bytes)) is { Success: true } match
                ? CleanText.Line(match.Groups[1].Value, 200)
                : "";
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return "(can't be read)";
        }
    }

    [GeneratedRegex("""^\s*Recipe\.Title\("([^"\r\n]*)"\)""", RegexOptions.Multiline | RegexOptions.CultureInvariant)]
    private static partial Regex TitleCall();

    [GeneratedRegex("""^\s*Recipe\.Purpose\("([^"\r\n]*)"\)""", RegexOptions.Multiline | RegexOptions.CultureInvariant)]
    private static partial Regex PurposeCall();
}

/// <summary>The recipes and lists on the recipe path, without compiling any.</summary>
/// <param name="Recipes">The recipes, by name; one in two places is there twice.</param>
/// <param name="Lists">The lists, likewise.</param>
public sealed record KnownRecipes(ImmutableArray<KnownRecipe> Recipes, ImmutableArray<FoundRecipe> Lists)
{
    /// <summary>Looks for them.</summary>
    /// <param name="recipesFolder">A folder of recipes to look in first, or null.</param>
    /// <exception cref="ProblemException">R1001 there is no such folder, or one can't be read.</exception>
    public static KnownRecipes Find(string? recipesFolder) =>
        new([.. RecipePath.All(recipesFolder).Select(KnownRecipe.Of)], [.. RecipePath.Lists(recipesFolder)]);

    /// <summary>True where a recipe of this name lies in two places, so that neither runs by it.</summary>
    public bool IsTwice(string name) => Recipes.Count(recipe => recipe.Name == name) > 1;
}
