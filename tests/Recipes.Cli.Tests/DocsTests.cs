using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli.Tests;

/// <summary>The documentation against the real program: its recipes run, its commands work, its tables agree, its links lead somewhere.</summary>
public sealed partial class DocsTests : IDisposable
{
    private readonly Shop shop = new();

    public static TheoryData<string> RecipePages => [.. Directory.EnumerateFiles(InRoot("docs/recipes"), "*.md").Select(page => Path.GetFileNameWithoutExtension(page)!).Order(StringComparer.Ordinal)];

    public static TheoryData<string> PagesWithRecipes => ["README.md", "docs/guide.md", .. RecipePages.Select(row => $"docs/recipes/{row.Data}.md")];

    public void Dispose() => shop.Dispose();

    // What is trusted in the host is pinned: the page names what the lock file holds.
    [Theory]
    [InlineData("SQLitePCLRaw.lib.e_sqlite3")]
    [InlineData("Microsoft.Data.Sqlite")]
    public void The_security_page_names_the_versions_that_are_trusted(string package)
    {
        var locked = JsonNode.Parse(Read("src/Recipes.Hosting/packages.lock.json"))!["dependencies"]!.AsObject().First().Value!;
        string version = (string)locked[package]!["resolved"]!;
        Read("docs/design/security.md").ShouldContain($"{package} {version}");
    }

    [Fact]
    public void Every_code_has_a_page_and_every_page_a_code()
    {
        string[] pages = [.. Directory.EnumerateFiles(InRoot("docs/problems")).Select(page => Path.GetFileName(page)!).Order(StringComparer.Ordinal)];
        pages.ShouldBe(Codes.All.Select(code => $"{code.Id}.md"));
        foreach (var code in Codes.All)
        {
            string page = Read($"docs/problems/{code.Id}.md");
            page.ShouldStartWith($"# {code.Id}: {code.Title}\n\nExit code {(int)code.Exit}.\n");
            foreach (string part in new[] { "**What happened.** ", "**Why.** ", "**What to do.** ", "```text\n" })
            {
                page.ShouldContain(part, Case.Sensitive, code.Id);
            }
        }
    }

    [Theory]
    [MemberData(nameof(PagesWithRecipes))]
    public void Every_recipe_in_the_documentation_runs(string page)
    {
        Picture.WriteRing(shop.At("art.png"));
        int number = 0;
        foreach (var (name, text) in Recipes(page))
        {
            string file = name ?? $"recipe-{++number}.csx";
            shop.Write(file, text);
            if (!file.StartsWith("snippets/", StringComparison.Ordinal))
            {
                shop.Json("dry-run", file, "art.png", "--setup", "light-garment").ShouldExit(0);
            }
        }
    }

    [Fact]
    public void The_pages_that_teach_recipes_hold_some()
    {
        Recipes("README.md").Count.ShouldBe(1);
        Recipes("docs/guide.md").Count.ShouldBeGreaterThanOrEqualTo(4);
    }

    [Fact]
    public void The_readme_shows_the_shipped_recipe() =>
        Recipes("README.md").Single().Text.ShouldBe(Read("recipes/printable-whites.csx"));

    [Fact]
    public void The_two_forms_of_the_first_recipe_change_the_same_pixels_in_under_ten_lines()
    {
        Picture.WriteRing(shop.At("art.png"));
        foreach (string file in new[] { "white.csx", "white-pixels.csx" })
        {
            string text = Recipes("docs/guide.md").Single(recipe => recipe.Name == file).Text;
            text.TrimEnd().Split('\n').Length.ShouldBeLessThan(10);
            var changed = shop.Json("dry-run", shop.Write(file, text), "art.png", "--setup", "light-garment").ShouldExit(0).Json["changed"]!;
            // A side of 40 with a ring from 8 to 12 leaves 16 x 16 px inside.
            ((long)changed["pixels"]!).ShouldBe(16 * 16);
            ((int)changed["maxDelta"]!).ShouldBe(1);
        }
    }

    [Theory]
    [InlineData("README.md")]
    [InlineData("docs/guide.md")]
    [InlineData("docs/editor.md")]
    [InlineData("docs/test-prints.md")]
    [InlineData("docs/ticket.md")]
    [InlineData("docs/prints.md")]
    [InlineData("docs/journal.md")]
    [InlineData("docs/orders.md")]
    [InlineData("docs/carry-over.md")]
    public void The_commands_of_a_walk_work_in_order(string page)
    {
        foreach (var (name, text) in Recipes(page).Where(recipe => recipe.Name is not null))
        {
            shop.Write(name!, text);
        }

        foreach (string orders in Fences(page, "csv"))
        {
            shop.Write("orders.csv", orders);
        }

        int ran = 0;
        foreach (string line in Fences(page, "sh").SelectMany(fence => fence.Split('\n', StringSplitOptions.RemoveEmptyEntries)))
        {
            string[] words = [.. Word().Matches(line).Select(word => word.Value.Trim('"'))];
            switch (words)
            {
                case ["recipes", .. var args]:
                    shop.Run(args).ShouldExit(0);
                    ran++;
                    break;
                case ["dotnet", "run", .. var run]:
                    // What it does is what the published program did a few lines above.
                    run[^2..].ShouldBe(["--", "demo"]);
                    break;
                case ["cp", var from, var to]:
                    File.Copy(shop.At(from), shop.At(to));
                    break;
                default:
                    (words is ["dotnet", "test", ..] or ["dotnet", "publish", ..] or ["alias", ..]).ShouldBeTrue($"{page}: {line}");
                    break;
            }
        }

        ran.ShouldBeGreaterThanOrEqualTo(page is "README.md" or "docs/guide.md" ? 6 : 3);
        if (page == "README.md")
        {
            ThePictureShouldBeTheDemos();
        }
    }

    // The pages are made again by docs/images/make. Pictures are compared by pixels: how well they are packed is the runtime's business.
    [Fact]
    public void The_recipes_pages_are_what_the_recipes_say()
    {
        shop.Json("docs", "recipes", "-o", "pages").ShouldExit(0).Json["pages"]!.AsArray().Select(page => (string)page!["recipe"]!).ShouldBe(RecipePages.Select(row => row.Data));
        string committed = InRoot("docs/recipes");
        string[] files = [.. Files(shop.At("pages"))];
        files.ShouldBe(Files(committed));
        foreach (string file in files)
        {
            if (file.EndsWith(".md", StringComparison.Ordinal))
            {
                File.ReadAllText(Path.Combine(shop.At("pages"), file)).ShouldBe(Read($"docs/recipes/{file}"), "run docs/images/make");
                continue;
            }

            var (made, known) = (Picture.Read(Path.Combine(shop.At("pages"), file)), Picture.Read(Path.Combine(committed, file)));
            (made.Width, made.Height).ShouldBe((known.Width, known.Height), file);
            made.Pixels.AsSpan().SequenceEqual(known.Pixels).ShouldBeTrue($"{file}: run docs/images/make");
        }

        files.Where(file => file.EndsWith("-diff.png", StringComparison.Ordinal)).Count().ShouldBeGreaterThanOrEqualTo(8);
        files.Sum(file => new FileInfo(Path.Combine(committed, file)).Length).ShouldBeLessThan(1_000_000, "the repository stays lean");

        // Its own pages it replaces, with the same bytes; what somebody else wrote it leaves alone.
        var first = shop.Snapshot();
        shop.Run("docs", "recipes", "print-black", "-o", "pages").ShouldExit(0);
        shop.Snapshot().ShouldBe(first);
        shop.Write("mine/print-black.md", "My own notes.");
        shop.Json("docs", "recipes", "print-black", "-o", "mine").ShouldFail(9, "R8001");
        Directory.GetFileSystemEntries(shop.At("mine")).Length.ShouldBe(1);

        static IEnumerable<string> Files(string folder) => Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories).Select(file => Path.GetRelativePath(folder, file)).Order(StringComparer.Ordinal);
    }

    // A page's run reads no file, so that it says of the art what reading the demo's file says.
    [Fact]
    public void A_page_names_the_art_as_the_program_does()
    {
        shop.LayDemo();
        foreach (var (page, art) in new[] { ("swap-color", "puffin.png"), ("white-underbase", "puffin-cut.png") })
        {
            string says = shop.Run("check", $"recipes-demo/{art}", "--setup", "light-garment").ShouldExit(0).Out.Split('\n').Single(line => line.StartsWith("  art  ", StringComparison.Ordinal));
            Read($"docs/recipes/{page}.md").ShouldContain($" on {art}: ");
            Read($"docs/recipes/{page}.md").ShouldContain($"\n{says}\n");
        }
    }

    [Fact]
    public void A_page_shows_a_strangers_words_as_words_and_opens_no_file_of_its_example()
    {
        shop.Write("secret.json", "not for a page");
        string recipe = shop.Write("odd.csx", """
            Recipe.Title("A <b>bold</b> | title");
            Recipe.Purpose("Loads [a link](elsewhere) and `code`.");
            Recipe.Example("recipes dry-run odd puffin.png --set to=secret.json");
            var to = Param.Color("to", "", help: "pipes | and stars *");
            Art.Fill(Art.Find.PureBlack(), to, layer: "odd");
            """);
        shop.Write("odd.md", "## By hand\n\nWhat the author says.\n");
        shop.Json("docs", "recipes", recipe, "-o", "pages").ShouldExit(0);
        string page = File.ReadAllText(shop.At("pages/odd.md"));
        page.ShouldContain(@"**A \<b\>bold\</b\> \| title.** Loads \[a link\](elsewhere) and \`code\`.");
        page.ShouldContain(@"| pipes \| and stars \* |");
        page.ShouldContain("takes a color from a file");
        page.ShouldNotContain("not for a page");
        page.ShouldEndWith("\n## By hand\n\nWhat the author says.\n");
        Directory.GetFiles(shop.At("pages"), "*.png", SearchOption.AllDirectories).ShouldBeEmpty();

        // Nor one that a link beside the recipe leads to.
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        File.Delete(shop.At("odd.md"));
        File.CreateSymbolicLink(shop.At("odd.md"), shop.At("secret.json"));
        shop.Json("docs", "recipes", recipe, "-o", "pages").ShouldFail(4, "R2008").Out.ShouldContain("is a link");
        File.ReadAllText(shop.At("pages/odd.md")).ShouldBe(page);
    }

    [Fact]
    public void Every_shipped_recipe_has_a_page() =>
        RecipePages.Select(row => row.Data).ShouldBe(Directory.EnumerateFiles(InRoot("recipes"), "*.csx").Select(file => Path.GetFileNameWithoutExtension(file)!).Order(StringComparer.Ordinal));

    [Fact]
    public void The_setups_page_lists_the_fields_that_a_setup_has()
    {
        var setup = shop.Json("setups", "show", "light-garment").ShouldExit(0).Json["setup"]!.AsObject();
        string[] fields = [.. setup.SelectMany(field => field.Value is JsonObject inner ? inner.Select(part => $"{field.Key}.{part.Key}") : [field.Key])];
        Rows("docs/setups.md").Select(row => row[0].Trim('`')).Where(field => fields.Contains(field)).ShouldBe(fields);

        // A setup of nothing but the platen has every default.
        shop.Write("bare.json", """{ "platen": { "width": 14, "height": 16 } }""");
        var bare = shop.Json("setups", "show", "bare.json").ShouldExit(0).Json["setup"]!;
        foreach (string[] row in Rows("docs/setups.md").Where(row => row.Length == 4 && row[3].StartsWith('`')))
        {
            JsonNode? value = bare;
            foreach (string part in row[0].Trim('`').Split('.'))
            {
                value = value?[part];
            }

            value.ShouldNotBeNull(row[0]).ToString().ShouldBe(row[3].Trim('`'), row[0]);
        }
    }

    [Fact]
    public void The_example_of_a_setup_is_complete_and_is_read_as_it_stands()
    {
        string example = Fences("docs/setups.md", "json").Single();
        var shown = shop.Json("setups", "show", shop.Write("example.json", example)).ShouldExit(0).Json["setup"];
        JsonNode.DeepEquals(shown, JsonNode.Parse(example)).ShouldBeTrue($"{shown}");
    }

    [Fact]
    public void The_example_of_a_test_garment_is_taken_as_it_stands()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Write("tee-3.json", Fences("docs/test-prints.md", "json").Single());
        ((string)shop.Json("gang", "ring.png", "-o", "tests.png", "--setup", "light-garment", "--test-garment", "tee-3.json").ShouldExit(0).Json["tests"]![0]!["id"]!).ShouldBe("tee-3-2");
    }

    [Fact]
    public void The_readme_names_the_guardrails_and_their_defaults() =>
        Rows("README.md").Where(row => row is [_, _, "protect" or "refuse"]).Select(row => (row[0].Trim('`'), row[2]))
            .ShouldBe(Guardrails.Names.Select(name => (name, Guardrails.Default[name] == GuardPolicy.Protect ? "protect" : "refuse")));

    [Fact]
    public void The_readme_names_the_shipped_setups() =>
        Rows("README.md").Where(row => row[0].Contains("-garment", StringComparison.Ordinal)).Select(row => row[0].Trim('`')).Order(StringComparer.Ordinal)
            .ShouldBe(shop.Json("setups").ShouldExit(0).Json["setups"]!.AsArray().Select(setup => (string)setup!["name"]!));

    [Fact]
    public void The_readme_keeps_its_three_commands_and_its_length()
    {
        string[] lines = Read("README.md").Split('\n');
        lines.Count(line => line.StartsWith("dotnet ", StringComparison.Ordinal)).ShouldBe(3);
        // As the contract lays the program out.
        lines.ShouldContain("dotnet publish src/Recipes.Cli -c Release -o recipes-program");
        lines.ShouldContain("dotnet run --project src/Recipes.Cli -c Release -- demo");
        lines.ShouldContain("dotnet test -c Release");
        lines.Length.ShouldBeLessThan(200);
    }

    [Fact]
    public void The_guide_lists_every_member_that_recipes_see()
    {
        string[] listed = ["World", "ArtCursor", "Finder", "Parameters", "Declarations", "Reporter", "Region", "Islands", "Island", "GarmentSetup", "InkRules"];
        string guide = Read("docs/guide.md");
        string? type = null;
        int members = 0;
        foreach (string line in Read("src/Recipes.Checking/allow-list.txt").Split('\n'))
        {
            if (line.StartsWith("type ", StringComparison.Ordinal))
            {
                type = line[5..].StartsWith("Recipes.", StringComparison.Ordinal) ? line.Split('.')[^1] : null;
            }
            else if (listed.Contains(type) && Member().Match(line) is { Success: true } match)
            {
                Regex.IsMatch(guide, $@"\b{match.Groups[1].Value}\b").ShouldBeTrue($"{type}.{match.Groups[1].Value}");
                members++;
            }
        }

        members.ShouldBeGreaterThan(50);
    }

    [Fact]
    public void Links_lead_somewhere()
    {
        int links = 0;
        foreach (string page in Directory.EnumerateFiles(InRoot("docs"), "*.md", SearchOption.AllDirectories).Append(InRoot("README.md")).Append(InRoot("DEVELOPERS.md")))
        {
            foreach (Match link in Link().Matches(File.ReadAllText(page)))
            {
                string[] target = link.Groups[1].Value.Split('#');
                if (target[0].Contains("://", StringComparison.Ordinal))
                {
                    continue;
                }

                string path = target[0].Length == 0 ? page : Path.GetFullPath(target[0], Path.GetDirectoryName(page)!);
                (File.Exists(path) || Directory.Exists(path)).ShouldBeTrue($"{page}: {link.Value}");
                if (target.Length > 1)
                {
                    Heading().Matches(File.ReadAllText(path)).Select(heading => Anchor(heading.Groups[1].Value)).ShouldContain(target[1], $"{page}: {link.Value}");
                }

                links++;
            }
        }

        links.ShouldBeGreaterThan(30);

        static string Anchor(string heading) => NotInAnchors().Replace(heading.ToLowerInvariant(), "").Replace(' ', '-');
    }

    // The picture is made again by docs/images/make.
    private void ThePictureShouldBeTheDemos()
    {
        var (width, height, pixels) = Picture.Read(InRoot("docs/images/puffin-diff.png"));
        var demo = Picture.Read(shop.At("recipes-demo/puffin.png.dry-run/diff.png"));
        (width, height).ShouldBe((demo.Width, demo.Height));
        pixels.AsSpan().SequenceEqual(demo.Pixels).ShouldBeTrue("docs/images/puffin-diff.png is not what the demo draws.");
    }

    private static string InRoot(string path) => Path.Combine(Shop.Root, path);

    private static string Read(string path) => File.ReadAllText(InRoot(path)).ReplaceLineEndings("\n");

    internal static IEnumerable<(string Language, string Text)> Fences(string page) =>
        Fence().Matches(Read(page)).Select(fence => (fence.Groups[1].Value, fence.Groups[2].Value));

    private static IEnumerable<string> Fences(string page, string language) => Fences(page).Where(fence => fence.Language == language).Select(fence => fence.Text);

    // A fence whose first line is "// NAME.csx" is that file; others have no name.
    internal static List<(string? Name, string Text)> Recipes(string page) =>
        [.. Fences(page, "csharp").Select(text => (FileOf(text), text))];

    internal static string? FileOf(string text) => FileName().Match(text) is { Success: true } match ? match.Groups[1].Value : null;

    // The cells of all tables, heads left out.
    private static List<string[]> Rows(string page)
    {
        string[] lines = Read(page).Split('\n');
        return [.. lines.Where((line, i) => line.StartsWith("| ", StringComparison.Ordinal) && !(i + 1 < lines.Length && lines[i + 1].StartsWith("|-", StringComparison.Ordinal)))
            .Select(line => line.Trim('|').Split('|').Select(cell => cell.Trim()).ToArray())];
    }

    [GeneratedRegex(@"^```(\w+)\n(.*?)^```$", RegexOptions.Multiline | RegexOptions.Singleline)]
    private static partial Regex Fence();

    // As a shell splits a line that quotes whole words only.
    [GeneratedRegex(@"""[^""]*""|\S+")]
    private static partial Regex Word();

    [GeneratedRegex(@"\A// (\S+\.csx)\n")]
    private static partial Regex FileName();

    [GeneratedRegex(@"\]\(([^)\s]+)\)")]
    private static partial Regex Link();

    [GeneratedRegex("^#+ (.+)$", RegexOptions.Multiline)]
    private static partial Regex Heading();

    [GeneratedRegex("[^a-z0-9 -]")]
    private static partial Regex NotInAnchors();

    // Indexers and enumerators are written [index] and foreach.
    [GeneratedRegex(@"^  (?:get_)?(?!Item\(|GetEnumerator|ToString|op_|Equals|Deconstruct)([A-Z]\w+)")]
    private static partial Regex Member();
}
