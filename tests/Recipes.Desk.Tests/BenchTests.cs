using System.Net;
using System.Net.Http.Headers;
using System.Security.Cryptography;
using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Desk.Tests;

/// <summary>What is done to an art from the page, against the art as it was drawn and against the same use cases without a page.</summary>
public class BenchTests
{
    private static readonly Rgba8 Printable = new(254, 254, 254);

    [Fact]
    public async Task An_art_is_shown_as_it_is()
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        var state = await desk.Open("puffin.png");
        ((int)state["art"]!["width"]!, (int)state["art"]!["height"]!, (int)state["step"]!).ShouldBe((200, 140, 0));
        ((string)state["kind"]!).ShouldBe("on-paper");
        state["regions"]!.AsArray().Count.ShouldBe(1);
        var raw = await desk.Picture(OpenDesk.Id(state), OpenDesk.Token(state), "raw", 200, 140);
        raw[(60 * 200) + 60].ShouldBe(Rgba8.White);
        raw[(40 * 200) + 40].ShouldBe(new Rgba8(200, 40, 30));
        // Half the size: white and red meet at even places, so no pixel is a mixture.
        var half = await desk.Picture(OpenDesk.Id(state), OpenDesk.Token(state), "raw", 100, 70, level: 1);
        half.ShouldBe(Enumerable.Range(0, 100 * 70).Select(i => raw[(i / 100 * 2 * 200) + (i % 100 * 2)]));
    }

    [Fact]
    public async Task A_try_shows_what_a_keep_keeps_and_a_dry_run_shows()
    {
        await using var desk = await OpenDesk.Start();
        string path = desk.Draw("puffin.png");
        byte[] original = File.ReadAllBytes(path);
        var state = await desk.Open("puffin.png");
        var tried = (await desk.Try(state, "printable-whites"))["try"]!.AsObject();
        ((long)tried["report"]!["changed"]!["pixels"]!).ShouldBe(40 * 40);
        tried["refusal"].ShouldBeNull();
        File.Exists(path + ".work").ShouldBeFalse("a try keeps nothing");
        var shown = await desk.Picture(OpenDesk.Id(state), OpenDesk.Token(tried), "raw", 200, 140);
        shown.Count(pixel => pixel == Printable).ShouldBe(40 * 40);
        shown[(60 * 200) + 60].ShouldBe(Printable);
        shown.ShouldBe(Elsewhere.Try(path));
        var kept = await desk.Post($"api/arts/{OpenDesk.Id(state)}/keep", new JsonObject { ["token"] = OpenDesk.Token(tried), ["by"] = "night-shift" });
        ((int)kept["step"]!).ShouldBe(1);
        var step = kept["steps"]!.AsArray().Single()!;
        ((string)step["recipe"]!["name"]!, (string)step["by"]!).ShouldBe(("printable-whites", "night-shift"));
        (await desk.Picture(OpenDesk.Id(state), OpenDesk.Token(kept), "raw", 200, 140)).ShouldBe(shown);
        Elsewhere.Line(path).Head.ShouldBe(1);
        File.ReadAllBytes(path).ShouldBe(original);
    }

    [Fact]
    public async Task Steps_go_back_and_forth_and_an_export_and_its_ticket_are_of_what_is_shown()
    {
        await using var desk = await OpenDesk.Start();
        string path = desk.Draw("puffin.png");
        var state = await desk.Open("puffin.png");
        string id = OpenDesk.Id(state);
        var tried = (await desk.Try(state, "printable-whites"))["try"]!;
        var finished = await desk.Post($"api/arts/{id}/finish", new JsonObject
        {
            ["token"] = (string)tried["token"]!, ["by"] = "night-shift", ["ticket"] = new JsonObject { ["order"] = "H-1042", ["quantity"] = "12" },
        });
        string export = desk.At("puffin-light-garment.png"), ticket = desk.At("puffin-light-garment-ticket.html");
        ((string)finished["export"]!["path"]!, (string)finished["ticket"]!["path"]!).ShouldBe((export, ticket));
        ((string)finished["export"]!["sha256"]!).ShouldBe(Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(export))));
        File.ReadAllText(ticket).ShouldContain("H-1042");
        Elsewhere.Pixel(export, 60, 60).ShouldBe(Printable);
        // The export is no art of the customer's.
        (await desk.Get("api/arts"))["arts"]!.AsArray().Select(art => (string)art!["name"]!).ShouldBe(["puffin.png"]);
        var back = await desk.Post($"api/arts/{id}/undo", new JsonObject { ["of"] = OpenDesk.Token(finished["state"]!.AsObject()) });
        ((int)back["step"]!).ShouldBe(0);
        // The ticket is only ever of the state that is shown.
        OpenDesk.Code(await desk.Post($"api/arts/{id}/export", new JsonObject { ["of"] = OpenDesk.Token(finished["state"]!.AsObject()) })).ShouldBe("R6002");
        var again = await desk.Post($"api/arts/{id}/redo", new JsonObject { ["of"] = OpenDesk.Token(back) });
        ((int)again["step"]!).ShouldBe(1);
        (await desk.Post($"api/arts/{id}/export", new JsonObject { ["of"] = OpenDesk.Token(again) }))["export"].ShouldNotBeNull();
        File.Exists(path).ShouldBeTrue();
    }

    [Fact]
    public async Task What_was_kept_elsewhere_meanwhile_is_not_kept_over()
    {
        await using var desk = await OpenDesk.Start();
        string path = desk.Draw("puffin.png");
        var state = await desk.Open("puffin.png");
        var tried = (await desk.Try(state, "printable-whites"))["try"]!;
        Elsewhere.Keep(path);
        using var refused = await desk.Send($"api/arts/{OpenDesk.Id(state)}/keep", new JsonObject { ["token"] = (string)tried["token"]! });
        refused.StatusCode.ShouldBe(HttpStatusCode.Conflict);
        (await refused.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).ShouldContain("R6001");
        Elsewhere.Line(path).Steps.ShouldHaveSingleItem();
        Elsewhere.Line(path).Steps.ShouldAllBe(step => step.Record.By == "day-shift");
    }

    [Fact]
    public async Task A_note_and_a_step_back_are_of_what_is_seen()
    {
        await using var desk = await OpenDesk.Start();
        string path = desk.Draw("puffin.png");
        var state = await desk.Open("puffin.png");
        string id = OpenDesk.Id(state);
        Elsewhere.Keep(path);
        // The page would go on with the picture of the step before.
        OpenDesk.Code(await desk.Post($"api/arts/{id}/note", new JsonObject { ["of"] = OpenDesk.Token(state), ["text"] = "Belly white?" })).ShouldBe("R6002");
        OpenDesk.Code(await desk.Post($"api/arts/{id}/undo", new JsonObject { ["of"] = OpenDesk.Token(state) })).ShouldBe("R6002");
        Elsewhere.Line(path).Head.ShouldBe(1);
    }

    [Fact]
    public async Task Art_that_needs_nothing_is_finished_as_it_came()
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        var state = await desk.Open("puffin.png");
        var finished = await desk.Post($"api/arts/{OpenDesk.Id(state)}/finish", new JsonObject { ["token"] = OpenDesk.Token(state), ["by"] = "night-shift" });
        finished["problems"].ShouldBeNull();
        // The export is remembered, so a second finish replaces it instead of stopping at it.
        finished["state"]!["exports"]!.AsArray().Count.ShouldBe(1);
        var again = await desk.Post($"api/arts/{OpenDesk.Id(state)}/finish", new JsonObject { ["token"] = OpenDesk.Token(finished["state"]!.AsObject()) });
        ((string)again["export"]!["sha256"]!).ShouldBe((string)finished["export"]!["sha256"]!);
    }

    [Fact]
    public async Task A_setup_that_nobody_chose_shows_and_keeps_nothing()
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        var state = await desk.Open("puffin.png", setup: null);
        ((bool)state["setupIsFallback"]!).ShouldBeTrue();
        var tried = (await desk.Try(state, "printable-whites"))["try"]!;
        OpenDesk.Code(await desk.Post($"api/arts/{OpenDesk.Id(state)}/keep", new JsonObject { ["token"] = (string)tried["token"]! })).ShouldBe("R1008");
        Directory.GetFiles(desk.Folder).Select(Path.GetFileName).ShouldBe(["puffin.png"]);
    }

    [Fact]
    public async Task A_guardrail_that_refuses_is_told_and_nothing_is_kept()
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        var state = await desk.Open("puffin.png", "black-garment");
        // Everything red of it becomes the white that stays bare.
        var tried = (await desk.Try(state, "swap-color", ("from", "#c8281e"), ("to", "#ffffff")))["try"]!;
        ((string)tried["refusal"]!["code"]!).ShouldBe("R5001");
        OpenDesk.Code(await desk.Post($"api/arts/{OpenDesk.Id(state)}/keep", new JsonObject { ["token"] = (string)tried["token"]! })).ShouldBe("R5001");
        File.Exists(desk.At("puffin.png.work")).ShouldBeFalse();
    }

    [Theory]
    [InlineData("printable-whites", "smallest", "a lot", "R1005")]
    [InlineData("printable-whites", "colour", "red", "R1004")]
    [InlineData("no-such-recipe", "", "", "R1002")]
    [InlineData("/etc/passwd", "", "", "R1002")]
    [InlineData("../puffin.csx", "", "", "R1002")]
    public async Task A_bad_request_is_told_in_a_sentence(string recipe, string name, string value, string code)
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        var state = await desk.Open("puffin.png");
        var last = name.Length == 0 ? await desk.Try(state, recipe) : await desk.Try(state, recipe, (name, value));
        OpenDesk.Code(last).ShouldBe(code);
        // Everything else goes on.
        ((string)(await desk.Try(state, "printable-whites"))["phase"]!).ShouldBe("judged");
    }

    [Fact]
    public async Task The_latest_try_of_a_tab_is_the_one_that_is_judged()
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        var state = await desk.Open("puffin.png");
        _ = await desk.Try(state, "printable-whites");
        string path = $"api/arts/{OpenDesk.Id(state)}/try";
        var answers = new List<Task<HttpResponseMessage>>();
        foreach (int turn in Enumerable.Range(1, 20))
        {
            var ask = OpenDesk.TryOf(state, "printable-whites", ("near", $"{turn}"));
            ask["turn"] = turn;
            answers.Add(desk.Send(path, ask));
        }

        var last = new List<JsonObject>();
        foreach (var answer in answers)
        {
            string text = await (await answer).Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
            last.Add((JsonObject)JsonNode.Parse(text.Split('\n', StringSplitOptions.RemoveEmptyEntries)[^1])!);
        }

        ((string)last[^1]["phase"]!).ShouldBe("judged");
        ((string)last[^1]["try"]!["report"]!["parameters"]!["near"]!).ShouldBe("20");
        last.ShouldAllBe(answer => (string)answer["phase"]! == "judged" || (string)answer["phase"]! == "replaced");
    }

    [Fact]
    public async Task A_dropped_file_is_never_written_over_another()
    {
        await using var desk = await OpenDesk.Start();
        byte[] puffin = File.ReadAllBytes(desk.Draw("puffin.png"));
        byte[] sail = [.. puffin.Reverse()];
        (await Drop(desk, "sail.png", puffin)).StatusCode.ShouldBe(HttpStatusCode.OK);
        (await Drop(desk, "sail.png", puffin)).StatusCode.ShouldBe(HttpStatusCode.OK);
        var other = await Drop(desk, "sail.png", sail);
        (await other.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).ShouldContain("R8001");
        File.ReadAllBytes(desk.At("sail.png")).ShouldBe(puffin);
        foreach (string name in (string[])["orders.csv", ".png", "..%2Fsail.png", "puffin.png.work"])
        {
            (await Drop(desk, name, puffin)).IsSuccessStatusCode.ShouldBeFalse(name);
        }

        Directory.GetFiles(desk.Folder).Select(Path.GetFileName).Order().ShouldBe(["puffin.png", "sail.png"]);
    }

    [Fact]
    public async Task A_link_out_of_the_folder_is_no_art()
    {
        await using var desk = await OpenDesk.Start();
        string outside = Directory.CreateTempSubdirectory("recipes-desk-outside-").FullName;
        File.Copy(desk.Draw("puffin.png"), Path.Combine(outside, "secret.png"));
        File.CreateSymbolicLink(desk.At("link.png"), Path.Combine(outside, "secret.png"));
        (await desk.Get("api/arts"))["arts"]!.AsArray().Select(art => (string)art!["name"]!).ShouldBe(["puffin.png"]);
        // A file that becomes a link once the page knows it.
        string id = await desk.IdOf("puffin.png");
        File.Delete(desk.At("puffin.png"));
        File.CreateSymbolicLink(desk.At("puffin.png"), Path.Combine(outside, "secret.png"));
        OpenDesk.Code(await desk.Post($"api/arts/{id}/open", new JsonObject { ["setup"] = "light-garment" })).ShouldBe("R3001");
        Directory.Delete(outside, recursive: true);
    }

    [Fact]
    public async Task Damaged_and_vanished_arts_end_with_a_sentence()
    {
        await using var desk = await OpenDesk.Start();
        File.WriteAllBytes(desk.At("torn.png"), File.ReadAllBytes(desk.Draw("puffin.png"))[..60]);
        (await desk.Open("torn.png"))["problems"]!.AsArray().Count.ShouldBe(1);
        var state = await desk.Open("puffin.png");
        string id = OpenDesk.Id(state);
        File.Delete(desk.At("puffin.png"));
        OpenDesk.Code(await desk.Post($"api/arts/{id}/open", [])).ShouldBe("R3001");
        // What is shown can still be looked at.
        (await desk.Picture(id, OpenDesk.Token(state), "cloth", 200, 140)).Length.ShouldBe(200 * 140);
        OpenDesk.Code(await desk.Post($"api/arts/{id}/tiles", new JsonObject { ["of"] = "999" })).ShouldBe("R6402");
    }

    private static async Task<HttpResponseMessage> Drop(OpenDesk desk, string name, byte[] bytes)
    {
        using var content = new ByteArrayContent(bytes);
        content.Headers.ContentType = new MediaTypeHeaderValue("application/octet-stream");
        return await desk.Client.PutAsync(new Uri($"api/arts/0/{name}", UriKind.Relative), content, TestContext.Current.CancellationToken);
    }
}
