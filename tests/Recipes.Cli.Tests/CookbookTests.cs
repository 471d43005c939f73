namespace Recipes.Cli.Tests;

/// <summary>The cookbook: each recipe of the page against cases that were worked out by hand.</summary>
public sealed class CookbookTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Every_recipe_of_the_cookbook_does_what_its_cases_expect()
    {
        var recipes = DocsTests.Recipes("docs/cookbook.md");
        recipes.Count.ShouldBeGreaterThanOrEqualTo(12);
        foreach (var (name, text) in recipes)
        {
            shop.Write($"book/{name.ShouldNotBeNull(text)}", text);
        }

        string cases = Path.Combine(Shop.Root, "tests", "Recipes.Cli.Tests", "Cookbook");
        foreach (string file in Directory.EnumerateFiles(cases, "*.json", SearchOption.AllDirectories))
        {
            shop.Write(Path.Combine("book", Path.GetRelativePath(cases, file)), File.ReadAllText(file));
        }

        // One process for all; the shipped recipes, which are on the path too, have a test of their own.
        var tested = shop.Json("test", "--recipes", "book").ShouldExit(0).Json["recipes"]!.AsArray()
            .Where(recipe => ((string)recipe!["file"]!).StartsWith("book", StringComparison.Ordinal))
            .ToDictionary(recipe => (string)recipe!["name"]!, recipe => recipe!["cases"]!.AsArray().Count);
        tested.Keys.ShouldBe(recipes.Select(recipe => Path.GetFileNameWithoutExtension(recipe.Name!)), ignoreOrder: true);
        tested.Keys.ShouldBe(Directory.EnumerateDirectories(cases).Select(folder => Path.GetFileNameWithoutExtension(folder)!), ignoreOrder: true);
        tested.Values.Sum().ShouldBe(Directory.EnumerateFiles(cases, "*.json", SearchOption.AllDirectories).Count());
    }
}
