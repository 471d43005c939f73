using Recipes.Hosting.Library;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.Sharing;

/// <summary>The text of a recipe list: read as docs/pipelines.md says, or refused at the line.</summary>
public sealed class RecipeListTests : IDisposable
{
    private readonly Bench bench = new();

    public void Dispose() => bench.Dispose();

    [Fact]
    public void A_list_is_read_line_by_line()
    {
        string path = bench.Write("evening.recipes", "recipes-list 1\r\ntitle Evening orders\r\n\r\n# first\r\nclean-background near-art=30  ring=2mm\r\n  pure-black\r\n");
        var list = RecipeList.Read(path);
        (list.Name, list.Title).ShouldBe(("evening", "Evening orders"));
        list.Recipes.Select(recipe => $"{recipe.Name}({string.Join(' ', recipe.Sets)})").ShouldBe(["clean-background(near-art=30 ring=2mm)", "pure-black()"]);
        RecipeList.Find(path, null)!.Sha256.ShouldBe(list.Sha256);
        RecipeList.Find("evening", bench.Folder)!.Name.ShouldBe("evening");
        RecipeList.Find("morning", bench.Folder).ShouldBeNull();
        bench.Write("evening.csx", "Recipe.Title(\"Evening\");");
        Bench.CodeOf(() => RecipeList.Find("evening", bench.Folder)).ShouldBe(Codes.RecipeInTwoPlaces);
        Bench.CodeOf(() => RecipeList.Find("morning.recipes", null)).ShouldBe(Codes.UnknownRecipe);
    }

    [Fact]
    public void A_list_outside_the_recipe_path_means_the_recipes_beside_it()
    {
        bench.Write("shared/a.csx", "Recipe.Title(\"A\");");
        bench.Write("shared/b/b.csx", "Recipe.Title(\"B\");");
        bench.Write("shared/c.csx", "Recipe.Title(\"C\");");
        bench.Write("shared/c/c.csx", "Recipe.Title(\"C too\");");
        string text = "recipes-list 1\na\nb\n";
        foreach (string at in (string[])["shared/evening.recipes", "shared/late/late.recipes"])
        {
            var list = RecipeList.Read(bench.Write(at, text));
            list.Own("a")!.File.ShouldBe(bench.At("shared/a.csx"));
            list.Own("b")!.File.ShouldBe(bench.At("shared/b/b.csx"));
            // Not beside it, or twice beside it: found as always, or refused as always.
            list.Own("pure-black").ShouldBeNull();
            list.Own("c").ShouldBeNull();
        }
    }

    [Theory]
    [InlineData("", 1)]
    [InlineData("recipes-list 2\npure-black\n", 1)]
    [InlineData("recipes-list 1\n", 2)]
    [InlineData("recipes-list 1\npure-black\nclean background\n", 3)]
    [InlineData("recipes-list 1\n../pure-black\n", 2)]
    [InlineData("recipes-list 1\npure-black.csx\n", 2)]
    [InlineData("recipes-list 1\npure-black\npure-black\n", 3)]
    [InlineData("recipes-list 1\npure-black --force\n", 2)]
    [InlineData("recipes-list 1\npure-black\ntitle Late\n", 3)]
    public void A_line_that_isn_t_understood_stops_the_list(string text, int line)
    {
        var problem = Should.Throw<ProblemException>(() => RecipeList.Read(bench.Write("bad.recipes", text))).Problems[0];
        problem.Code.ShouldBe(Codes.BadRecipeList);
        problem.Where!.Line.ShouldBe(line);
    }

    [Fact]
    public void The_house_default_keeps_the_order_of_the_trade()
    {
        // The order is the trade's: fit, clean, halo, whites, black (common practice, no source).
        string[] trade = ["fit-to-platen", "clean-background", "remove-halo", "printable-whites", "pure-black"];
        string root = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(root, "Recipes.sln")))
        {
            root = Path.GetDirectoryName(root)!;
        }

        string[] names = [.. RecipeList.Read(Path.Combine(root, "recipes/house-default.recipes")).Recipes.Select(recipe => recipe.Name)];
        names.ShouldBe(trade.Where(names.Contains));
        names.Length.ShouldBeGreaterThanOrEqualTo(4);
        names.ShouldAllBe(name => File.Exists(Path.Combine(root, $"recipes/{name}.csx")));
    }
}
