using System.Text.Json.Nodes;
using System.Xml.Linq;

namespace Recipes.Cli.Tests;

/// <summary>What a dry-run folder shows is what is kept of it: its report, pictures and pages belong together, and to whoever wrote them.</summary>
public sealed class DryRunSealTests : IDisposable
{
    private readonly Shop shop = new();

    public DryRunSealTests() => Picture.WriteRing(shop.At("ring.png"));

    public void Dispose() => shop.Dispose();

    public static TheoryData<string, bool> EveryFile()
    {
        var data = new TheoryData<string, bool>();
        foreach (string file in (string[])["before.png", "after.png", "diff.png", "report.html"])
        {
            data.Add(file, false);
            data.Add(file, true);
        }

        return data;
    }

    [Theory]
    [MemberData(nameof(EveryFile))]
    public void A_file_of_another_run_keeps_nothing(string file, bool ofAnotherPerson)
    {
        Try("ring.dry-run", "printable-whites");
        // Another art of the same name and size class: every file of its dry run differs.
        Directory.CreateDirectory(shop.At("other"));
        Picture.WriteRing(shop.At("other/ring.png"), side: 44);
        Try("other/ring.dry-run", "clean-background", "other/ring.png");
        File.Copy(shop.At($"other/ring.dry-run/{file}"), shop.At($"ring.dry-run/{file}"), overwrite: true);
        if (ofAnotherPerson)
        {
            ToAnotherPerson();
        }

        var before = shop.Snapshot();
        var refused = shop.Json("commit", "--dry-run", "ring.dry-run").ShouldFail(7, "R6001");
        ((string)refused.Json["problems"]![0]!["message"]!).ShouldContain(file);
        shop.Snapshot().ShouldBe(before);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void A_step_of_a_list_belongs_to_what_is_kept(bool ofAnotherPerson)
    {
        shop.Write("two.recipes", "recipes-list 1\nclean-background\nprintable-whites\n");
        Try("ring.dry-run", "two.recipes");
        File.Copy(shop.At("ring.dry-run/steps/1-clean-background/after.png"), shop.At("kept.png"));
        File.Copy(shop.At("ring.dry-run/steps/2-printable-whites/before.png"), shop.At("ring.dry-run/steps/1-clean-background/diff.png"), overwrite: true);
        if (ofAnotherPerson)
        {
            ToAnotherPerson();
        }

        shop.Json("commit", "--dry-run", "ring.dry-run").ShouldFail(7, "R6001");
        Shop.HashOf(shop.At("kept.png")).ShouldBe(Shop.HashOf(shop.At("ring.dry-run/steps/1-clean-background/after.png")));
        Try("ring.dry-run", "two.recipes");
        if (ofAnotherPerson)
        {
            shop.Environment["HOME"] = shop.Home;
        }

        ((int)shop.Json("commit", "--dry-run", "ring.dry-run").ShouldExit(0).Json["step"]!).ShouldBe(1);
    }

    [Fact]
    public void What_another_person_tried_is_kept_where_every_file_is_what_the_recipe_gives_here()
    {
        Try("ring.dry-run", "printable-whites");
        ToAnotherPerson();
        // From another folder, too: the page has the art's path as the other gave it.
        string program = $"'{Shop.Dotnet}' exec '{Path.Combine(Shop.ProgramFolder, "recipes.dll")}'";
        using (var process = shop.StartWith("sh", "-c", $"cd / && {program} commit --dry-run '{shop.At("ring.dry-run")}' --json"))
        {
            ((int)Shop.End(process).ShouldExit(0).Json["step"]!).ShouldBe(1);
        }

        shop.Json("export", "ring.png", "-o", "out.png").ShouldExit(0);
        Picture.Read(shop.At("out.png")).Pixels.ShouldBe(Picture.Read(shop.At("ring.dry-run/after.png")).Pixels);
    }

    [Theory]
    [InlineData("notes")]
    [InlineData("kind")]
    public void A_word_in_anothers_report_keeps_nothing(string field)
    {
        Try("ring.dry-run", "printable-whites");
        string path = shop.At("ring.dry-run/report.json");
        var report = JsonNode.Parse(File.ReadAllText(path))!;
        report[field] = field == "notes" ? new JsonArray("Nothing to see here.") : "cut-out";
        File.WriteAllText(path, report.ToJsonString());
        shop.Json("commit", "--dry-run", "ring.dry-run").ShouldFail(7, "R6001");
        ToAnotherPerson();
        shop.Json("commit", "--dry-run", "ring.dry-run").ShouldFail(7, "R6001");
    }

    [Fact]
    public void Anothers_folder_leads_to_no_file_elsewhere()
    {
        Directory.CreateDirectory(shop.At("orders"));
        File.Move(shop.At("ring.png"), shop.At("orders/ring.png"));
        Try("tries/ring.dry-run", "printable-whites", "orders/ring.png");
        // One's own was written by this program, which knew where the art was.
        shop.Json("commit", "--dry-run", "tries/ring.dry-run").ShouldExit(0);
        shop.Json("undo", "orders/ring.png").ShouldExit(0);
        ToAnotherPerson();
        var before = shop.Snapshot();
        var refused = shop.Json("commit", "--dry-run", "tries/ring.dry-run").ShouldFail(7, "R6001").Json["problems"]![0]!;
        ((string)refused["message"]!).ShouldContain(shop.At("orders/ring.png"));
        shop.Json("commit", "--dry-run", "tries/ring.dry-run", "tries/ring.dry-run/after.png").ShouldFail(2, "R1001");
        shop.Snapshot().ShouldBe(before);
        // A link beside the folder leads elsewhere as well.
        File.CreateSymbolicLink(shop.At("tries/ring.png"), shop.At("orders/ring.png"));
        Rewrite(report => report["inputs"]!["art"] = "../ring.png");
        shop.Json("commit", "--dry-run", "tries/ring.dry-run").ShouldFail(7, "R6001");
        // Whoever names the art means it.
        Rewrite(report => report["inputs"]!["art"] = "../../orders/ring.png");
        shop.Json("commit", "--dry-run", "tries/ring.dry-run", "orders/ring.png").ShouldExit(0);

        void Rewrite(Action<JsonNode> change)
        {
            string path = shop.At("tries/ring.dry-run/report.json");
            var report = JsonNode.Parse(File.ReadAllText(path))!;
            change(report);
            File.WriteAllText(path, report.ToJsonString());
        }
    }

    [Fact]
    public void Anothers_folder_leads_to_no_work_file_elsewhere()
    {
        Directory.CreateDirectory(shop.At("orders"));
        File.Move(shop.At("ring.png"), shop.At("orders/ring.png"));
        shop.Json("commit", "clean-background", "orders/ring.png", "--setup", "light-garment").ShouldExit(0);
        Directory.CreateDirectory(shop.At("share"));
        File.Copy(shop.At("orders/ring.png"), shop.At("share/ring.png"));
        File.CreateSymbolicLink(shop.At("share/ring.png.work"), shop.At("orders/ring.png.work"));
        Try("share/ring.dry-run", "printable-whites", "share/ring.png");
        ToAnotherPerson();
        var before = shop.Snapshot();
        shop.Json("commit", "--dry-run", "share/ring.dry-run").ShouldFail(7, "R6001").Out.ShouldContain("lies elsewhere");
        shop.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void Anothers_recipe_setup_and_work_folder_lie_with_the_folder()
    {
        shop.Write("elsewhere/mine.csx",
            "Recipe.Title(\"Mine\");\nRecipe.Purpose(\"Makes whites printable.\");\n"
            + "Art.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"mine\");\n");
        shop.Write("elsewhere/shop.json", """{ "name": "mine", "platen": { "width": 12, "height": 14 } }""");
        Directory.CreateDirectory(shop.At("elsewhere/work"));
        Directory.CreateDirectory(shop.At("orders"));
        Picture.WriteRing(shop.At("orders/ring.png"));
        foreach (string[] options in (string[][])
            [
                ["elsewhere/mine.csx", "--setup", "light-garment"],
                ["printable-whites", "--setup", "elsewhere/shop.json"],
                ["printable-whites", "--setup", "light-garment", "--work", "elsewhere/work"],
            ])
        {
            shop.Environment.Remove("HOME");
            shop.Json(["dry-run", options[0], "orders/ring.png", .. options[1..]]).ShouldExit(0);
            ToAnotherPerson();
            var before = shop.Snapshot();
            shop.Json("commit", "--dry-run", "orders/ring.png.dry-run").ShouldFail(7, "R6001").Out.ShouldContain("lies elsewhere");
            // Whoever names the art means the art alone.
            shop.Json("commit", "--dry-run", "orders/ring.png.dry-run", "orders/ring.png").ShouldFail(7, "R6001").Out.ShouldContain("lies elsewhere");
            shop.Snapshot().ShouldBe(before);
        }

        shop.Json("commit", "--dry-run", "orders/ring.png.dry-run", "--work", "elsewhere/work").ShouldExit(0);
    }

    [Fact]
    public void Loosened_guardrails_are_said_first()
    {
        shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        Head().ShouldNotContain("loosened");
        string[] loose = ["--guard", "lost-to-white=allow", "--guard", "ink-mostly-lost=allow"];
        shop.Json(["dry-run", "printable-whites", "ring.png", "--setup", "light-garment", .. loose]).ShouldExit(0);
        Head().ShouldContain("Guardrails were loosened for this run: lost-to-white, ink-mostly-lost let everything pass.");
        var kept = shop.Run("commit", "--dry-run", "ring.png.dry-run").ShouldExit(0);
        kept.Out.ShouldContain("loosened for this run: lost-to-white, ink-mostly-lost let everything pass");

        string Head() => XDocument.Load(shop.At("ring.png.dry-run/report.html")).Descendants("header").Single().Value;
    }

    private void Try(string folder, string recipe, string art = "ring.png") =>
        shop.Json("dry-run", recipe, art, "--setup", "light-garment", "--out", folder).ShouldExit(0);

    private void ToAnotherPerson() => shop.Environment["HOME"] = Directory.CreateDirectory(Path.Combine(shop.Folder, "another")).FullName;
}
