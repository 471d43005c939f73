using System.Text.Json.Nodes;

namespace Recipes.Desk.Tests;

/// <summary>The order lists of the desk's folders: what is next, what needs somebody, what is done.</summary>
public class OrderTableTests
{
    [Fact]
    public async Task What_leaves_first_comes_first_and_what_is_finished_is_done()
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        desk.Draw("sail.png");
        File.WriteAllText(desk.At("orders.csv"),
            "art,recipe,set,setup,quantity,order,ship-by,output\n"
            + "sail.png,printable-whites,near=20,black-garment,3,H-2,2026-12-04,sail-back\n"
            + "puffin.png,printable-whites,,light-garment,12,H-1,2026-12-03,puffin-front\n"
            + "gone.png,printable-whites,,light-garment,1,H-3,2026-12-05,gone\n");
        var rows = await Rows(desk);
        rows.Select(row => (string)row["order"]!).ShouldBe(["H-1", "H-2", "H-3"]);
        rows.Select(row => (string)row["state"]!).ShouldBe(["ready", "ready", "needs-you"]);
        rows.Select(row => (string)row["stem"]!).ShouldBe(["puffin-front-H-1", "sail-back-H-2", "gone-H-3"]);
        rows.Select(row => (string)row["cloth"]!).ShouldBe(["#f4f2ec", "#161618", "#f4f2ec"]);
        ((string)rows[1]["values"]!["near"]!).ShouldBe("20");
        ((string)rows[2]["why"]!).ShouldContain("gone.png");

        var state = await desk.Open("puffin.png");
        var tried = (await desk.Try(state, "printable-whites"))["try"]!;
        var finished = await desk.Post($"api/arts/{OpenDesk.Id(state)}/finish", new JsonObject
        {
            ["token"] = (string)tried["token"]!, ["stem"] = (string)rows[0]["stem"]!, ["ticket"] = new JsonObject { ["order"] = "H-1" },
        });
        finished["problems"].ShouldBeNull();
        (await Rows(desk)).Select(row => (string)row["state"]!).ShouldBe(["done", "ready", "needs-you"]);

        // The same art comes again, in another list and under another number; nor is one done whose ticket is gone.
        File.WriteAllText(desk.At("later.csv"),
            "art,recipe,setup,order,ship-by,output\npuffin.png,printable-whites,light-garment,H-9,2026-12-09,puffin-front\n");
        (await Rows(desk)).Select(row => (string)row["state"]!).ShouldBe(["done", "ready", "needs-you", "ready"]);
        File.Delete(desk.At("later.csv"));
        File.Move(desk.At("puffin-front-H-1-light-garment-ticket.html"), desk.At("elsewhere.html"));
        (await Rows(desk))[0]["state"]!.GetValue<string>().ShouldBe("ready");
        File.Move(desk.At("elsewhere.html"), desk.At("puffin-front-H-1-light-garment-ticket.html"));

        // Taken back, it isn't any more.
        await desk.Post($"api/arts/{OpenDesk.Id(state)}/undo", new JsonObject { ["of"] = (string)finished["state"]!["token"]! });
        (await Rows(desk))[0]["state"]!.GetValue<string>().ShouldBe("ready");
    }

    [Fact]
    public async Task A_row_that_the_desk_can_t_open_as_it_is_meant_needs_somebody()
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        File.WriteAllText(desk.At("orders.csv"), "art,recipe,setup,garment,output\n"
            + "puffin.png,printable-whites,black-garment.json,,a\npuffin.png,printable-whites,,no-such-garment,b\n"
            + "../puffin.png,printable-whites,light-garment,,c\n");
        var rows = await Rows(desk);
        rows.Count.ShouldBe(3);
        rows.ShouldAllBe(row => (string)row["state"]! == "needs-you" && row["problems"]!.AsArray().Count > 0);
    }

    [Fact]
    public async Task A_broken_list_says_where_and_other_tables_are_left_alone()
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        File.WriteAllText(desk.At("orders.csv"), "art,recipe,quantity\npuffin.png,printable-whites,many\n");
        var row = (await Rows(desk)).ShouldHaveSingleItem();
        ((string)row["state"]!).ShouldBe("needs-you");
        ((string)row["problems"]![0]!["code"]!).ShouldBe("R6303");
        ((int)row["problems"]![0]!["where"]!["line"]!).ShouldBe(2);
    }

    private static async Task<List<JsonObject>> Rows(OpenDesk desk) => [.. (await desk.Get("api/orders"))["orders"]!.AsArray().OfType<JsonObject>()];
}
