using System.Diagnostics;

namespace Recipes.Cli.Tests;

/// <summary><c>new</c>: what it makes runs, passes its test, and builds as a project that sees only what recipes may use.</summary>
public sealed class NewCommandTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_new_recipe_passes_its_test_and_its_project_builds_with_snippets_and_tells_errors_at_the_recipes_own_lines()
    {
        shop.Json("new", "sail-check").ShouldExit(0);
        string recipe = shop.At("sail-check/sail-check.csx"), text = File.ReadAllText(recipe);
        ((int)shop.Json("test", "sail-check/sail-check.csx").ShouldExit(0).Json["passed"]!).ShouldBe(1);

        // A shipped snippet, and one of its own that loads another of its own.
        shop.Write("sail-check/snippets/rim.csx", "#load \"snippets/width.csx\"\nstatic Region Rim(Region of) => of.Spread(Width()).Except(of);\n");
        shop.Write("sail-check/snippets/width.csx", "static double Width() => 2;\n");
        string loads = "#load \"snippets/numbered.csx\"\n#load \"snippets/rim.csx\"\n";
        string uses = "Report.Note($\"{Numbered(white.Islands(), [], []).Count} {Rim(white).Count}\");\n";
        File.WriteAllText(recipe, loads + text + uses);
        shop.Json("test", "sail-check/sail-check.csx").ShouldExit(0);
        var built = Build();
        built.Exit.ShouldBe(0, built.Out);

        // The same error at the same place from both, each in its own words.
        File.WriteAllText(recipe, loads + text + uses + "var now = DateTime.Now;\n");
        int line = (loads + text + uses).Split('\n').Length;
        Build().Out.ShouldContain($"sail-check.csx({line},11): error CS0122");
        shop.Run("test", "sail-check/sail-check.csx").ShouldExit(4).Err.ShouldContain($"sail-check.csx({line},");
        File.WriteAllText(recipe, "#load \"snippets/none.csx\"\n" + text);
        Build().Out.ShouldContain("error R2007");

        // Another machine has the recipe without the editor's files.
        File.WriteAllText(recipe, text);
        Directory.Delete(shop.At("sail-check/.editor"), recursive: true);
        Build().Out.ShouldContain("recipes new sail-check --editor");
        shop.Json("new", "sail-check", "--editor").ShouldExit(0);
        Build().Exit.ShouldBe(0);
        File.ReadAllText(recipe).ShouldBe(text);
    }

    [Fact]
    public void It_takes_the_place_of_nothing()
    {
        shop.Write("sail-check/mine.txt", "mine");
        var before = shop.Snapshot();
        shop.Json("new", "sail-check").ShouldFail(9, "R8001");
        shop.Json("new", "../sail").ShouldFail(2, "R1001");
        shop.Snapshot().ShouldBe(before);
    }

    private Answer Build()
    {
        // What 'dotnet test' tells its own tests about its build would mislead another.
        using var process = shop.StartWith("/usr/bin/env", [.. Environment.GetEnvironmentVariables().Keys.Cast<string>().Where(name => name.StartsWith("MSBUILD", StringComparison.OrdinalIgnoreCase)).SelectMany(name => new[] { "-u", name }),
            Shop.Dotnet, "build", "sail-check", "-nodeReuse:false", "-p:UseSharedCompilation=false", "--nologo", "-v:q", "-noAutoResponse"]);
        return Shop.End(process);
    }
}
