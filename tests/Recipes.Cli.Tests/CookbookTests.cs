namespace Recipes.Cli.Tests;

/// <summary>The recipes of the cookbook and the shipped ones, each against cases that were worked out by hand.</summary>
public sealed class CookbookTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Every_recipe_of_the_cookbook_and_each_shipped_one_does_what_its_cases_expect()
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

        // One process for all.
        var answer = shop.Json("test", "--recipes", "book").ShouldExit(0).Json;
        ((int)answer["failed"]!).ShouldBe(0);
        var all = answer["recipes"]!.AsArray().ToLookup(recipe => ((string)recipe!["file"]!).StartsWith("book", StringComparison.Ordinal));
        var tested = all[true].ToDictionary(recipe => (string)recipe!["name"]!, recipe => recipe!["cases"]!.AsArray().Count);
        tested.Keys.ShouldBe(recipes.Select(recipe => Path.GetFileNameWithoutExtension(recipe.Name!)), ignoreOrder: true);
        tested.Keys.ShouldBe(Directory.EnumerateDirectories(cases).Select(folder => Path.GetFileNameWithoutExtension(folder)!), ignoreOrder: true);
        tested.Values.Sum().ShouldBe(Cases(cases));

        string shipped = Path.Combine(Shop.Root, "recipes");
        all[false].Select(recipe => (string)recipe!["name"]!)
            .ShouldBe(Directory.EnumerateFiles(shipped, "*.csx").Select(file => Path.GetFileNameWithoutExtension(file)).Order(StringComparer.Ordinal));
        ((int)answer["passed"]!).ShouldBe(Cases(cases) + Cases(shipped));

        static int Cases(string folder) => Directory.EnumerateFiles(folder, "*.json", SearchOption.AllDirectories).Count();
    }
}
