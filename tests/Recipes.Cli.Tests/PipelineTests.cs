using System.Text.Json.Nodes;
using System.Xml.Linq;

namespace Recipes.Cli.Tests;

/// <summary>A list of recipes is tried, kept and undone as one, or kept recipe by recipe.</summary>
public sealed class PipelineTests : IDisposable
{
    private readonly Shop shop = new();

    public PipelineTests()
    {
        Picture.WriteRing(shop.At("ring.png"));
        // A platen of 300 x 300 px.
        shop.Write("small.json", """{ "name": "small", "platen": { "width": 1, "height": 1 } }""");
    }

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_list_gives_what_its_recipes_give_one_after_the_other()
    {
        string[] size = ["--set", "fit-to-platen.width=40px"];
        shop.Json(["dry-run", "house-default", "ring.png", "--setup", "small.json", .. size]).ShouldExit(0);
        string[] folders = [.. Directory.GetDirectories(shop.At("ring.png.dry-run/steps"))
            .Select(path => Path.GetFileName(path)!).Order(StringComparer.Ordinal)];
        folders.ShouldBe(["1-fit-to-platen", "2-clean-background", "3-remove-halo", "4-printable-whites", "5-pure-black"]);
        // A step's page says where it began, and the whole's leads to each of them.
        (Says("steps/1-fit-to-platen"), Says("steps/2-clean-background")).ShouldBe(("from the original", "from what fit-to-platen left"));
        XDocument.Load(shop.At("ring.png.dry-run/report.html")).Descendants("a")
            .Select(link => (string?)link.Attribute("href")).Where(href => href?.StartsWith("./steps/", StringComparison.Ordinal) == true)
            .ShouldBe(folders.Select(folder => $"./steps/{folder}/report.html"));
        // The same recipes, each kept by itself on a copy of the art.
        File.Copy(shop.At("ring.png"), shop.At("copy.png"));
        foreach (string recipe in folders.Select(folder => folder[2..]))
        {
            shop.Json(["commit", recipe, "copy.png", "--setup", "small.json", .. recipe == "fit-to-platen" ? ["--set", "width=40px"] : Array.Empty<string>()]).ShouldExit(0);
        }

        shop.Json("export", "copy.png", "-o", "copy-out.png").ShouldExit(0);
        var expected = Picture.Read(shop.At("copy-out.png")).Pixels;
        Picture.Read(shop.At("ring.png.dry-run/after.png")).Pixels.ShouldBe(expected);
        Picture.Read(shop.At("ring.png.dry-run/steps/5-pure-black/after.png")).Pixels.ShouldBe(expected);

        ((int)shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldExit(0).Json["step"]!).ShouldBe(1);
        shop.Json("export", "ring.png", "-o", "out.png").ShouldExit(0);
        Picture.Read(shop.At("out.png")).Pixels.ShouldBe(expected);
        ((int)shop.Json("undo", "ring.png").ShouldExit(0).Json["step"]!).ShouldBe(0);
        // A dry run that was kept by steps is computed again and compared.
        shop.Json(["dry-run", "house-default", "ring.png", .. size]).ShouldExit(0);
        ((int)shop.Json("commit", "--dry-run", "ring.png.dry-run", "--steps").ShouldExit(0).Json["step"]!).ShouldBeGreaterThan(1);

        string Says(string step) => XDocument.Load(shop.At($"ring.png.dry-run/{step}/report.html"))
            .Descendants("header").Single().Elements("p").ElementAt(1).Value.Split(", ")[^1];
    }

    [Fact]
    public void A_recipe_of_a_list_that_declines_advises_what_works_there_and_leaves_no_folder()
    {
        var before = shop.Snapshot();
        var declined = shop.Json("dry-run", "house-default", "ring.png", "--setup", "light-garment").ShouldFail(5, "R4002").Json["problems"]![0]!;
        shop.Snapshot().ShouldBe(before);
        Directory.Exists(shop.At("ring.png.dry-run")).ShouldBeFalse();
        ((string)declined["message"]!).ShouldStartWith("fit-to-platen: ");
        ((string)declined["message"]!).ShouldContain("--set fit-to-platen.allow-low-resolution=true");
        string advised = System.Text.RegularExpressions.Regex.Match((string)declined["message"]!, "--set (fit-to-platen\\.width=[0-9.]+in)").Groups[1].Value;
        shop.Json("dry-run", "house-default", "ring.png", "--setup", "light-garment", "--set", advised).ShouldExit(0);
    }

    [Fact]
    public void A_list_is_shown_with_what_its_recipes_are_given()
    {
        string list = shop.Write("night.recipes", "recipes-list 1\ntitle For the night\npure-black lightness=10 chroma=2\nprint-black\n");
        var shown = shop.Json("show", list).ShouldExit(0).Json["list"]!;
        ((string)shown["name"]!, (string)shown["title"]!, (string)shown["approval"]!["state"]!).ShouldBe(("night", "For the night", "none"));
        shown["recipes"]!.AsArray().Select(recipe => $"{recipe!["name"]} {string.Join(' ', recipe["sets"]!.AsArray())}").ShouldBe(["pure-black lightness=10 chroma=2", "print-black "]);
        shop.Run("show", list).Out.ShouldContain("   1  pure-black lightness=10 chroma=2\n   2  print-black\n");
    }

    [Fact]
    public void By_steps_all_are_kept_or_none()
    {
        shop.Write("once.csx", "Recipe.RunOnce(\"Each run makes the art darker.\");\nvar level = Param.Levels(\"level\", 5);\nArt.Fill(Art.Find.Where(p => p.R < 200), new Rgba8((byte)level, 10, 30), layer: \"darker\");\n");
        shop.Write("fails.csx", "Recipe.Decline(\"not tonight\");\n");
        shop.Write("good.recipes", "recipes-list 1\nprintable-whites\nonce\n");
        shop.Write("bad.recipes", "recipes-list 1\nprintable-whites\nonce\nfails\n");
        string[] setup = ["--setup", "black-garment-opaque-white"];
        var before = shop.Snapshot();
        shop.Json(["commit", "bad.recipes", "ring.png", "--steps", "--setup", "light-garment"]).ShouldFail(5, "R4002");
        shop.Json(["commit", "good.recipes", "ring.png", "--set", "none.level=3", .. setup]).ShouldFail(2, "R1004");
        shop.Json(["commit", "good.recipes", "ring.png", "--set", "once.level=300", .. setup]).ShouldFail(2, "R1005");
        shop.Json(["run", "good.recipes", "ring.png", "-o", "out", "--set", "none.level=3", .. setup]).ShouldFail(2, "R1004");
        shop.Snapshot().ShouldBe(before);

        var kept = shop.Json(["commit", "good.recipes", "ring.png", "--set", "once.level=3", "--setup", "light-garment", "--guard", "lost-to-black=allow"]).ShouldExit(0).Json;
        ((string)kept["parameters"]!["once.level"]!).ShouldBe("3");
        // The list is one step, and yet the recipe in it has run.
        shop.Json("commit", "once.csx", "ring.png").ShouldFail(7, "R6007");
        shop.Json("commit", "good.recipes", "ring.png").ShouldFail(7, "R6007");
        shop.Json("undo", "ring.png").ShouldExit(0);
        ((int)shop.Json("commit", "good.recipes", "ring.png", "--steps").ShouldExit(0).Json["step"]!).ShouldBe(3);
        ((int)shop.Json("undo", "ring.png").ShouldExit(0).Json["step"]!).ShouldBe(2);
    }

    [Fact]
    public void Many_files_go_through_a_list_as_one_does()
    {
        string[] size = ["--setup", "small.json", "--set", "fit-to-platen.width=40px"];
        File.Copy(shop.At("ring.png"), shop.At("copy.png"));
        shop.Json(["dry-run", "house-default", "ring.png", .. size]).ShouldExit(0);
        var expected = Picture.Read(shop.At("ring.png.dry-run/after.png")).Pixels;
        var answer = shop.Json(["run", "house-default", "ring.png", "copy.png", "-o", "out", .. size]).ShouldExit(0).Json;
        ((string)answer["recipe"]!["name"]!).ShouldBe("house-default");
        foreach (var item in answer["items"]!.AsArray())
        {
            Picture.Read(shop.At((string)item!["outputs"]!["file"]!)).Pixels.ShouldBe(expected);
            item["steps"]!.AsArray().Select(step => (string)step!["recipe"]!["name"]!).ShouldBe(
                ["fit-to-platen", "clean-background", "remove-halo", "printable-whites", "pure-black"]);
            item["findings"].ShouldNotBeNull();
        }

        // The journal names the list and what ran in it.
        var line = JsonNode.Parse(File.ReadAllLines(Path.Combine(shop.Home, ".local/share/recipes/journal.jsonl"))[^1])!;
        ((string)line["recipe"]!["name"]!, line["recipes"]!.AsArray().Count).ShouldBe(("house-default", 5));
        // Of a bad parameter nothing is begun.
        shop.Json("run", "house-default", "ring.png", "-o", "new", "--setup", "small.json", "--set", "printable-whites.smallest=many").ShouldFail(2, "R1005");
        Directory.Exists(shop.At("new")).ShouldBeFalse();
    }

    [Fact]
    public void A_row_of_an_order_list_takes_a_list_its_parameters_and_its_place()
    {
        shop.Write("orders.csv", "art,recipe,output,set,place\nring.png,house-default,small,fit-to-platen.width=40px,\n"
            + "ring.png,house-default,large,fit-to-platen.width=80px;fit-to-platen.allow-low-resolution=true,\n");
        shop.Json("run", "--list", "orders.csv", "-o", "out", "--setup", "small.json").ShouldExit(0);
        // A platen of 300 x 300 px with the figure in the middle.
        // Resampling may give an edge one px more.
        Wide("small").ShouldBeInRange(40, 41);
        Wide("large").ShouldBeInRange(80, 81);

        shop.Write("orders.csv", "art,recipe,place\nring.png,house-default,nowhere\n");
        var refused = shop.Json("run", "--list", "orders.csv", "-o", "new", "--setup", "small.json").ShouldFail(2, "R1005").Json["problems"]![0]!;
        ((string)refused["message"]!).ShouldContain("place");
        shop.Write("orders.csv", "art,recipe,set\nring.png,house-default,width=40px\n");
        shop.Json("run", "--list", "orders.csv", "-o", "new", "--setup", "small.json").ShouldFail(2, "R1004");
        Directory.Exists(shop.At("new")).ShouldBeFalse();

        int Wide(string name)
        {
            var picture = Picture.Read(shop.At($"out/{name}.png"));
            int[] columns = [.. Enumerable.Range(0, picture.Width).Where(x =>
                Enumerable.Range(0, picture.Height).Any(y => picture.Pixels[(y * picture.Width) + x].A > 0))];
            return columns[^1] - columns[0] + 1;
        }
    }

    [Fact]
    public void The_cases_of_a_list_are_those_of_its_recipes()
    {
        var answer = shop.Json("test", "house-default").ShouldExit(0).Json;
        answer["recipes"]!.AsArray().Select(recipe => (string)recipe!["name"]!).ShouldBe(
            ["fit-to-platen", "clean-background", "remove-halo", "printable-whites", "pure-black"]);
        ((int)answer["passed"]!).ShouldBe(answer["recipes"]!.AsArray().Sum(recipe => recipe!["cases"]!.AsArray().Count));
        ((int)answer["passed"]!).ShouldBeGreaterThan(5);
    }
}
