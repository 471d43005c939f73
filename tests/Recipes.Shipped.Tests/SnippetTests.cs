using System.Text.RegularExpressions;
using Recipes.Api;
using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>
/// The examples of docs/snippets.md, compiled and run as they stand there, on art drawn in letters: what each pixel becomes was
/// worked out by hand from what the page says.
/// </summary>
public partial class SnippetTests
{
    private static readonly Rgba8 Ink = new(34, 92, 140), Orange = new(240, 124, 28), NearOrange = new(242, 126, 30), Dust = new(252, 252, 252);

    private static readonly Dictionary<char, Rgba8> Colors = new()
    {
        ['.'] = Rgba8.White, ['-'] = Rgba8.ClearWhite, ['#'] = Ink, ['o'] = Orange, ['n'] = NearOrange, ['d'] = Dust, ['k'] = Rgba8.Black, ['w'] = new(254, 254, 254),
        ['g'] = new(9, 9, 9), ['b'] = new(10, 10, 30), ['h'] = NearOrange.WithAlpha(128), ['l'] = new(0x18, 0x30, 0x5c),
    };

    public static TheoryData<string> Snippets => [.. Directory.EnumerateFiles(Path.Combine(AppContext.BaseDirectory, "snippets")).Select(file => Path.GetFileName(file)).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Snippets))]
    public void Every_snippet_says_what_each_of_its_functions_does_and_has_its_part_of_the_page(string name)
    {
        string text = File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "snippets", name)), part = Part(name);
        string header = string.Join('\n', text.Split('\n').TakeWhile(line => line.StartsWith("// ", StringComparison.Ordinal)));
        string[] functions = [.. Function().Matches(text).Select(match => match.Groups[1].Value)];
        functions.ShouldNotBeEmpty();
        foreach (string function in functions)
        {
            header.ShouldContain($"{function}(");
            part.ShouldContain($"`{function}(");
        }

        Example(name).ShouldContain($"#load \"snippets/{name}\"\n");
        Page.ShouldContain($"| [{Path.GetFileNameWithoutExtension(name)}](#");
    }

    [Fact]
    public void Numbered_takes_the_numbers_and_declines_one_that_is_not_there()
    {
        string[] art = ["...........", ".#########.", ".#.##.##.#.", ".#########.", "..........."];
        Made("numbered.csx", art, Shelf.Light, ("only", "1,3")).ShouldBe(["...........", ".#########.", ".#-##.##-#.", ".#########.", "..........."]);
        Made("numbered.csx", art, Shelf.Light).ShouldBe(["...........", ".#########.", ".#-##-##-#.", ".#########.", "..........."]);
        Should.Throw<Recipes.Problems.ProblemException>(() => Made("numbered.csx", art, Shelf.Light, ("only", "4"))).Message.ShouldContain("no region 4");
    }

    [Fact]
    public void Within_box_takes_what_lies_wholly_inside()
    {
        string[] art = ["...........", ".#########.", ".#..#.##.#.", ".#########.", "..........."];
        Made("within-box.csx", art, Shelf.Light, ("box", "3,1,5,3")).ShouldBe(["...........", ".#########.", ".#..#w##.#.", ".#########.", "..........."]);
        Made("within-box.csx", art, Shelf.Light).ShouldBe(["...........", ".#########.", ".#ww#w##w#.", ".#########.", "..........."]);
    }

    [Fact]
    public void Printing_follows_the_setup()
    {
        string[] art = [".....", ".k#..", "...-."];
        Note("printing.csx", art, Shelf.Light).ShouldBe("Ink lies in the box 1,1,2,1.");
        Note("printing.csx", art, Shelf.Black).ShouldBe("Ink lies in the box 2,1,1,1.");
    }

    [Fact]
    public void Dust_is_what_prints_of_the_background() =>
        Note("dust.csx", ["......", ".dd...", "..####", "..####"], Shelf.Light).ShouldBe("2 pixels of the background would print as dust.");

    [Fact]
    public void Holes_are_enclosed_and_close_at_corners()
    {
        // A ring, a cup that is open at the top, and a ring that meets at corners only; the bottom edge closes nothing.
        string[] art = ["...............", ".###.#.#..#....", ".#.#.#.#.#.#...", ".###.###..#..##", ".............#."];
        Made("holes.csx", art, Shelf.Light).ShouldBe(["...............", ".###.#.#..#....", ".#-#.#.#.#-#...", ".###.###..#..##", ".............#."]);
    }

    [Fact]
    public void An_outer_band_is_as_wide_as_asked_by_Euclid()
    {
        // From one pixel, 2 px reach offsets up to 2 along the axes and 1,1 across: 1,2 is the root of 5 away.
        string[] art = [".......", ".......", ".......", "...#...", ".......", ".......", "......."];
        Made("bands.csx", art, Shelf.Light, ("width", "2px")).ShouldBe([".......", "...l...", "..lll..", ".ll#ll.", "..lll..", "...l...", "......."]);
    }

    [Fact]
    public void An_inner_band_counts_the_edge_of_the_image()
    {
        const string recipe = """
            #load "snippets/bands.csx"
            Recipe.Title("Rim");
            Art.Fill(InnerBand(Art.Find.Like(new Rgba8(34, 92, 140), 1), 1), new Rgba8(240, 124, 28), layer: "rim");
            """;
        Letters(Shelf.RunText(recipe, Drawn(["####..", "####..", "####..", "......"]), Shelf.Light)).ShouldBe(["oooo..", "o##o..", "oooo..", "......"]);
    }

    [Fact]
    public void Thin_finds_the_stroke_and_leaves_the_block()
    {
        string[] art =
        [
            "....................", ".##########.........", ".##########.........", ".##########.........", ".##########.........", ".##########.........",
            ".##########.........", ".##########.........", ".##########.........", "....................", "....................", ".################...", ".################...", "....................",
        ];
        var found = Shelf.RunText(Example("thin.csx"), Drawn(art), Shelf.Light, ("width", "4px")).Run.Reporter.RegionLists.Single().Regions;
        found.Select(region => (region.Box, region.Pixels)).ShouldBe([(new Box(1, 11, 16, 2), 32L)]);
    }

    [Fact]
    public void Snap_makes_the_scattered_color_one_and_leaves_soft_pixels()
    {
        string[] art = ["......", ".onn#.", ".nohg.", "......"];
        var made = Shelf.RunText(Example("snap.csx"), Drawn(art), Shelf.Light);
        Letters(made).ShouldBe(["......", ".ooo#.", ".oohg.", "......"]);
        made.Run.Reporter.Notes.ShouldBe(["3 pixels were near #f07c1c and are exactly that now."]);
        made.ShouldBeClear();
    }

    [Fact]
    public void The_blacks_are_listed_with_those_that_stay()
    {
        var lists = Shelf.RunText(Example("blacks.csx"), Drawn(["kggbb#", "...bb."]), Shelf.Black).Run.Reporter.ColorLists;
        lists[0].Colors.ShouldBe([new ListedColor(Colors['g'], 2), new ListedColor(Rgba8.Black, 1)]);
        lists[1].Colors.ShouldBe([new ListedColor(Colors['b'], 4)]);
    }

    [Fact]
    public void Measures_are_those_of_the_print()
    {
        // 300 px are an inch of 25.4 mm, so 30 px are 2.54 mm; 20 rows of 30 in 40 of 60 are a quarter.
        string[] art = [.. Enumerable.Range(0, 40).Select(y => y is >= 10 and < 30 ? new string('.', 15) + new string('#', 30) + new string('.', 15) : new string('.', 60))];
        Note("measures.csx", art, Shelf.Light).ShouldBe("The ink measures 2.5 x 1.7 mm, 0.8 mm from the top, and covers 25.0% of the art.");
    }

    [Theory]
    [InlineData("NeedsBareWhite", true, true, false)]
    [InlineData("NeedsBareBlack", false, true, false)]
    [InlineData("NeedsLightGarment", true, false, false)]
    [InlineData("NeedsDarkGarment", false, true, true)]
    public void Needs_declines_the_setups_that_lack_it(string need, bool light, bool black, bool opaqueWhite)
    {
        var setups = new[] { Shelf.Light, Shelf.Black, Shelf.Light with { Name = "black-garment-opaque-white", Garment = Rgba8.Black, Ink = new InkRules { WhiteBare = false } } };
        setups.Select(Runs).ShouldBe([light, black, opaqueWhite]);

        bool Runs(GarmentSetup setup)
        {
            try
            {
                Shelf.RunText($"#load \"snippets/needs.csx\"\nRecipe.Title(\"Need\");\n{need}();\n", Drawn(["#"]), setup);
                return true;
            }
            catch (Recipes.Problems.ProblemException e)
            {
                e.Problems[0].Code.ShouldBe(Recipes.Problems.Codes.RecipeDeclined);
                e.Message.ShouldContain(setup.Name);
                return false;
            }
        }
    }

    [Fact]
    public void The_example_of_needs_runs_on_black_and_declines_light()
    {
        Made("needs.csx", ["k#"], Shelf.Black).ShouldBe(["k#"]);
        Should.Throw<Recipes.Problems.ProblemException>(() => Made("needs.csx", ["k#"], Shelf.Light));
    }

    private static readonly string Page = File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "docs", "snippets.md")).ReplaceLineEndings("\n");

    private static string Part(string name) => Page.Split("\n## ").Single(part => part.StartsWith($"snippets/{name}\n", StringComparison.Ordinal));

    private static string Example(string name) => Fence().Match(Part(name)).Groups[1].Value;

    private static string[] Made(string snippet, string[] art, GarmentSetup setup, params (string, string)[] set) => Letters(Shelf.RunText(Example(snippet), Drawn(art), setup, set));

    private static string Note(string snippet, string[] art, GarmentSetup setup) => Shelf.RunText(Example(snippet), Drawn(art), setup).Run.Reporter.Notes.Single();

    private static Plane<Rgba8> Drawn(string[] art) => Plane<Rgba8>.FromContiguous(art[0].Length, art.Length, art.SelectMany(line => line.Select(letter => Colors[letter])).ToArray());

    private static string[] Letters(Outcome made) =>
        [.. made.Pixels.Chunk(made.Before.Width).Select(row => string.Concat(row.Select(pixel => Colors.Single(color => color.Value == pixel).Key)))];

    [GeneratedRegex(@"^static \S+ (\w+)\(", RegexOptions.Multiline)]
    private static partial Regex Function();

    [GeneratedRegex(@"^```csharp\n(.*?)^```$", RegexOptions.Multiline | RegexOptions.Singleline)]
    private static partial Regex Fence();
}
