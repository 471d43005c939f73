using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Problems;

namespace Recipes.Hosting.Tests;

/// <summary>A recipe loads from its own folder or a snippets folder, and from nowhere else. The rule is the design's: see docs/design.md.</summary>
public sealed class SnippetBoundsTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-snippets").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Theory]
    [InlineData("/etc/hostname.csx")]
    [InlineData("../beside.csx")]
    [InlineData("snippets/../../beside.csx")]
    [InlineData("./own.csx")]
    [InlineData("snippets//own.csx")]
    [InlineData("..\\beside.csx")]
    [InlineData("C:/beside.csx")]
    [InlineData("own.txt")]
    [InlineData("con.csx")]
    [InlineData("snippets/NUL.csx")]
    [InlineData("snippets/com1.whites.csx")]
    [InlineData("lpt9/whites.csx")]
    [InlineData("snippets/aux .csx")]
    public void A_name_that_could_lead_out_is_refused(string name) => Refused(name).ShouldContain("can't be loaded");

    // Windows' reserved names, as its documentation of file names lists them (from memory).
    [Theory]
    [InlineData("con", false)]
    [InlineData("prn", false)]
    [InlineData("aux", false)]
    [InlineData("nul", false)]
    [InlineData("com1", false)]
    [InlineData("lpt9", false)]
    [InlineData("console", true)]
    [InlineData("com10", true)]
    [InlineData("whites", true)]
    public void Recipes_setups_and_keys_take_no_device_name(string name, bool fits) => PlainName.IsOfFile(name).ShouldBe(fits);

    [Fact]
    public void A_link_out_of_the_recipes_folder_is_refused()
    {
        string outside = Path.Combine(folder, "outside.csx");
        File.WriteAllText(outside, "static int Seven() => 7;");
        Directory.CreateDirectory(Path.Combine(folder, "own"));
        File.CreateSymbolicLink(Path.Combine(folder, "own", "link.csx"), outside);
        Refused("link.csx").ShouldContain("leads out");
    }

    [Fact]
    public void A_link_from_the_shared_snippets_to_what_lies_beside_them_is_refused()
    {
        string share = Path.Combine(AppContext.BaseDirectory, "share"), stem = Path.GetFileName(folder);
        Directory.CreateDirectory(Path.Combine(share, "snippets"));
        string beside = Path.Combine(share, $"{stem}.csx"), link = Path.Combine(share, "snippets", $"{stem}.csx");
        File.WriteAllText(beside, "static int Seven() => 7;");
        File.CreateSymbolicLink(link, beside);
        try
        {
            Refused($"snippets/{stem}.csx").ShouldContain("leads out");
            File.Delete(link);
            File.Move(beside, link);
            Read($"snippets/{stem}.csx").Loads.ShouldHaveSingleItem().Text.ShouldBe("static int Seven() => 7;");
        }
        finally
        {
            File.Delete(link);
            File.Delete(beside);
        }
    }

    [Fact]
    public void A_changed_snippet_changes_the_hash()
    {
        string snippets = Path.Combine(folder, "own", "snippets");
        Directory.CreateDirectory(snippets);
        File.WriteAllText(Path.Combine(snippets, "one.csx"), "static int One() => 1;");
        string before = Read("snippets/one.csx").Sha256;
        File.WriteAllText(Path.Combine(snippets, "one.csx"), "static int One() => 2;");
        Read("snippets/one.csx").Sha256.ShouldNotBe(before);
    }

    private string Refused(string name)
    {
        var problem = Should.Throw<ProblemException>(() => Read(name));
        problem.Problems[0].Code.ShouldBe(Codes.BadSnippet);
        return problem.Message;
    }

    private RecipeSource Read(string name)
    {
        string own = Directory.CreateDirectory(Path.Combine(folder, "own")).FullName, recipe = Path.Combine(own, "recipe.csx");
        File.WriteAllText(recipe, $"#load \"{name}\"\nRecipe.Title(\"Load\");\n");
        return RecipeSource.Read("recipe", recipe);
    }
}
