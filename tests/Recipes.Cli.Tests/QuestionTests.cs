using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>Where a recipe has to guess it asks, and nobody is asked twice.</summary>
public sealed class QuestionTests : IDisposable
{
    private static readonly Rgba8 Dark = new(10, 20, 60);
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    // A figure whose belly the right edge cuts off, 20 x 40 px = 5.7 mm2 at 300 ppi; at its left an eye of 36 px that art surrounds.
    private static Rgba8 Cropped(int x, int y) =>
        x is >= 20 && y is >= 20 and < 100 && !(x >= 60 && y is >= 40 and < 80) && !(x is >= 30 and < 36 && y is >= 30 and < 36) ? Dark : Rgba8.White;

    [Fact]
    public void White_that_runs_off_the_picture_is_asked_about_answered_and_remembered()
    {
        string art = Picture.Write(shop.At("bird.png"), 80, 120, Cropped);
        var check = shop.Json("check", art, "--setup", "black-garment").ShouldExit(0).Json;
        ((string)check["kind"]!).ShouldBe("on-paper");
        check["regions"]!.AsArray().Select(region => ((int)region!["number"]!, (string)region["class"]!)).ShouldBe([(1, "enclosed-white"), (2, "edge-white")]);
        Asked(check, "questions").ShouldBe([("edge-white", "printable-whites.also=2")]);
        check["findings"]!.AsArray().Select(finding => (string)finding!["code"]!).Take(2).ShouldBe(["edge-white", "enclosed-white"]);

        // Nothing is kept under --strict while it is open; without, the proposal is taken and said.
        shop.Json("dry-run", "printable-whites", art, "--setup", "black-garment", "--strict").ShouldFail(6, "R5003");
        shop.Json("commit", "printable-whites", art, "--setup", "black-garment", "--strict").ShouldFail(6, "R5003");
        File.Exists(art + ".work").ShouldBeFalse();
        var guess = shop.Json("dry-run", "printable-whites", art, "--setup", "black-garment").ShouldExit(0).Json;
        ((long)guess["changed"]!["pixels"]!).ShouldBe(36);
        Asked(guess, "questions").ShouldBe([("edge-white", "printable-whites.also=2")]);
        File.ReadAllText(shop.At("bird.png.dry-run/report.html")).ShouldContain("printable-whites.also=2");

        var answered = shop.Json("commit", "printable-whites", art, "--setup", "black-garment", "--set", "also=2", "--strict", "--by", "night-shift")
            .ShouldExit(0).Json;
        ((long)answered["changed"]!["pixels"]!).ShouldBe(36 + 800);
        Asked(answered, "questions").ShouldBeEmpty();
        Asked(answered, "decided").ShouldBe([("edge-white", "printable-whites.also=2")]);
        var after = shop.Json("check", art).ShouldExit(0).Json;
        Asked(after, "questions").ShouldBeEmpty();
        ((string)after["kind"]!).ShouldBe("on-paper");
        shop.Run("history", art).ShouldExit(0).Out.ShouldContain("answered with also=2");
    }

    [Fact]
    public void A_proposal_that_was_taken_is_said_so_and_not_asked_again()
    {
        string art = Picture.Write(shop.At("bird.png"), 80, 120, Cropped);
        shop.Json("commit", "printable-whites", art, "--setup", "black-garment", "--by", "night-shift").ShouldExit(0);
        var after = shop.Json("check", art).ShouldExit(0).Json;
        Asked(after, "questions").ShouldBeEmpty();
        Asked(after, "decided").ShouldContain(("edge-white", "printable-whites.also=1"));
        after["decided"]!.ToJsonString().ShouldContain("night-shift");
        after["findings"]!.AsArray().ShouldNotContain(finding => (string?)finding!["recipe"] == "printable-whites");
        shop.Run("history", art).ShouldExit(0).Out.ShouldContain("the proposal was taken: it stays bare");
    }

    [Fact]
    public void A_step_settles_only_what_its_own_recipe_asked()
    {
        string art = Picture.Write(shop.At("bird.png"), 80, 120, Cropped);
        shop.Json("commit", "clean-background", art, "--setup", "black-garment").ShouldExit(0);
        // Whether the belly prints is another question than whether it is cleaned away, and the eye was nobody's.
        Asked(shop.Json("check", art).ShouldExit(0).Json, "questions").ShouldBe([("edge-white", "printable-whites.also=2")]);
        shop.Write("hush.csx", """
            Recipe.Title("A test");
            Recipe.Purpose("Lists the whites, and calls them settled.");
            var whites = Art.Find.NumberedWhites();
            Report.Regions("whites", whites, Art.Find.Where(p => false));
            Report.Ask("edge-white", "Fine?", Art.Find.Where(p => true).Islands(), "it stays bare", "also=2");
            Report.Ask("enclosed-white", "Fine?", Art.Find.Where(p => true).Islands(), "it stays bare", "also=1");
            Art.LeaveBare(Art.Find.Where(p => p.A == 0), layer: "x");
            Art.MakePrintable(Art.Find.Where(p => p.R == 255 && p.A == 255).Islands().Pick(i => i.Count == 36), layer: "y");
            """);
        shop.Json("commit", "hush.csx", art, "--setup", "black-garment").ShouldExit(0);
        Asked(shop.Json("check", art).ShouldExit(0).Json, "questions").ShouldContain(("edge-white", "printable-whites.also=1"));
    }

    [Fact]
    public void What_was_said_is_remembered_and_not_what_was_offered()
    {
        string art = Picture.Write(shop.At("bird.png"), 80, 120, Cropped);
        var kept = shop.Json("commit", "clean-background", art, "--setup", "black-garment", "--set", "edge=keep").ShouldExit(0).Json;
        var decided = kept["decided"]!.AsArray().ShouldHaveSingleItem()!;
        ((string)decided["answer"]!).ShouldBe("clean-background.edge=bare");
        ((string)decided["decision"]!).ShouldBe("answered with edge=keep");
        shop.Run("history", art).ShouldExit(0).Out.ShouldContain("answered with edge=keep");
    }

    [Fact]
    public void An_answer_that_changes_nothing_is_kept()
    {
        // A picture that fills its frame: the rectangle is wanted.
        string art = Picture.Write(shop.At("photo.png"), 300, 200, (x, y) =>
            new Rgba8((byte)(40 + (x / 3)), (byte)(60 + (y / 2)), (byte)(120 + ((x + y) % 7))));
        Asked(shop.Json("check", art, "--setup", "light-garment").ShouldExit(0).Json, "questions")
            .ShouldBe([("printed-rectangle", "clean-background.paper=keep")]);
        shop.Json("commit", "clean-background", art, "--setup", "light-garment", "--set", "paper=keep", "--strict").ShouldExit(0);
        var check = shop.Json("check", art).ShouldExit(0).Json;
        ((int)check["step"]!).ShouldBe(1);
        Asked(check, "questions").ShouldBeEmpty();
        ((string)check["decided"]![0]!["decision"]!).ShouldContain("answered with paper=keep");
        check["findings"]!.AsArray().Select(finding => (string)finding!["code"]!).ShouldNotContain("printed-rectangle");
    }

    [Fact]
    public void Advice_for_a_setup_names_it_where_another_would_be_taken()
    {
        string art = Picture.Write(shop.At("bird.png"), 80, 120, Cropped);
        shop.Run("setups", "use", "light-garment").ShouldExit(0);
        shop.Run("check", art, "--setup", "black-garment").ShouldExit(0).Out.ShouldContain("bird.png --set also=2 --setup black-garment");
        shop.Run("check", art).ShouldExit(0).Out.ShouldNotContain("--setup");
    }

    [Fact]
    public void Cleaning_first_or_last_gives_the_same_whites()
    {
        // Cleaned away the paper is transparent, and the art looks cut out; it lay on paper all the same.
        string first = Picture.Write(shop.At("a.png"), 80, 120, Cropped), last = Picture.Write(shop.At("b.png"), 80, 120, Cropped);
        shop.Json("commit", "clean-background", first, "--setup", "black-garment").ShouldExit(0);
        shop.Json("commit", "printable-whites", first, "--setup", "black-garment").ShouldExit(0);
        shop.Json("commit", "printable-whites", last, "--setup", "black-garment").ShouldExit(0);
        shop.Json("commit", "clean-background", last, "--setup", "black-garment").ShouldExit(0);
        shop.Json("export", first, "-o", shop.At("a-print.png")).ShouldExit(0);
        shop.Json("export", last, "-o", shop.At("b-print.png")).ShouldExit(0);
        Picture.Read(shop.At("a-print.png")).Pixels.ShouldBe(Picture.Read(shop.At("b-print.png")).Pixels);
    }

    [Fact]
    public void The_technician_says_what_kind_of_art_it_is()
    {
        string art = Picture.Write(shop.At("bird.png"), 80, 120, Cropped);
        var said = shop.Json("check", art, "--setup", "black-garment", "--kind", "cut-out").ShouldExit(0).Json;
        ((string)said["kind"]!).ShouldBe("cut-out");
        said["regions"]!.AsArray().ShouldAllBe(region => (string)region!["class"]! == "enclosed-white");
        Asked(said, "questions").ShouldBeEmpty();
        shop.Json("check", art, "--kind", "puffin").ShouldFail(2, "R1001");

        // Kept through a dry run, and remembered with the step.
        shop.Json("dry-run", "printable-whites", art, "--setup", "black-garment", "--kind", "cut-out", "--guard", "printed-box=allow").ShouldExit(0);
        shop.Json("commit", "--dry-run", shop.At("bird.png.dry-run")).ShouldExit(0);
        ((string)shop.Json("check", art).ShouldExit(0).Json["kind"]!).ShouldBe("cut-out");
    }

    [Fact]
    public void A_work_file_of_an_earlier_version_goes_on()
    {
        // Made by an earlier version: step 1 printable-whites except=2, step 2 clean-background, on art on paper.
        string from = Path.Combine(Shop.Root, "tests", "Recipes.Cli.Tests", "EarlierWork");
        File.Copy(Path.Combine(from, "figure.png"), shop.At("figure.png"));
        File.Copy(Path.Combine(from, "figure.png.work"), shop.At("figure.png.work"));
        var check = shop.Json("check", "figure.png").ShouldExit(0).Json;
        ((int)check["step"]!).ShouldBe(2);
        ((string)check["kind"]!).ShouldBe("on-paper");
        shop.Json("commit", "printable-whites", "figure.png", "--set", "only=1").ShouldExit(0);
        shop.Json("undo", "figure.png").ShouldExit(0);
        shop.Json("undo", "figure.png").ShouldExit(0);
        ((int)shop.Json("check", "figure.png").ShouldExit(0).Json["step"]!).ShouldBe(1);
    }

    private static (string, string)[] Asked(JsonObject json, string field) =>
        [.. json[field]!.AsArray().Select(question => ((string)question!["code"]!, (string)question["answer"]!))];
}
