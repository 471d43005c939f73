using System.Text.Json.Nodes;

namespace Recipes.Cli.Tests;

/// <summary>The journal at the command line: what is noted, found again, and not failed over.</summary>
public sealed class JournalTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    private string Path => System.IO.Path.Combine(shop.Home, ".local/share/recipes/journal.jsonl");

    private JsonObject[] Lines(string? path = null) => [.. File.ReadAllLines(path ?? Path).Select(line => JsonNode.Parse(line)!.AsObject())];

    private JsonNode[] Found(params string[] filter) => [.. shop.Json(["history", .. filter, "--all"]).ShouldExit(0).Json["entries"]!.AsArray()!];

    [Fact]
    public void It_says_which_recipe_touched_which_file_and_what_came_by_whom_and_why()
    {
        string art = Shop.HashOf(Picture.WriteRing(shop.At("ring.png")));
        // Sixteen days of logs: the newest fourteen stay, the one of this day among them.
        string logs = System.IO.Path.Combine(shop.Home, ".local/state/recipes");
        Directory.CreateDirectory(logs);
        for (int day = 10; day < 26; day++)
        {
            File.WriteAllText(System.IO.Path.Combine(logs, $"recipes-202001{day}.log"), "");
        }

        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment", "--by", "night-shift").ShouldExit(0);
        string[] kept = [.. Directory.GetFiles(logs, "*.log").Order(StringComparer.Ordinal)];
        kept.Length.ShouldBe(14);
        kept[0].ShouldEndWith("recipes-20200113.log");
        File.ReadAllText(kept[^1]).ShouldContain("Journal: commit by night-shift");
        shop.Json("undo", "ring.png", "--by", "day-shift").ShouldExit(0);
        shop.Json("export", "ring.png", "-o", "print.png").ShouldExit(0);
        shop.Write("shelf/mine.csx", "Recipe.Title(\"Mine\");\nRecipe.Purpose(\"Keeps the sail white.\");\n");
        shop.Json("add", "--from", "shelf", "--by", "Mara", "--note", "Sails came out gray").ShouldExit(0);

        var lines = Lines();
        lines.Select(line => (string?)line["what"]).ShouldBe(["commit", "undo", "export", "add"]);
        lines.Select(line => (string?)line["by"]).ShouldBe(["night-shift", "day-shift", null, "Mara"]);
        lines.Take(3).ShouldAllBe(line => (string?)line["art"]!["name"] == "ring.png" && (string?)line["art"]!["sha256"] == art);
        ((string?)lines[0]["recipe"]!["sha256"]).ShouldBe((string?)shop.Json("show", "printable-whites").Json["recipe"]!["sha256"]);
        lines[1]["recipes"]!.AsArray().Select(name => (string?)name).ShouldBe(["printable-whites"]);
        ((string?)lines[2]["file"]!["sha256"]).ShouldBe(Shop.HashOf(shop.At("print.png")));
        // Nothing private that isn't needed: no folder of this machine.
        File.ReadAllText(Path).ShouldNotContain(shop.Folder);

        Found("ring.png", "--recipe", "printable-whites", "--by", "Night-Shift", "--since", "2020-01-01")
            .Select(entry => (string?)entry["what"]).ShouldBe(["commit"]);
        shop.Json("history", "--all", "--since", "last month").ShouldFail(2, "R1001");
        shop.Json("history", "ring.png", "--recipe", "mine").ShouldFail(2, "R1001");

        var fresh = shop.Json("list", "--new").ShouldExit(0).Json["new"]!.AsArray().ShouldHaveSingleItem()!;
        ((string?)fresh["name"], (string?)fresh["by"], (string?)fresh["from"], (string?)fresh["note"], (string?)fresh["purpose"], (bool)fresh["here"]!)
            .ShouldBe(("mine", "Mara", "shelf", "Sails came out gray", "Keeps the sail white.", true));

        // Cut by a power cut: told, and the rest is used.
        File.WriteAllText(Path, File.ReadAllText(Path)[..^30]);
        var cut = shop.Json("history", "--all").ShouldExit(0);
        cut.Codes.ShouldBe(["R6302"]);
        ((int)cut.Json["problems"]![0]!["where"]!["line"]!).ShouldBe(4);
        cut.Json["entries"]!.AsArray().Count.ShouldBe(3);
    }

    [Fact]
    public void A_step_that_cannot_be_noted_is_kept_and_said()
    {
        Picture.WriteRing(shop.At("ring.png"));
        Directory.CreateDirectory(Path);
        var kept = shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        kept.Codes.ShouldBe(["R6301"]);
        ((string?)kept.Json["problems"]![0]!["severity"]).ShouldBe("warning");
        ((int)kept.Json["step"]!).ShouldBe(1);
        shop.Json("history", "--all").ShouldFail(3, "R6302");

        // Where the house names a journal, everyone's entries go there.
        shop.Write("house/house.json", """{ "house": 1, "requireApproval": false, "journal": "../press.jsonl" }""");
        shop.Environment["RECIPES_HOUSE"] = shop.At("house");
        shop.Json("undo", "ring.png").ShouldExit(0).Codes.ShouldBeEmpty();
        Lines(shop.At("press.jsonl")).ShouldHaveSingleItem()["what"]!.ToString().ShouldBe("undo");
    }
}
