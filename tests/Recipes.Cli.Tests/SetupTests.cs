using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>Which garment setup a command works under, and the undo stack that each of them has.</summary>
public sealed class SetupTests : IDisposable
{
    private const string Own = """{ "name": "navy-shirt", "platen": { "width": 12, "height": 14 }, "garment": "#1c2a4a", "brightestWhite": "#fdfdfd" }""";
    private readonly Shop shop = new();

    public SetupTests() => Picture.WriteRing(shop.At("ring.png"));

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Looking_falls_back_and_says_so_and_writing_never_does()
    {
        foreach (string command in (string[])["check ring.png", "dry-run printable-whites ring.png"])
        {
            var json = shop.Json(command.Split(' ')).ShouldExit(0);
            ((bool)json.Json["setupIsFallback"]!).ShouldBeTrue();
            ((string)json.Json["setup"]!["name"]!).ShouldBe("light-garment");
            ((string)json.Json["problems"]![0]!["severity"]!).ShouldBe("warning");
            json.Codes.ShouldBe(["R1008"]);
            shop.Run(command.Split(' ')).ShouldExit(0).Err.ShouldContain("light-garment");
        }

        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldFail(2, "R1008");
        // Choosing one afterwards doesn't make the fallback's dry run a chosen one.
        shop.Json("setups", "use", "light-garment").ShouldExit(0);
        ((string)shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldFail(2, "R1008").Json["problems"]![0]!["hint"]!)
            .ShouldStartWith("Run the dry run again with --setup");
        var chosen = shop.Json("dry-run", "printable-whites", "ring.png").ShouldExit(0);
        chosen.Codes.ShouldBeEmpty();
        ((bool)chosen.Json["setupIsFallback"]!).ShouldBeFalse();
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldExit(0);
        ((string)shop.Json("setups").ShouldExit(0).Json["chosen"]!).ShouldBe("light-garment");
    }

    [Fact]
    public void The_last_setup_of_the_work_file_comes_before_the_chosen_one()
    {
        shop.Json("setups", "use", "light-garment").ShouldExit(0);
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "black-garment").ShouldExit(0);
        ((string)shop.Json("check", "ring.png").ShouldExit(0).Json["setup"]!["name"]!).ShouldBe("black-garment");
    }

    [Fact]
    public void Each_setup_has_its_own_undo_stack()
    {
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        ((int)shop.Json("commit", "clean-background", "ring.png", "--setup", "black-garment").ShouldExit(0).Json["fromStep"]!).ShouldBe(0);
        shop.Json("commit", "clean-background", "ring.png", "--setup", "light-garment", "--by", "day-shift").ShouldExit(0);
        shop.Run("undo", "ring.png", "--setup", "black-garment").ShouldExit(0).Out.ShouldContain("step 2 under light-garment; --setup light-garment goes on there");
        shop.Run("export", "ring.png", "-o", "undone.png").ShouldExit(0).Out.ShouldContain("step 2 under light-garment");
        shop.Json("undo", "ring.png", "--setup", "black-garment").ShouldFail(7, "R6004");
        var setups = shop.Json("history", "ring.png").ShouldExit(0).Json["setups"]!.AsArray();
        setups.Select(line => $"{line!["name"]} {line["head"]} {line["steps"]!.AsArray().Count}").ShouldBe(["black-garment 0 1", "light-garment 2 2"]);
        var steps = setups[1]!["steps"]!.AsArray();
        steps[0]!["by"].ShouldBeNull();
        ((string)steps[1]!["by"]!).ShouldBe("day-shift");
        ((string)steps[0]!["recipe"]!["name"]!).ShouldBe("printable-whites");
        ((string)steps[0]!["parameters"]!["near"]!).ShouldBe("24");
        ((long)steps[0]!["ink"]!["gained"]!).ShouldBe(256);
        steps[0]!["guards"]!.AsArray().Count.ShouldBe(8);
        ((int)shop.Json("undo", "ring.png", "--setup", "light-garment", "--to", "0").ShouldExit(0).Json["step"]!).ShouldBe(0);
        ((int)shop.Json("redo", "ring.png").ShouldExit(0).Json["step"]!).ShouldBe(1);
        // A commit after an undo leaves the undone step behind for good.
        ((int)shop.Json("commit", "clean-background", "ring.png").ShouldExit(0).Json["step"]!).ShouldBe(3);
        shop.Json("redo", "ring.png").ShouldFail(7, "R6005");
        ((string)shop.Json("history", "ring.png").ShouldExit(0).Json["setups"]![1]!["steps"]![1]!["state"]!).ShouldBe("abandoned");
        shop.Json("undo", "ring.png", "--to", "2").ShouldFail(2, "R6008");
    }

    [Fact]
    public void A_setup_from_a_file_lives_on_in_the_work_file()
    {
        shop.Write("shop.json", Own);
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "shop.json").ShouldExit(0);
        File.Delete(shop.At("shop.json"));
        ((string)shop.Json("check", "ring.png").ShouldExit(0).Json["setup"]!["name"]!).ShouldBe("navy-shirt");
        shop.Json("export", "ring.png", "-o", "print.png").ShouldExit(0);
        Picture.Read(shop.At("print.png")).Pixels[(20 * 40) + 20].ShouldBe(new Rgba8(253, 253, 253));
        shop.Json("dry-run", "clean-background", "ring.png").ShouldExit(0);
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldExit(0);
        ((int)shop.Json("undo", "ring.png").ShouldExit(0).Json["step"]!).ShouldBe(1);
    }

    [Fact]
    public void A_setup_of_the_users_own_is_found_by_name()
    {
        string folder = Directory.CreateDirectory(Path.Combine(shop.Home, ".config/recipes/setups")).FullName;
        File.WriteAllText(Path.Combine(folder, "navy-shirt.json"), Own);
        shop.Json("setups").ShouldExit(0).Json["setups"]!.AsArray().Select(setup => (string)setup!["name"]!)
            .ShouldBe(["black-garment", "black-garment-opaque-white", "light-garment", "navy-shirt"]);
        shop.Json("setups", "use", "navy-shirt").ShouldExit(0);
        ((string)shop.Json("check", "ring.png").ShouldExit(0).Json["setup"]!["brightestWhite"]!).ShouldBe("#fdfdfd");

        // A copy that kept its name would put its steps among the first one's.
        File.WriteAllText(Path.Combine(folder, "night-tee.json"), Own);
        var refused = shop.Run("check", "ring.png", "--setup", "night-tee").ShouldExit(2);
        refused.Err.ShouldContain("R1007");
        refused.Err.ShouldContain("navy-shirt");
    }

    [Fact]
    public void A_shown_setup_is_complete_and_can_be_used_as_a_file()
    {
        string text = shop.Run("setups", "show", "black-garment").ShouldExit(0).Out;
        shop.Write("copy.json", text);
        var copy = shop.Json("setups", "show", "copy.json").ShouldExit(0).Json["setup"]!;
        JsonNode.DeepEquals(copy, JsonNode.Parse(text)).ShouldBeTrue();
        ((bool)copy["bare"]!["black"]!).ShouldBeTrue();
        ((string)copy["brightestWhite"]!).ShouldBe("#fefefe");
        ((string)copy["darkestBlack"]!).ShouldBe("#010101");
        ((string)copy["bareAs"]!).ShouldBe("both");
    }

    [Fact]
    public void Work_files_can_lie_elsewhere()
    {
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment", "--work", "works").ShouldExit(0);
        File.Exists(shop.At("works/ring.png.work")).ShouldBeTrue();
        File.Exists(shop.At("ring.png.work")).ShouldBeFalse();
        shop.Json("history", "ring.png").ShouldExit(0).Json["setups"]!.AsArray().ShouldBeEmpty();
        ((int)shop.Json("check", "ring.png", "--work", "works").ShouldExit(0).Json["step"]!).ShouldBe(1);
        ((int)shop.Json("check", "ring.png", "--work", "works", "--original").ShouldExit(0).Json["step"]!).ShouldBe(0);
        // A dry run remembers where its work file lies.
        shop.Json("dry-run", "clean-background", "ring.png", "--work", "works").ShouldExit(0);
        ((int)shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldExit(0).Json["step"]!).ShouldBe(2);
        File.Exists(shop.At("ring.png.work")).ShouldBeFalse();
    }
}
