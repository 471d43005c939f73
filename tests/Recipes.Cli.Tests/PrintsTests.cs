using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>What the shop remembers of its prints, through the program: causes, costs, the warning that comes first, notes and counts.</summary>
public sealed class PrintsTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    // The list that the program holds.
    private static JsonNode[] Shipped =>
        [.. JsonNode.Parse(File.ReadAllText(Path.Combine(Shop.Root, "src/Recipes.Hosting/Tickets/causes.json")))!["list"]!.AsArray().OfType<JsonNode>()];

    [Fact]
    public void A_bad_print_is_told_with_its_cause_and_its_cost()
    {
        Picture.Write(shop.At("art.png"), 40, 30, (_, _) => new Rgba8(200, 60, 40));
        string[] print = ["printed", "art.png", "--setup", "light-garment", "--result"];
        shop.Json([.. print, "good", "--reason", "dust"]).ShouldFail(2, "R1001");
        shop.Json([.. print, "good", "--cost", "3"]).ShouldFail(2, "R1001");
        shop.Json([.. print, "bad", "--reason", "dust", "--cost", "12,50"]).ShouldFail(2, "R1001");
        shop.Json([.. print, "bad", "--cost", "12.50"]).ShouldFail(2, "R1001");
        ((string)shop.Json([.. print, "bad", "--reason", "dsut"]).ShouldFail(2, "R1015").Json["problems"]![0]!["message"]!)
            .ShouldContain("wrong-garment, white-missing, dust,");
        File.Exists(shop.At("art.png.work")).ShouldBeFalse();

        var told = shop.Json([.. print, "bad", "--reason", "dust", "--cost", "12.5 eur"]).ShouldExit(0).Json;
        ((string)told["print"]!["cause"]!, (decimal)told["print"]!["cost"]!["amount"]!, (string)told["print"]!["cost"]!["currency"]!)
            .ShouldBe(("dust", 12.5m, "EUR"));
        ((string)told["cause"]!["helps"]!).ShouldBe("recipes dry-run clean-background ART");
        shop.Run([.. print, "bad", "--reason", "rim"]).ShouldExit(0).Out.ShouldContain("Helps next time: recipes dry-run remove-halo art.png");
        shop.Run([.. print, "bad", "--note", "banding"]).ShouldExit(0).Out.ShouldContain("No cause was named");
        var prints = shop.Json("history", "art.png").ShouldExit(0).Json["setups"]![0]!["prints"]!.AsArray();
        prints.Select(known => (string?)known!["cause"]).ShouldBe(["dust", "rim", null]);
        shop.Run("history", "art.png").ShouldExit(0).Out.ShouldContain(": bad, dust, 12.50 EUR\n");
    }

    // The page's own list is the one that is used here, so that it works as it stands.
    [Fact]
    public void A_shop_adds_causes_of_its_own()
    {
        Picture.Write(shop.At("art.png"), 40, 30, (_, _) => new Rgba8(200, 60, 40));
        string page = File.ReadAllText(Path.Combine(Shop.Root, "docs/prints.md"));
        string list = Regex.Match(page, "```json\n(.*?)```", RegexOptions.Singleline).Groups[1].Value;
        Causes(list);
        var told = shop.Json("printed", "art.png", "--setup", "light-garment", "--result", "bad", "--reason", "lint").ShouldExit(0).Json;
        ((string)told["cause"]!["what"]!).ShouldBe("Lint lay on the garment under the ink.");
        shop.Json("printed", "art.png", "--result", "bad", "--reason", "dust").ShouldExit(0);
        Causes("""{ "causes": 1, "list": [ { "name": "dust", "what": "Ours." } ] }""");
        ((string)shop.Json("printed", "art.png", "--result", "bad", "--reason", "dust").ShouldExit(0).Json["cause"]!["what"]!).ShouldBe("Ours.");
        shop.Json("printed", "art.png", "--result", "bad", "--reason", "lint").ShouldFail(2, "R1015");

        // Who only looks doesn't need the list.
        Causes("{ broken");
        shop.Json("printed", "art.png", "--result", "bad", "--reason", "dust").ShouldFail(2, "R1014");
        ((string)shop.Json("check", "art.png").ShouldExit(0).Json["lastBad"]!["cause"]!).ShouldBe("dust");

        // The table and the schema are the program's.
        var rows = Regex.Matches(page, @"^\| `([a-z-]+)` \| (\S.*?\.) \| (?:`(.*)` )?\|$", RegexOptions.Multiline)
            .Select(row => (row.Groups[1].Value, row.Groups[2].Value, row.Groups[3].Value));
        rows.ShouldBe(Shipped.Select(cause => ((string)cause["name"]!, (string)cause["what"]!, (string?)cause["helps"] ?? "")));
        var schema = JsonNode.Parse(File.ReadAllText(Path.Combine(Shop.Root, "docs/causes.schema.json")))!;
        Of(schema).ShouldBe(JsonNode.Parse(list)!.AsObject().Select(field => field.Key).Order());
        Of(schema["$defs"]!["cause"]).ShouldBe(JsonNode.Parse(list)!["list"]![0]!.AsObject().Select(field => field.Key).Order());

        static string[] Of(JsonNode? node) => [.. node!["properties"]!.AsObject().Select(property => property.Key).Order()];
    }

    // What helps is a command of the program, and its recipe one that it ships.
    [Fact]
    public void What_helps_against_a_cause_is_a_command_that_there_is()
    {
        int commands = 0;
        foreach (string helps in Shipped.Select(cause => (string?)cause["helps"]).OfType<string>())
        {
            string[] words = helps.Split(' ');
            words[0].ShouldBe("recipes");
            shop.Run(words[1], "--help").ShouldExit(0);
            if (words[1] == "dry-run")
            {
                shop.Run("show", words[2]).ShouldExit(0);
            }

            commands++;
        }

        commands.ShouldBeGreaterThanOrEqualTo(7);
    }

    [Fact]
    public void A_repeat_of_a_bad_print_says_so_first_until_a_good_one_follows()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        shop.Json("printed", "ring.png", "--result", "bad", "--reason", "dust", "--note", "left of\nthe <b>ring", "--by", "night-shift").ShouldExit(0);
        shop.Write("today.csv", "art,recipe,setup\nring.png,remove-specks,light-garment\n");
        string[][] commands =
        [
            ["check", "ring.png"], ["dry-run", "clean-background", "ring.png"], ["commit", "--dry-run", "ring.png.dry-run"],
            ["commit", "remove-specks", "ring.png"],
            ["export", "ring.png", "-o", "print.png", "--force"], ["ticket", "ring.png", "-o", "ticket.html", "--force"],
            ["run", "remove-specks", "ring.png", "-o", "made", "--setup", "light-garment"], ["run", "--list", "today.csv", "-o", "listed"],
        ];
        foreach (string[] command in commands)
        {
            string name = string.Join(' ', command);
            var answer = shop.Run(command).ShouldExit(0);
            string first = answer.Out.Split('\n')[0];
            first.ShouldContain("The last print of this art under light-garment was bad: dust (near-white background", Case.Sensitive, name);
            first.ShouldContain("by night-shift: left of the <b>ring", Case.Sensitive, name);
            answer.Out.Split('\n')[1].ShouldContain("recipes dry-run clean-background ring.png", Case.Sensitive, name);
            answer.Err.ShouldNotContain("R7602", Case.Sensitive, name);
        }

        // The same file comes back under another name.
        File.Copy(shop.At("ring.png"), shop.At("again.png"));
        foreach (string[] command in (string[][])
            [["check", "again.png", "--setup", "light-garment"], ["run", "remove-specks", "again.png", "-o", "made", "--setup", "light-garment"]])
        {
            shop.Run(command).ShouldExit(0).Out.Split('\n')[0]
                .ShouldContain("The last print of this art, then called ring.png, under light-garment was bad: dust");
        }

        shop.Json("dry-run", "clean-background", "ring.png").ShouldExit(0);
        foreach (string[] command in commands)
        {
            var json = shop.Json(command).ShouldExit(0);
            string name = string.Join(' ', command);
            json.Codes.ShouldContain("R7602", name);
            var of = json.Json["items"] is JsonArray items ? items[0]! : json.Json;
            ((string)of["lastBad"]!["cause"]!).ShouldBe("dust", name);
        }

        File.ReadAllText(shop.At("listed/today.html")).ShouldContain("The last print was bad: ");
        string page = File.ReadAllText(shop.At("ticket.html"));
        page.ShouldContain("<strong>The last print was bad</strong>");
        page.ShouldNotContain("<b>ring");
        // What the folder of a dry run holds is about pixels, and the same before and after the next print.
        File.ReadAllText(shop.At("ring.png.dry-run/report.json")).ShouldNotContain("R7602");

        // Another setup had none of its own; the bad print of the same bytes is named with its setup.
        ((string)shop.Json("check", "ring.png", "--setup", "black-garment").ShouldExit(0).Json["lastBad"]!["setup"]!).ShouldBe("light-garment");
        shop.Json("printed", "ring.png", "--result", "good").ShouldExit(0);
        foreach (string[] command in commands.Where(command => command[0] is "check" or "export" or "run"))
        {
            shop.Run(command).ShouldExit(0).Out.ShouldNotContain("was bad");
            shop.Json(command).ShouldExit(0).Codes.ShouldNotContain("R7602");
        }
    }

    [Fact]
    public void A_note_goes_with_the_art()
    {
        Picture.Write(shop.At("art.png"), 40, 30, (_, _) => new Rgba8(200, 60, 40));
        shop.Run("note", "art.png").ShouldExit(0).Out.ShouldContain("art.png has no notes.");
        shop.Json("note", "art.png", " ").ShouldFail(2, "R1001");
        shop.Json("note", "art.png", new string('x', 501)).ShouldFail(2, "R1001");
        shop.Json("note", "gull.png", "x").ShouldFail(3, "R3001");
        File.Exists(shop.At("art.png.work")).ShouldBeFalse();

        // Nobody has to choose a setup for it, and it chooses none.
        shop.Json("note", "art.png", "beak brighter,\nasked \u202Eby <b>phone", "--by", "night-shift").ShouldExit(0);
        shop.Json("note", "art.png", "the customer said yes").ShouldExit(0);
        var notes = shop.Json("note", "art.png").ShouldExit(0).Json["notes"]!.AsArray();
        notes.Select(note => ((string)note!["text"]!, (string?)note["by"]))
            .ShouldBe([("beak brighter, asked \\u202Eby <b>phone", "night-shift"), ("the customer said yes", null)]);
        var check = shop.Json("check", "art.png").ShouldExit(0).Json;
        (check["notes"]!.AsArray().Count, (bool)check["setupIsFallback"]!).ShouldBe((2, true));
        shop.Json("history", "art.png").ShouldExit(0).Json["notes"]!.AsArray().Count.ShouldBe(2);
        foreach (string command in (string[])["check", "history", "note"])
        {
            shop.Run(command, "art.png").ShouldExit(0).Out.ShouldContain("by night-shift: beak brighter, asked \\u202Eby <b>phone");
        }

        shop.Json("ticket", "art.png", "-o", "ticket.html", "--setup", "light-garment").ShouldExit(0).Json["notes"]!.AsArray().Count.ShouldBe(2);
        string page = File.ReadAllText(shop.At("ticket.html"));
        page.ShouldContain("the customer said yes");
        page.ShouldContain("&lt;b&gt;phone");
        page.ShouldNotContain("<b>phone");
    }

    [Fact]
    public void The_reasons_of_a_week_are_counted()
    {
        Directory.CreateDirectory(shop.At("orders"));
        foreach (string name in (string[])["a.png", "b.png"])
        {
            Picture.Write(shop.At($"orders/{name}"), 40, 30, (_, _) => new Rgba8(200, 60, 40));
        }

        shop.Json("printed", "orders/a.png", "--setup", "light-garment", "--result", "bad", "--reason", "dust", "--cost", "12.50 EUR", "--by",
            "night-shift").ShouldExit(0);
        shop.Json("printed", "orders/b.png", "--setup", "black-garment", "--result", "bad", "--reason", "dust", "--cost", "4").ShouldExit(0);
        shop.Json("printed", "orders/b.png", "--result", "good").ShouldExit(0);
        var json = shop.Json("history", "--reasons", "orders").ShouldExit(0).Json;
        ((int)json["arts"]!, (int)json["bad"]!, (int)json["prints"]!).ShouldBe((2, 2, 3));
        json["costs"]!.AsArray().Select(cost => ((decimal)cost!["amount"]!, (string?)cost["currency"])).ShouldBe([(4m, null), (12.5m, "EUR")]);
        json["reasons"]!.AsObject().Select(group => group.Key).ShouldBe(["cause", "recipe", "setup", "garment", "lot", "shift"]);
        ((string)json["reasons"]!["cause"]![0]!["name"]!, (int)json["reasons"]!["cause"]![0]!["bad"]!).ShouldBe(("dust", 2));
        string text = shop.Run("history", "--reasons", "orders/a.png", "orders/b.png").ShouldExit(0).Out;
        text.ShouldContain("2 of 3 prints of 2 arts were bad, cost 4.00 + 12.50 EUR.");
        text.ShouldMatch(@"\nby setup\n  black-garment +1 of 2  4\.00\n  light-garment +1 of 1  12\.50 EUR\n");
        text.ShouldMatch(@"\n  nobody named +1 of 2  4\.00\n");
        ((int)shop.Json("history", "--reasons", "orders", "--by", "night-shift").ShouldExit(0).Json["prints"]!).ShouldBe(1);
        ((int)shop.Json("history", "--reasons", "orders", "--since", "9999-01-01").ShouldExit(0).Json["prints"]!).ShouldBe(0);
        shop.Run("history", "--reasons", "orders", "--since", "9999-01-01").ShouldExit(0).Out.ShouldContain("No print is remembered since 9999-01-01.");
        shop.Run("history", "--reasons", "orders", "--setup", "typo").ShouldExit(0).Out.ShouldContain("No print under typo is remembered.");

        shop.Json("history", "--reasons").ShouldFail(2, "R1001");
        shop.Json("history", "--reasons", "--all").ShouldFail(2, "R1001");
        shop.Json("history", "orders/a.png", "orders/b.png").ShouldFail(2, "R1001");
        shop.Json("history", "orders/a.png", "--since", "2026-01-01").ShouldFail(2, "R1001");
        shop.Json("history", "--reasons", "gull.png").ShouldFail(3, "R3001");
        shop.Write("orders/c.png.work", "no work file");
        shop.Json("history", "--reasons", "orders").ShouldExit(0).Codes.ShouldBe(["R3009"]);
    }

    // Made by the program before it knew causes and notes: two steps, a good print, an export, and a bad print with a note.
    [Fact]
    public void A_work_file_of_the_version_before_goes_on()
    {
        string from = Path.Combine(Shop.Root, "tests", "Recipes.Cli.Tests", "EarlierWork");
        File.Copy(Path.Combine(from, "printed.png"), shop.At("printed.png"));
        File.Copy(Path.Combine(from, "printed.png.work"), shop.At("printed.png.work"));
        string before = Shop.HashOf(shop.At("printed.png.work"));
        var check = shop.Json("check", "printed.png").ShouldExit(0).Json;
        ((int)check["step"]!, (string)check["lastBad"]!["note"]!, (string?)check["lastBad"]!["cause"]).ShouldBe((2, "dust left of the figure", null));
        var reasons = shop.Json("history", "--reasons", "printed.png").ShouldExit(0).Json;
        ((int)reasons["bad"]!, (int)reasons["prints"]!, (string?)reasons["reasons"]!["cause"]![0]!["name"]).ShouldBe((1, 2, null));
        Shop.HashOf(shop.At("printed.png.work")).ShouldBe(before);
        shop.Json("undo", "printed.png").ShouldExit(0);
        shop.Json("redo", "printed.png").ShouldExit(0);
        Version().ShouldBe(3);
        shop.Json("printed", "printed.png", "--result", "bad", "--reason", "dust").ShouldExit(0);
        Version().ShouldBe(4);
        shop.Json("note", "printed.png", "clean it first").ShouldExit(0);
        var history = shop.Json("history", "printed.png").ShouldExit(0).Json;
        (history["setups"]![0]!["steps"]!.AsArray().Count, history["setups"]![0]!["prints"]!.AsArray().Count,
            history["setups"]![0]!["exports"]!.AsArray().Count,
            history["notes"]!.AsArray().Count).ShouldBe((2, 3, 1, 1));

        // SQLite, "Database File Format", 1.3: the user version is the big-endian number at byte 60.
        int Version() => System.Buffers.Binary.BinaryPrimitives.ReadInt32BigEndian(File.ReadAllBytes(shop.At("printed.png.work")).AsSpan(60));
    }

    private void Causes(string text)
    {
        string folder = Directory.CreateDirectory(Path.Combine(shop.Home, ".config", "recipes")).FullName;
        File.WriteAllText(Path.Combine(folder, "causes.json"), text);
    }
}
