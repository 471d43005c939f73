using Recipes.Hosting.Cases;
using Recipes.Hosting.Library;
using Recipes.Hosting.Workers;
using Recipes.Problems;

namespace Recipes.Hosting.Tests;

/// <summary>What a test case's file may hold: anything else is refused with its reason.</summary>
public sealed class RecipeCaseTests : IDisposable
{
    private const string Good = """{ "case": 1, "setup": "light-garment", "set": { "near": "24" }, "colors": { "b": "#101010", "_": "#ffffff00" }, "art": { "rows": ["b_", "_b"], "ppi": 300 }, "expect": { "changed": 0 } }""";
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-case-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void A_good_case_is_read_whole()
    {
        var made = RecipeCase.Read(Write(Good));
        made.Sets.ShouldBe(["near=24"]);
        made.Setup.Name.ShouldBe("light-garment");
        var art = made.ReadArt(WorkerPool.Usual, TestContext.Current.CancellationToken);
        (art.Width, art.Height, art.PixelsPerInch).ShouldBe((2, 2, 300));
        art.Flat[1, 0].ShouldBe(Imaging.Rgba8.ClearWhite);
        art.Flat[1, 1].ShouldBe(new Imaging.Rgba8(16, 16, 16));
    }

    [Theory]
    [InlineData("\"case\": 1", "\"case\": 2", "\"case\": 1")]
    [InlineData("\"case\": 1", "\"case\": \"1\"", "\"case\": 1")]
    [InlineData("\"setup\"", "\"setups\"", "setups")]
    [InlineData("light-garment", "our-own", "\"setup\"")]
    [InlineData("\"case\": 1", "\"case\": 1, \"about\": 7", "\"about\"")]
    [InlineData("\"case\": 1", "\"case\": 1, \"about\": null", "\"about\"")]
    [InlineData("\"case\": 1", "\"case\": 1, \"about\": [\"a belly\"]", "\"about\"")]
    [InlineData("\"24\"", "24", "near")]
    [InlineData("\"b\": \"#101010\"", "\"bb\": \"#101010\"", "colors")]
    [InlineData("#101010", "101010", "colors")]
    [InlineData("#ffffff00", "#ffffffzz", "colors")]
    [InlineData("\"changed\"", "\"change\"", "expect")]
    [InlineData("\"expect\": { \"changed\": 0 }", "\"expect\": 0", "expect")]
    [InlineData("}", "", "JSON")]
    [InlineData("{ \"near\": \"24\" }", "[]", "\"set\"")]
    [InlineData("{ \"b\": \"#101010\", \"_\": \"#ffffff00\" }", "[]", "\"colors\"")]
    [InlineData("{ \"rows\": [\"b_\", \"_b\"], \"ppi\": 300 }", "7", "\"art\"")]
    public void A_malformed_case_is_refused(string part, string instead, string reason)
    {
        var problem = Should.Throw<ProblemException>(() => RecipeCase.Read(Write(Good.Replace(part, instead, StringComparison.Ordinal)))).Problems[0];
        problem.Code.ShouldBe(Codes.BadCase);
        problem.Message.ShouldContain(reason);
    }

    [Theory]
    [InlineData("\"_b\"", "\"_bb\"", "rows")]
    [InlineData("\"_b\"", "\"_x\"", "'x'")]
    [InlineData("[\"b_\", \"_b\"]", "[]", "rows")]
    [InlineData("[\"b_\", \"_b\"]", "[1, 2]", "rows")]
    [InlineData("\"rows\": [\"b_\", \"_b\"]", "\"picture\": \"../x.png\"", "no name of a PNG")]
    [InlineData("\"rows\": [\"b_\", \"_b\"]", "\"picture\": \"/x.png\"", "no name of a PNG")]
    [InlineData("\"rows\": [\"b_\", \"_b\"]", "\"picture\": \"con.png\"", "no name of a PNG")]
    [InlineData("300", "\"300\"", "ppi")]
    [InlineData("300", "0", "ppi")]
    public void Malformed_art_is_refused(string part, string instead, string reason)
    {
        var made = RecipeCase.Read(Write(Good.Replace(part, instead, StringComparison.Ordinal)));
        var problem = Should.Throw<ProblemException>(() => made.ReadArt(WorkerPool.Usual, TestContext.Current.CancellationToken)).Problems[0];
        problem.Code.ShouldBe(Codes.BadCase);
        problem.Message.ShouldContain(reason);
    }

    [Fact]
    public void Only_files_directly_in_the_cases_folders_are_cases()
    {
        foreach (string file in new[] { "sail/cases/a.json", "sail/cases/deep/b.json", "sail/cases/c.png", "sail/sail.cases/d.json", "sail/e.json" })
        {
            Directory.CreateDirectory(Path.GetDirectoryName(Path.Combine(folder, file))!);
            File.WriteAllText(Path.Combine(folder, file), Good);
        }

        RecipeCase.Files(Path.Combine(folder, "sail", "sail.csx")).Select(file => Path.GetRelativePath(folder, file).Replace('\\', '/')).ShouldBe(["sail/cases/a.json", "sail/sail.cases/d.json"]);
        // Two of one name would share their pictures.
        File.WriteAllText(Path.Combine(folder, "sail/sail.cases/a.json"), Good);
        Should.Throw<ProblemException>(() => RecipeCase.Files(Path.Combine(folder, "sail", "sail.csx"))).Problems[0].Code.ShouldBe(Codes.BadCase);
    }

    // What lies beside a recipe may be a stranger's; a link of theirs would bring a file of the user's into what is shown.
    [Fact]
    public void A_case_and_its_picture_are_no_links()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        File.Move(Write(Good), Path.Combine(folder, "elsewhere"));
        string link = Path.Combine(folder, "belly.json");
        File.CreateSymbolicLink(link, Path.Combine(folder, "elsewhere"));
        Should.Throw<ProblemException>(() => RecipeCase.Read(link)).Problems[0].Code.ShouldBe(Codes.BadCase);
        File.Delete(link);
        File.CreateSymbolicLink(Path.Combine(folder, "belly.png"), Path.Combine(folder, "elsewhere"));
        var made = RecipeCase.Read(Write(Good));
        Should.Throw<ProblemException>(() => made.ReadPicture("belly.png", WorkerPool.Usual, TestContext.Current.CancellationToken))
            .Problems[0].Code.ShouldBe(Codes.ArtUnreadable);
    }

    [Theory]
    [InlineData(".")]
    [InlineData("..")]
    public void A_recipe_s_name_leads_out_of_no_folder(string name)
    {
        string file = Path.Combine(folder, name + ".csx");
        File.WriteAllText(file, "Recipe.Title(\"Out\");\n");
        Should.Throw<ProblemException>(() => RecipeSource.Read(name, file)).Problems[0].Code.ShouldBe(Codes.UnreadableRecipe);
    }

    private string Write(string text)
    {
        string path = Path.Combine(folder, "belly.json");
        File.WriteAllText(path, text);
        return path;
    }
}
