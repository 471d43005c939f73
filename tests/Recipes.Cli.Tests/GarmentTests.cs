using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>The shop's garments through the program: chosen by name, remembered with the art, told on the ticket.</summary>
public sealed class GarmentTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    private void Stock(string text)
    {
        string folder = Directory.CreateDirectory(Path.Combine(shop.Home, ".config", "recipes")).FullName;
        File.WriteAllText(Path.Combine(folder, "garments.json"), text);
    }

    // The page's own list is the one that is used here, so that it works as it stands.
    private static string PageList =>
        Regex.Match(File.ReadAllText(Path.Combine(Shop.Root, "docs/garments.md")), "```json\n(.*?)```", RegexOptions.Singleline).Groups[1].Value;

    [Fact]
    public void A_garment_chooses_cloth_and_setup_and_stays_with_the_art()
    {
        shop.Json("garments").ShouldExit(0).Json["garments"]!.AsArray().Count.ShouldBe(0);
        Picture.Write(shop.At("order.png"), 300, 200, (x, y) => x is >= 50 and < 250 && y is >= 50 and < 150 ? new Rgba8(240, 124, 28) : Rgba8.White);
        shop.Json("check", "order.png", "--garment", "harbor-tee-navy").ShouldFail(2, "R1013");
        Stock(PageList);
        shop.Json("garments").ShouldExit(0).Json["garments"]!.AsArray().Select(garment => (string)garment!["name"]!)
            .ShouldBe(["harbor-tee-navy", "run-tee-sand"]);
        shop.Run("garments").ShouldExit(0).Out.ShouldContain("Harbor tee, heavy, navy, 100% cotton; setup black-garment; sizes youth M, M, 2XL");
        var shown = shop.Json("garments", "show", "run-tee-sand").ShouldExit(0).Json;
        ((string)shown["setup"]!["garment"]!, (string)shown["setup"]!["underbase"]!).ShouldBe(("#e4d9c0", "none"));
        shop.Json("check", "order.png", "--garment", "harbor-tee-navi").ShouldFail(2, "R1013");
        shop.Json("check", "order.png", "--garment", "harbor-tee-navy", "--setup", "black-garment").ShouldFail(2, "R1001");

        Setup(shop.Json("check", "order.png", "--garment", "harbor-tee-navy").ShouldExit(0).Json);
        Setup(shop.Json("dry-run", "clean-background", "order.png", "--garment", "harbor-tee-navy").ShouldExit(0).Json);
        Setup(shop.Json("commit", "clean-background", "order.png", "--garment", "harbor-tee-navy").ShouldExit(0).Json);
        // Nobody has to say it again.
        Setup(shop.Json("check", "order.png").ShouldExit(0).Json);
        var ticket = shop.Json("ticket", "order.png", "-o", "ticket.html").ShouldExit(0).Json;
        Setup(ticket);
        ((string)ticket["garment"]!["style"]!).ShouldBe("Harbor tee, heavy");
        string page = File.ReadAllText(shop.At("ticket.html"));
        page.ShouldContain("<strong>Harbor tee, heavy, navy, 100% cotton</strong>");
        page.ShouldContain("#1b2440");
        page.ShouldContain("harbor-tee-navy, printed as black-garment");
        shop.Json("export", "order.png", "-o", "print.png").ShouldExit(0);
        ((bool)shop.Json("check", "print.png", "--garment", "harbor-tee-navy").ShouldExit(0).Json["export"]!["current"]!).ShouldBeTrue();
        shop.Json("preview", "order.png", "-o", "look.png", "--garment", "run-tee-sand").ShouldExit(0);
        shop.Json("preview", "order.png", "-o", "more.png", "--garment", "run-tee-sand", "--setup", "light-garment").ShouldFail(2, "R1001");
        shop.Json("run", "clean-background", "order.png", "-o", "made", "--garment", "run-tee-sand").ShouldExit(0);

        // Gone from the list, it is still the setup that the art was kept under.
        Stock("""{ "garments": 1 }""");
        Setup(shop.Json("check", "order.png").ShouldExit(0).Json);

        static void Setup(JsonNode answer) =>
            ((string)answer["setup"]!["name"]!, (string)answer["setup"]!["garment"]!, (bool)answer["setup"]!["bare"]!["black"]!)
                .ShouldBe(("harbor-tee-navy", "#1b2440", true));
    }

    // The art has 4 x 4 in at 300 ppi; a left chest is 3.5 in wide. By day and cloth: H-2, H-1, H-3, then what has no day.
    [Fact]
    public void A_list_of_orders_names_garments_days_sizes_and_places()
    {
        Stock(PageList);
        foreach (string name in (string[])["a", "b", "c", "d"])
        {
            Picture.Write(shop.At(name + ".png"), 1200, 1200,
                (x, y) => x is >= 100 and < 1100 && y is >= 100 and < 1100 ? new Rgba8(240, 124, 28) : Rgba8.White, ppi: 300);
        }

        shop.Write("today.csv", """
            art,recipe,garment,order,ship-by,sizes,place
            d.png,remove-specks,run-tee-sand,H-4,,,
            a.png,fit-to-platen,run-tee-sand,H-1,2026-12-01,"S 4, M 12",left-chest
            b.png,fit-to-platen,harbor-tee-navy,H-2,2026-12-01,2XL,left-chest
            c.png,remove-specks,harbor-tee-navy,H-3,2026-12-02,,on the sleeve
            """);
        var items = shop.Json("run", "--list", "today.csv", "-o", "made").ShouldExit(0).Json["items"]!.AsArray();
        var first = items.Single(item => (string)item!["order"]!["order"]! == "H-1")!;
        var of = first["order"]!;
        ((string)of["shipBy"]!, (string)of["sizes"]!, (string)of["garment"]!, (string)first["parameters"]!["place"]!, (string)first["setup"]!["name"]!)
            .ShouldBe(("2026-12-01", "S 4, M 12", "run-tee-sand", "left-chest", "run-tee-sand"));
        // 3.5 in of 1,000 px of ink.
        ((double)first["effectivePpi"]!).ShouldBe(285.71, 0.01);
        string page = File.ReadAllText(shop.At("made/today.html"));
        int[] at = [.. ((string[])["H-2", "H-1", "H-3", "H-4"]).Select(order => page.IndexOf($"order {order}", StringComparison.Ordinal))];
        at.ShouldAllBe(place => place > 0);
        at.ShouldBe(at.Order());
        foreach (string words in (string[])["ships by 2026-12-01", "S 4, M 12", "left-chest", "on the sleeve", "Harbor tee, heavy, navy, 100% cotton"])
        {
            page.ShouldContain(words);
        }

        // A size that the stock doesn't list is said at the end and on the sheet; the picture is made.
        shop.Write("large.csv", "art,recipe,garment,sizes\nb.png,remove-specks,harbor-tee-navy,\"M 2, 3XL 4\"\n");
        var large = shop.Json("run", "--list", "large.csv", "-o", "large").ShouldExit(0).Json["problems"]!.AsArray().ShouldHaveSingleItem()!;
        ((string)large["code"]!, (string)large["severity"]!, (int)large["where"]!["line"]!, (int)large["where"]!["column"]!)
            .ShouldBe(("R6304", "warning", 2, 37));
        File.ReadAllText(shop.At("large/large.html")).ShouldContain("The stock lists no 3XL of Harbor tee, heavy, navy, 100% cotton.");

        // A blank for a hyphen, and all that is wrong with a row at once.
        shop.Write("blank.csv", "art,recipe,garment,place,quantity,set\na.png,fit-to-platen,run-tee-sand,left chest,none,size=huge; widht=3in\n");
        var blank = shop.Json("run", "--list", "blank.csv", "-o", "never").ShouldExit(2).Json["problems"]!.AsArray();
        blank.Select(problem => (string)problem!["code"]!).ShouldBe(["R6303", "R1004", "R1005", "R1005"]);
        blank.ShouldContain(problem => ((string)problem!["hint"]!).Contains("Did you mean 'left-chest'?"));

        shop.Write("bad.csv", "art,recipe,garment,place\na.png,fit-to-platen,harbor-tee-navi,\nb.png,fit-to-platen,run-tee-sand,left-sleeve\n");
        var refused = shop.Json("run", "--list", "bad.csv", "-o", "never").ShouldExit(2).Json["problems"]!.AsArray();
        refused.Select(problem => ((string)problem!["code"]!, (int)problem["where"]!["line"]!)).ShouldBe([("R1013", 2), ("R1005", 3)]);
        Directory.Exists(shop.At("never")).ShouldBeFalse();
    }

    // 3,300 px at 300 ppi are 11 in: more than the 10 that a youth M takes, less than an M does.
    [Fact]
    public void Ink_that_some_size_can_not_take_is_found()
    {
        Stock(PageList);
        Picture.Write(shop.At("wide.png"), 3300, 300, (_, y) => y is >= 50 and < 250 ? new Rgba8(240, 124, 28) : Rgba8.White, ppi: 300);
        var finding = shop.Json("check", "wide.png", "--garment", "harbor-tee-navy").ShouldExit(0).Json["findings"]!.AsArray()
            .Single(found => (string)found!["code"]! == "garment-too-small")!;
        ((string)finding["message"]!).ShouldContain("more than youth M of");
        ((string)finding["recipe"]!, (string)finding["set"]!).ShouldBe(("fit-to-platen", "width=10in"));
        // The sheet of a list says it too.
        shop.Write("today.csv", "art,recipe,garment\nwide.png,remove-specks,harbor-tee-navy\n");
        shop.Json("run", "--list", "today.csv", "-o", "made").ShouldExit(0).Json["items"]![0]!["findings"]!.AsArray()
            .ShouldContain(found => (string)found!["code"]! == "garment-too-small");
        shop.Run("check", "wide.png", "--setup", "black-garment").ShouldExit(0).Out.ShouldNotContain("garment-too-small");
    }

    [Fact]
    public void A_setup_of_a_garment_s_name_on_other_cloth_is_for_another_shirt()
    {
        Stock(PageList);
        Picture.Write(shop.At("order.png"), 300, 200, (x, y) => x is >= 50 and < 250 && y is >= 50 and < 150 ? new Rgba8(240, 124, 28) : Rgba8.White);
        var setup = shop.Json("garments", "show", "harbor-tee-navy").ShouldExit(0).Json["setup"]!;
        foreach (var (cloth, isIt) in new[] { ("#1b2440", true), ("#c02020", false) })
        {
            setup["garment"] = cloth;
            shop.Write("shirt.json", setup.ToJsonString());
            var ticket = shop.Json("ticket", "order.png", "-o", "ticket.html", "--setup", "./shirt.json", "--force").ShouldExit(0).Json;
            (ticket["garment"] is not null).ShouldBe(isIt);
        }
    }

    [Fact]
    public void A_list_that_can_not_be_used_is_refused_with_its_place()
    {
        Picture.Write(shop.At("order.png"), 30, 20, (_, _) => new Rgba8(240, 124, 28));
        Stock(PageList.Replace("#1b2440", "navy", StringComparison.Ordinal));
        var refused = shop.Json("check", "order.png", "--garment", "harbor-tee-navy").ShouldFail(2, "R1012").Json["problems"]![0]!;
        ((string)refused["message"]!).ShouldContain("'stock[0].cloth' takes a color");
        ((string)refused["where"]!["file"]!).ShouldEndWith("garments.json");
        // Whoever asks for a setup by its name doesn't need the stock.
        shop.Json("check", "order.png", "--setup", "light-garment").ShouldExit(0);
    }

    private void KeepForNavy()
    {
        Stock(PageList);
        Picture.Write(shop.At("order.png"), 300, 200,
            (x, y) => x is >= 50 and < 250 && y is >= 50 and < 150 ? new Rgba8(240, 124, 28) : new Rgba8(253, 253, 253), ppi: 300);
        shop.Json("commit", "clean-background", "order.png", "--garment", "harbor-tee-navy").ShouldExit(0);
    }

    // The work file has the setup that the art was kept under, so steps are taken back without the list.
    [Fact]
    public void Art_kept_for_a_garment_goes_on_where_the_list_is_broken()
    {
        KeepForNavy();
        Stock("{ broken");
        ((int)shop.Json("undo", "order.png").ShouldExit(0).Json["step"]!).ShouldBe(0);
        ((int)shop.Json("redo", "order.png", "--garment", "harbor-tee-navy").ShouldExit(0).Json["step"]!).ShouldBe(1);
        shop.Json("undo", "order.png", "--garment", "harbor-tee-navy", "--setup", "light-garment").ShouldFail(2, "R1001");
        var check = shop.Json("check", "order.png").ShouldExit(0).Json;
        ((string)check["setup"]!["garment"]!).ShouldBe("#1b2440");
        ((string)check["findings"]!.AsArray().Single(finding => (string)finding!["code"]! == "garment-unknown")!["message"]!).ShouldContain("nobody looked");
        shop.Json("export", "order.png", "-o", "print.png").ShouldExit(0);
        // A wrong shirt is the dearest mistake at the press: no ticket without the list.
        shop.Json("ticket", "order.png", "-o", "ticket.html").ShouldFail(2, "R1012");
    }

    [Fact]
    public void A_garment_whose_cloth_was_changed_in_the_list_has_to_be_named()
    {
        KeepForNavy();
        Stock(PageList.Replace("#1b2440", "#801020", StringComparison.Ordinal));
        ((string)shop.Json("check", "order.png").ShouldFail(2, "R1007").Json["problems"]![0]!["message"]!).ShouldContain("cloth");
        shop.Json("undo", "order.png").ShouldExit(0);
        ((string)shop.Json("check", "order.png", "--garment", "harbor-tee-navy").ShouldExit(0).Json["setup"]!["garment"]!).ShouldBe("#801020");
    }

    // Every field of the schema is one that is read, and every field that is read is in it: an unknown one is refused.
    [Fact]
    public void The_schema_describes_what_is_read()
    {
        var schema = JsonNode.Parse(File.ReadAllText(Path.Combine(Shop.Root, "docs/garments.schema.json")))!;
        string[] Of(JsonNode? node) => [.. node!["properties"]!.AsObject().Select(property => property.Key).Order()];
        var list = JsonNode.Parse(PageList)!;
        Of(schema).ShouldBe(list.AsObject().Select(field => field.Key).Order());
        var tee = list["stock"]![0]!;
        Of(schema["$defs"]!["garment"]).ShouldBe(tee.AsObject().Select(field => field.Key).Order());
        Of(schema["$defs"]!["size"]).ShouldBe(tee["sizes"]![0]!.AsObject().Select(field => field.Key).Order());
        foreach (string field in schema["$defs"]!["garment"]!["required"]!.AsArray().Select(name => (string)name!))
        {
            var less = JsonNode.Parse(PageList)!;
            less["stock"]![0]!.AsObject().Remove(field);
            Stock(less.ToJsonString());
            shop.Json("garments").ShouldFail(2, "R1012");
        }
    }
}
