using System.Text.Json.Nodes;
using System.Xml.Linq;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary><c>run --list</c>: every row checked before any is written, and a sheet to tick off.</summary>
public sealed class OrderListTests : IDisposable
{
    private readonly Shop shop = new();

    public OrderListTests()
    {
        Directory.CreateDirectory(shop.At("orders"));
        Picture.WriteRing(shop.At("orders/ring.png"));
    }

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_row_sets_its_own_parameters_and_may_begin_with_what_was_kept()
    {
        shop.Json("commit", "printable-whites", "orders/ring.png", "--setup", "light-garment").ShouldExit(0);
        string work = Shop.HashOf(shop.At("orders/ring.png.work"));
        shop.Write("orders/run.csv", "art,recipe,output,set,from\nring.png,clean-background,kept,,kept\nring.png,clean-background,came,,file\n"
            + "ring.png,printable-whites,none,smallest=300px,\nring.png,printable-whites,all,,\n");
        var answer = shop.Json("run", "--list", "orders/run.csv", "-o", "out", "--setup", "light-garment").ShouldExit(0);
        // The ring of 40 px encloses 16 x 16 px of pure white, which is smaller than 300 px.
        (string, int)[] middles = [("kept", 254), ("came", 255), ("none", 255), ("all", 254)];
        foreach (var (name, level) in middles)
        {
            ((int)Picture.Read(shop.At($"out/{name}.png")).Pixels[(20 * 40) + 20].R).ShouldBe(level, name);
        }

        answer.Json["items"]!.AsArray().Select(item => (string)item!["order"]!["from"]!).ShouldBe(["kept", "file", "file", "file"]);
        // Only the row that leaves out what was kept warns of it.
        answer.Json["items"]![0]!["problems"]!.AsArray().ShouldBeEmpty();
        answer.Json["items"]![1]!["problems"]!.AsArray().Select(problem => (string)problem!["code"]!).ShouldBe(["R6012"]);
        Shop.HashOf(shop.At("orders/ring.png.work")).ShouldBe(work);

        // What was kept can be taken as it is.
        shop.Write("orders/run.csv", "art,recipe,output,from\nring.png,,as-kept,kept\n");
        var taken = shop.Json("run", "--list", "orders/run.csv", "-o", "out", "--setup", "light-garment").ShouldExit(0).Json["items"]!.AsArray().Single()!;
        (taken["recipe"], (long)taken["changed"]!["pixels"]!, (int)taken["fromStep"]!).ShouldBe((null, 0, 1));
        ((int)Picture.Read(shop.At("out/as-kept.png")).Pixels[(20 * 40) + 20].R).ShouldBe(254);
        XDocument.Load(shop.At("out/run.html")).Descendants("tr").Last().Value.ShouldContain("as it was kept");
        shop.Run("run", "--list", "orders/run.csv", "-o", "out", "--setup", "light-garment").ShouldExit(0)
            .Out.ShouldContain("as it was kept, wrote out/as-kept.png");

        shop.Write("orders/run.csv", "art,recipe,output,setup,set,from\nring.png,clean-background,a,black-garment,,kept\n"
            + "ring.png,pure-black,b,black-garment,nobody=3,\n");
        var refused = shop.Json("run", "--list", "orders/run.csv", "-o", "new").ShouldFail(2, "R6303").Json["problems"]!.AsArray();
        refused.Select(problem => ((string)problem!["code"]!, (int)problem["where"]!["line"]!)).ShouldBe([("R6303", 2), ("R1004", 3)]);
        Directory.Exists(shop.At("new")).ShouldBeFalse();
    }

    [Fact]
    public void A_list_makes_every_picture_and_a_sheet()
    {
        Picture.Write(shop.At("orders/dust.png"), 40, 30, (x, _) => x == 20 ? new Rgba8(200, 30, 30) : new Rgba8(251, 252, 250));
        shop.Write("orders/own.csx", "Recipe.Title(\"Own\");\nArt.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"own\");\n");
        shop.Write("orders/run.csv", "art,recipe,setup,quantity,label,output\r\nring.png,printable-whites,light-garment,3,\"Crew <M>, \"\"fun run\"\"\",crew-m\r\n"
            + "ring.png,./own.csx,black-garment,1,,crew-l.png\r\ndust.png,clean-background,,25,Dust,\r\n");
        string[] command = ["run", "--list", "orders/run.csv", "-o", "out", "--setup", "light-garment", "--by", "night-shift"];
        var answer = shop.Json(command).ShouldExit(0).Json;
        ((int)answer["list"]!["rows"]!, (int)answer["list"]!["pieces"]!, (string?)answer["outputs"]!["sheet"]).ShouldBe((3, 29, "out/run.html"));
        var items = answer["items"]!.AsArray();
        items.Select(item => (string?)item!["outputs"]!["file"]).ShouldBe(["out/crew-m.png", "out/crew-l.png", "out/dust.png"]);
        items.Select(item => (string?)item!["setup"]!["name"]).ShouldBe(["light-garment", "black-garment", "light-garment"]);
        items.Select(item => (string?)item!["recipe"]!["name"]).ShouldBe(["printable-whites", "own", "clean-background"]);
        Directory.GetFiles(shop.At("out")).Select(Path.GetFileName).Order(StringComparer.Ordinal)
            .ShouldBe(["crew-l.json", "crew-l.png", "crew-m.json", "crew-m.png", "dust.json", "dust.png", "run.html"]);
        // The ring of 40 px encloses 16 x 16 px of pure white.
        ((long)items[0]!["changed"]!["pixels"]!).ShouldBe(256);
        Picture.Read(shop.At("out/crew-m.png")).Pixels[(20 * 40) + 20].ShouldBe(new Rgba8(254, 254, 254));

        var rows = XDocument.Load(shop.At("out/run.html")).Descendants("tbody").Elements("tr").ToList();
        rows.Select(row => row.Descendants("bdi").First().Value).ShouldBe(["crew-l", "Crew <M>, \"fun run\"", "Dust"]);
        // By cloth: #161618 before #f4f2ec, and within it by row.
        rows.Select(row => row.Descendants("span").Count()).ShouldBe([1, 3, 1]);
        // A line of 1 px at 300 ppi is 0.08 mm wide, and 'check' finds lines below 0.3 mm.
        rows[2].Elements("td").ElementAt(3).Value.ShouldContain("lines thinner than 0.3 mm");
        items[2]!["findings"]!.AsArray().Select(finding => (string)finding!["code"]!).ShouldContain("thin-lines");
        rows.ShouldAllBe(row => row.Descendants("img").Count() == 1);
        var lines = File.ReadAllLines(Path.Combine(shop.Home, ".local/share/recipes/journal.jsonl")).Select(line => JsonNode.Parse(line)!).ToList();
        lines.Select(line => ((string?)line["what"], (string?)line["file"]!["sha256"])).ShouldBe(
            new[] { "crew-m", "crew-l", "dust" }.Select(stem => ((string?)"run", (string?)Shop.HashOf(shop.At($"out/{stem}.png")))));

        // Again: its own output is replaced, somebody else's is not.
        shop.Json(command).ShouldExit(0);
        shop.Write("out/run.html", "my notes");
        shop.Json(command).ShouldFail(9, "R8001");
        File.ReadAllText(shop.At("out/run.html")).ShouldBe("my notes");
        shop.Json("run", "printable-whites", "orders/ring.png", "--list", "orders/run.csv", "-o", "out").ShouldFail(2, "R1001");
    }

    [Fact]
    public void Thirty_rows_become_thirty_pictures_in_the_order_of_the_list()
    {
        // Several at a time, of two arts, so that workers and rows meet in every order.
        Picture.Write(shop.At("orders/dust.png"), 40, 30, (x, _) => x == 20 ? new Rgba8(200, 30, 30) : new Rgba8(251, 252, 250));
        string[] stems = [.. Enumerable.Range(1, 30).Select(i => $"crew-{i}")];
        shop.Write("orders/run.csv", "art,recipe,quantity,output\n" + string.Concat(stems.Select((stem, i) => i % 3 == 0 ? $"dust.png,clean-background,2,{stem}\n" : $"ring.png,printable-whites,1,{stem}\n")));
        var answer = shop.Json("run", "--list", "orders/run.csv", "-o", "out", "--setup", "light-garment").ShouldExit(0).Json;
        ((int)answer["list"]!["rows"]!, (int)answer["list"]!["pieces"]!).ShouldBe((30, 40));
        answer["items"]!.AsArray().Select(item => (string?)item!["outputs"]!["file"]).ShouldBe(stems.Select(stem => $"out/{stem}.png"));
        answer["items"]!.AsArray().Select(item => (string?)item!["recipe"]!["name"]).ShouldBe(stems.Select((_, i) => i % 3 == 0 ? "clean-background" : "printable-whites"));
        // Each picture is that of its row: the arts differ in size.
        stems.Select(stem => Picture.Read(shop.At($"out/{stem}.png")).Height).ShouldBe(stems.Select((_, i) => i % 3 == 0 ? 30 : 40));
        XDocument.Load(shop.At("out/run.html")).Descendants("tbody").Elements("tr").Count().ShouldBe(30);
    }

    [Fact]
    public void A_row_that_fails_is_named_before_the_recipe_s_own_line()
    {
        shop.Write("orders/no.csx", "Recipe.Decline(\"not tonight\");\n");
        shop.Write("orders/run.csv", "art,recipe,setup,output\nring.png,printable-whites,light-garment,good\nring.png,./no.csx,light-garment,bad\n");
        var failed = shop.Json("run", "--list", "orders/run.csv", "-o", "out").ShouldFail(5, "R4002").Json["problems"]!.AsArray().Single()!;
        ((string)failed["message"]!).ShouldStartWith("row 2, orders/ring.png: The recipe declined: not tonight (");
        ((string)failed["message"]!).ShouldEndWith("no.csx(1,1))");
        ((string?)failed["where"]!["file"], (int)failed["where"]!["line"]!).ShouldBe(("orders/run.csv", 3));
    }

    [Fact]
    public void A_bad_row_is_told_with_line_and_column_and_nothing_is_written()
    {
        shop.Write("orders/broken.png", "no picture");
        shop.Write("orders/refused.csx", "System.IO.File.Delete(\"x\");\n");
        string list = shop.Write("orders/run.csv", "art,recipe,setup,output\nring.png,printable-whites,light-garment,good\nnone.png,printable-whites,light-garment,a\n"
            + "ring.png,no-such,light-garment,b\nring.png,./refused.csx,light-garment,c\nring.png,printable-whites,no-setup,d\n");
        var before = shop.Snapshot();
        string[] command = ["run", "--list", "orders/run.csv", "-o", "out"];
        var problems = shop.Json(command).ShouldFail(3, "R3001").Json["problems"]!.AsArray();
        problems.Select(problem => ((string?)problem!["code"], (string?)problem["where"]!["file"], (int)problem["where"]!["line"]!, (int)problem["where"]!["column"]!)).ShouldBe(
            [("R3001", "orders/run.csv", 3, 1), ("R1002", "orders/run.csv", 4, 10), ("R2002", "orders/run.csv", 5, 10), ("R1006", "orders/run.csv", 6, 27)]);
        // What only decoding shows is found before the first is written, and told together with a row that doesn't read and one without an art.
        shop.Write("orders/run.csv", "art,recipe,setup,quantity\nring.png,printable-whites,light-garment,1\nbroken.png,printable-whites,light-garment,1\n"
            + "ring.png,printable-whites,light-garment,none\nnone.png,no-such,light-garment,1\n");
        var broken = shop.Json(command).ShouldFail(2, "R6303").Json["problems"]!.AsArray();
        broken.Select(problem => ((string?)problem!["code"], (int)problem["where"]!["line"]!))
            .ShouldBe([("R6303", 4), ("R1009", 4), ("R3003", 3), ("R1002", 5), ("R3001", 5)]);
        // One row's picture may not be another row's original, whatever is forced.
        shop.Write("orders/run.csv", "art,recipe,setup,output\nring.png,printable-whites,light-garment,broken\nbroken.png,printable-whites,light-garment,ring-2\n");
        shop.Json("run", "--list", "orders/run.csv", "-o", "orders", "--force").ShouldFail(9, "R8001").Codes.ShouldBe(["R8001", "R3003"]);
        shop.Write("orders/run.csv", "art,recipe\nring.png,printable-whites\n");
        shop.Json(command).ShouldFail(2, "R1008");
        shop.Write("orders/run.csv", "art,recipe,quantity\nring.png,printable-whites,none\n");
        shop.Json(command).ShouldFail(2, "R6303");
        before.Remove("orders/run.csv");
        var after = shop.Snapshot();
        after.Remove(Path.GetRelativePath(shop.Desk, list));
        after.ShouldBe(before);
    }
}
