using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>A repeat order through the program: kept, printed, printed again from another lot.</summary>
public sealed class TicketTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_repeat_from_another_lot_is_tested_first()
    {
        Picture.WriteRing(shop.At("order.png"));
        foreach (string lot in (string[])["W-117", "W-118"])
        {
            shop.Write($"{lot}.json", $$"""{ "name": "black-shop", "garment": "#161618", "platen": { "width": 14, "height": 16 }, "inkLot": "{{lot}}", "pretreatment": "dark 2" }""");
        }

        var before = shop.Snapshot();
        shop.Json("ticket", "order.png", "-o", "ticket.html").ShouldFail(2, "R1008");
        shop.Json("ticket", "order.png", "-o", "ticket.txt", "--setup", "W-117.json").ShouldFail(2, "R1001");
        shop.Json("printed", "order.png", "--result", "fair", "--note", "x", "--setup", "W-117.json").ShouldFail(2, "R1001");
        shop.Json("printed", "order.png", "--result", "good", "--note", " ", "--setup", "W-117.json").ShouldFail(2, "R1001");
        shop.Json("printed", "order.png", "--result", "bad", "--setup", "W-117.json").ShouldFail(2, "R1001");
        shop.Snapshot().ShouldBe(before);

        shop.Json("commit", "printable-whites", "order.png", "--setup", "W-117.json").ShouldExit(0);
        var printed = shop.Json("printed", "order.png", "--result", "good", "--note", "whites dense", "--by", "night-shift").ShouldExit(0).Json["print"]!;
        ((int)printed["step"]!, (string)printed["inkLot"]!, (string)printed["by"]!, (string)printed["result"]!).ShouldBe((1, "W-117", "night-shift", "good"));

        var same = shop.Json("ticket", "order.png", "-o", "ticket.html").ShouldExit(0);
        (same.Codes.Length, (bool)same.Json["testFirst"]!).ShouldBe((0, false));
        shop.Json("ticket", "order.png", "-o", "ticket.html").ShouldFail(9, "R8001");
        shop.Json("ticket", "order.png", "-o", "again.html").ShouldExit(0);
        Shop.HashOf(shop.At("again.html")).ShouldBe(Shop.HashOf(shop.At("ticket.html")));
        Shop.HashOf(shop.At("again-strip.png")).ShouldBe(Shop.HashOf(shop.At("ticket-strip.png")));

        // Both or neither, whichever of them is there already.
        File.Delete(shop.At("again.html"));
        shop.Json("ticket", "order.png", "-o", "again.html").ShouldFail(9, "R8001");
        File.Exists(shop.At("again.html")).ShouldBeFalse();
        shop.Json("ticket", "order.png", "-o", "again.html", "--force").ShouldExit(0);
        var strip = shop.Json("check", "again-strip.png", "--setup", "W-117.json").ShouldExit(0).Json["findings"]!.AsArray();
        strip.ShouldAllBe(finding => finding!["recipe"] == null && ((string)finding["message"]!).Contains("made by recipes"));

        var other = shop.Json("ticket", "order.png", "-o", "other.html", "--setup", "W-118.json").ShouldExit(0);
        other.Codes.ShouldBe(["R7601"]);
        var change = other.Json["changes"]!.AsArray().ShouldHaveSingleItem()!;
        ((string)change["what"]!, (string)change["was"]!, (string)change["now"]!).ShouldBe(("ink lot", "W-117", "W-118"));
        File.ReadAllText(shop.At("other.html")).ShouldContain("TEST FIRST");

        // The bracket that the ticket offers is a command that works.
        string bracket = (string)other.Json["brackets"]![0]!;
        string[] words = [.. bracket.Split(' ').Select(word => word.Trim('\''))];
        words[0].ShouldBe("recipes");
        shop.Run(words[1..]).ShouldExit(0);
        File.Exists(shop.At(words[5])).ShouldBeTrue();

        ((JsonArray)shop.Json("history", "order.png").ShouldExit(0).Json["setups"]![0]!["prints"]!).Count.ShouldBe(1);
    }

    [Fact]
    public void The_order_stands_at_the_head_of_the_sheet()
    {
        Picture.Write(shop.At("art.png"), 40, 30, (_, _) => new Rgba8(200, 60, 40));
        var made = shop.Json("ticket", "art.png", "-o", "art.html", "--setup", "light-garment", "--field", "ship-by=2026-12-01", "--field", "sizes=S 4, M = 12",
            "--field", "quantity=24", "--field", "order=H-1042", "--field", "reference=<b>harbor</b>\u202Efun").ShouldExit(0).Json["fields"]!.AsObject();
        made.Select(field => field.Key).ShouldBe(["order", "reference", "quantity", "sizes", "ship-by"]);
        ((string)made["sizes"]!).ShouldBe("S 4, M = 12");
        ((string)made["reference"]!).ShouldNotContain("\u202E");
        string page = File.ReadAllText(shop.At("art.html"));
        foreach (string words in (string[])
            ["<dt>Order number</dt>", "H-1042", "<dt>Customer's reference</dt>", "<dt>Quantity</dt>",
                "<dt>Garment sizes</dt>", "<dt>Ship by</dt>", "2026-12-01"])
        {
            page.ShouldContain(words);
        }

        page.ShouldNotContain("<b>harbor");
        shop.Json("ticket", "art.png", "-o", "plain.html", "--setup", "light-garment").ShouldExit(0).Json["fields"]!.AsObject().Count.ShouldBe(0);
        File.ReadAllText(shop.At("plain.html")).ShouldNotContain("Order number");
    }

    [Theory]
    [InlineData("order")]
    [InlineData("=7")]
    [InlineData("Order=7")]
    [InlineData("order=")]
    [InlineData("order= ")]
    [InlineData("quantity=twelve")]
    [InlineData("quantity=0")]
    [InlineData("quantity=-3")]
    [InlineData("quantity=100001")]
    [InlineData("order=1", "--field", "order=2")]
    public void A_field_that_says_nothing_is_refused(string field, params string[] more)
    {
        Picture.Write(shop.At("art.png"), 40, 30, (_, _) => new Rgba8(200, 60, 40));
        shop.Json(["ticket", "art.png", "-o", "art.html", "--setup", "light-garment", "--field", field, .. more]).ShouldFail(2, "R1001");
        File.Exists(shop.At("art.html")).ShouldBeFalse();
    }

    [Fact]
    public void A_print_of_a_file_without_steps_begins_its_work_file()
    {
        Picture.Write(shop.At("art.png"), 40, 30, (_, _) => new Rgba8(200, 60, 40));
        shop.Json("printed", "art.png", "--result", "bad", "--note", "banding", "--setup", "light-garment").ShouldExit(0);
        File.Exists(shop.At("art.png.work")).ShouldBeTrue();
        var ticket = shop.Json("ticket", "art.png", "-o", "art.html", "--setup", "light-garment").ShouldExit(0);
        ticket.Codes.ShouldBe(["R7601", "R7602"]);
        ((string)ticket.Json["badSince"]!["note"]!).ShouldBe("banding");
        ((string)ticket.Json["colors"]![0]!["rgb"]!).ShouldBe("#c83c28");
        shop.Json("printed", "art.png", "--result", "good").ShouldExit(0).Json["print"]!["note"].ShouldBeNull();
        // The print's setup is the work's last one.
        ((string)shop.Json("check", "art.png").ShouldExit(0).Json["setup"]!["name"]!).ShouldBe("light-garment");
        ((bool)shop.Json("check", "art.png").ShouldExit(0).Json["setupIsFallback"]!).ShouldBeFalse();
    }
}
