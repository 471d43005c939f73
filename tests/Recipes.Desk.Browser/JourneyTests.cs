using Microsoft.Playwright;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Imaging;

namespace Recipes.Desk.Tests;

/// <summary>A technician's ways through the page, in a real browser. None of them breaks the page's own policy or asks anybody else.</summary>
public class JourneyTests(Chromium chromium) : IClassFixture<Chromium>
{
    private const string Whites = "Make enclosed whites printable", Light = Elsewhere.Light;

    [Fact]
    public async Task An_art_is_opened_seen_on_its_cloth_and_hidden_from_a_stranger()
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        string code = desk.NewCode();
        await using var page = await OpenPage.Open(chromium, desk, code);
        await page.Art("puffin.png");
        await SeeOnCloth(page);

        // The link is used up, and the address no longer holds it.
        page.Page.Url.ShouldNotContain("code=");
        await using var stranger = await OpenPage.Open(chromium, desk, code);
        await Assertions.Expect(stranger.Page.GetByLabel("Link")).ToBeVisibleAsync(OpenPage.Wait);
        (await stranger.Page.ContentAsync()).ShouldNotContain("puffin.png");
        page.Wrong.ShouldBeEmpty();
        stranger.Wrong.ShouldBeEmpty();
    }

    [Fact]
    public async Task A_try_is_kept_put_back_done_again_and_finished()
    {
        await using var desk = await OpenDesk.Start();
        string path = desk.Draw("puffin.png");
        byte[] original = File.ReadAllBytes(path);
        await using var page = await OpenPage.Open(chromium, desk);
        await page.Art("puffin.png");
        await Choose(page);
        await page.Recipe(Whites);
        await Says(page, "1,600 pixels change");
        await page.Keep();
        Elsewhere.Line(path).Head.ShouldBe(1);
        Elsewhere.Line(path).Steps[0].Record.By.ShouldBe("night-shift");

        await page.Button("Put back the last step").ClickAsync();
        await Says(page, "Put back.");
        Elsewhere.Line(path).Head.ShouldBe(0);
        await page.Button("Do it again").ClickAsync();
        await Says(page, "Done again.");
        Elsewhere.Line(path).Head.ShouldBe(1);

        await page.Page.GetByText("Finish", new PageGetByTextOptions { Exact = true }).ClickAsync();
        await page.Button("Finish: export and write the ticket").ClickAsync();
        await Says(page, "Finished:");
        string export = desk.At($"puffin-{Light}.png");
        File.Exists(desk.At($"puffin-{Light}-ticket.html")).ShouldBeTrue();
        // The command line's own check calls it current.
        CheckedArt.Look(Elsewhere.Shop, new ArtReference(export) { Setup = Light }, seen => seen.Export!.Current).ShouldBe(true);
        File.ReadAllBytes(path).ShouldBe(original);
        page.Wrong.ShouldBeEmpty();
    }

    [Fact]
    public async Task A_knob_that_is_turned_twenty_times_ends_at_what_was_turned_to_last()
    {
        await using var desk = await OpenDesk.Start();
        string path = desk.Draw("puffin.png");
        await using var page = await OpenPage.Open(chromium, desk);
        await page.Art("puffin.png");
        await Choose(page);
        await page.Recipe(Whites);
        var knob = page.Page.GetByRole(AriaRole.Spinbutton).First;
        for (int near = 1; near <= 20; near++)
        {
            await knob.FillAsync($"{near}");
        }

        await page.Keep();
        var step = Elsewhere.Line(path).Steps.ShouldHaveSingleItem();
        step.Record.Parameters["near"].ShouldBe("20");
        Elsewhere.Kept(path).ShouldBe(Elsewhere.Try(path, "near=20"));
        page.Wrong.ShouldBeEmpty();
    }

    [Theory]
    [InlineData("in the picture")]
    [InlineData("in the list")]
    [InlineData("by key")]
    public async Task A_white_is_decided(string how)
    {
        await using var desk = await OpenDesk.Start();
        string path = desk.Draw("puffin.png", bellies: 2);
        await using var page = await OpenPage.Open(chromium, desk);
        await page.Art("puffin.png");
        await Choose(page);
        await page.Recipe(Whites);
        var mark = page.Page.Locator("button.mark.region").GetByText("1", new LocatorGetByTextOptions { Exact = true });
        await Assertions.Expect(mark).ToBeVisibleAsync(new LocatorAssertionsToBeVisibleOptions { Timeout = OpenPage.Patience });
        switch (how)
        {
            case "in the picture":
                await mark.ClickAsync();
                break;
            case "in the list":
                await page.Page.Locator("button[data-region='1']").ClickAsync();
                break;
            default:
                await page.Page.Locator("button[data-region='1']").FocusAsync();
                await page.Page.Keyboard.PressAsync("Enter");
                break;
        }

        await Assertions.Expect(page.Page.Locator("button[data-region='1']")).ToHaveAttributeAsync(
            "aria-pressed", "false", new LocatorAssertionsToHaveAttributeOptions { Timeout = OpenPage.Patience });
        await Says(page, "1,600 pixels change");
        await page.Keep();
        Elsewhere.Line(path).Steps[0].Record.Parameters["except"].ShouldBe("1");
        var kept = Elsewhere.Kept(path);
        // The first belly stays pure white, and the second prints.
        (kept[(60 * 200) + 60], kept[(60 * 200) + 160]).ShouldBe((Rgba8.White, new Rgba8(254, 254, 254)));
        page.Wrong.ShouldBeEmpty();
    }

    [Fact]
    public async Task What_a_guardrail_refuses_can_t_be_kept()
    {
        await using var desk = await OpenDesk.Start();
        string path = desk.Draw("puffin.png");
        await using var page = await OpenPage.Open(chromium, desk);
        await page.Page.GotoAsync(new Uri(desk.Address,
            $"#art={await desk.IdOf("puffin.png")}&setup=black-garment&recipe=swap-color&v.from=%23c8281e&v.to=%23ffffff").ToString());
        await Assertions.Expect(page.Page.GetByText("This can't be kept.")).ToBeVisibleAsync(OpenPage.Wait);
        await Assertions.Expect(page.Button("Keep")).ToBeDisabledAsync();
        File.Exists(path + ".work").ShouldBeFalse();
        page.Wrong.ShouldBeEmpty();
    }

    [Fact]
    public async Task What_another_kept_meanwhile_is_said_and_shown()
    {
        await using var desk = await OpenDesk.Start();
        string path = desk.Draw("puffin.png");
        await using var page = await OpenPage.Open(chromium, desk);
        await page.Art("puffin.png");
        await Choose(page);
        await page.Recipe(Whites);
        Elsewhere.Keep(path);
        await page.Button("Keep").ClickAsync();
        await page.Who();
        await Assertions.Expect(page.Page.GetByText("R6001")).ToBeVisibleAsync(OpenPage.Wait);
        Elsewhere.Line(path).Head.ShouldBe(1);
        await page.Button("Open it again").ClickAsync();
        await Assertions.Expect(page.Page.GetByText("day-shift")).ToBeVisibleAsync(OpenPage.Wait);
        page.Wrong.ShouldBeEmpty();
    }

    [Fact]
    public async Task A_dropped_file_is_opened_and_changes_no_other()
    {
        await using var desk = await OpenDesk.Start();
        byte[] puffin = File.ReadAllBytes(desk.Draw("puffin.png"));
        await using var page = await OpenPage.Open(chromium, desk);
        await page.Page.GetByRole(AriaRole.Link, new PageGetByRoleOptions { Name = "Open an art" }).WaitForAsync();
        foreach (string name in (string[])["puffin.png", "sail.png"])
        {
            var drop = await page.Page.EvaluateHandleAsync(
                "([name, bytes]) => { const held = new DataTransfer(); held.items.add(new File([new Uint8Array(bytes)], name)); return held; }",
                new object[] { name, puffin.Select(level => (int)level).ToArray() });
            await page.Page.DispatchEventAsync("main", "drop", new { dataTransfer = drop });
            await page.Page.GetByRole(AriaRole.Heading, new PageGetByRoleOptions { Name = name }).WaitForAsync();
        }

        Directory.GetFiles(desk.Folder).Select(Path.GetFileName).Order().ShouldBe(["puffin.png", "sail.png"]);
        File.ReadAllBytes(desk.At("puffin.png")).ShouldBe(puffin);
        File.ReadAllBytes(desk.At("sail.png")).ShouldBe(puffin);
        page.Wrong.ShouldBeEmpty();
    }

    [Fact]
    public async Task Orders_are_finished_one_after_the_other()
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        desk.Draw("sail.png");
        File.WriteAllText(desk.At("orders.csv"), "art,recipe,setup,quantity,order,ship-by\n"
            + "sail.png,printable-whites,black-garment,3,H-2,2026-12-04\npuffin.png,printable-whites,light-garment,12,H-1,2026-12-03\n"
            + "gone.png,printable-whites,light-garment,1,H-3,2026-12-02\n");
        await using var page = await OpenPage.Open(chromium, desk);
        foreach (string order in (string[])["H-1", "H-2"])
        {
            await page.Page.GetByRole(AriaRole.Heading, new PageGetByRoleOptions { Name = $"Order {order}" }).WaitForAsync();
            await Assertions.Expect(page.Button("Finish and go on")).ToBeDisabledAsync();
            await page.Page.GetByLabel("Yes, this is the garment").CheckAsync();
            // White on black cloth shows, so whether it is a hole is asked there, with both answers as pictures; on light cloth it isn't.
            var answers = page.Page.Locator("fieldset.asked button");
            if (order == "H-2")
            {
                await answers.Filter(new LocatorFilterOptions { HasText = "Prints" }).ClickAsync();
            }

            await Assertions.Expect(page.Button("Finish and go on")).ToBeEnabledAsync(new LocatorAssertionsToBeEnabledOptions { Timeout = OpenPage.Patience });
            await page.Button("Finish and go on").ClickAsync();
            await page.Who();
        }

        await Assertions.Expect(page.Page.GetByText("2 done")).ToBeVisibleAsync(OpenPage.Wait);
        Directory.GetFiles(desk.Folder, "*.png").Select(Path.GetFileName).Order(StringComparer.Ordinal).ShouldBe(
        [
            "puffin-H-1-light-garment-ticket-strip.png", "puffin-H-1-light-garment.png", "puffin.png",
            "sail-H-2-black-garment-ticket-strip.png", "sail-H-2-black-garment.png", "sail.png",
        ]);
        Elsewhere.Pixel(desk.At("sail-H-2-black-garment.png"), 60, 60).ShouldBe(new Rgba8(254, 254, 254), "the answer that was given");
        File.ReadAllText(desk.At("puffin-H-1-light-garment-ticket.html")).ShouldContain("H-1");
        page.Wrong.ShouldBeEmpty();
    }

    private static async Task Choose(OpenPage page)
    {
        await page.Page.GetByLabel("Garment setup").SelectOptionAsync(Light);
        await Assertions.Expect(page.Page.GetByText("Nobody chose this setup yet")).Not.ToBeVisibleAsync(
            new LocatorAssertionsToBeVisibleOptions { Timeout = OpenPage.Patience });
    }

    private static Task Says(OpenPage page, string words) =>
        Assertions.Expect(page.Status).ToContainTextAsync(words, new LocatorAssertionsToContainTextOptions { Timeout = OpenPage.Patience });

    // The middle of the red square is red, and the paper is the cloth's color or its thread, not white.
    private static async Task SeeOnCloth(OpenPage page)
    {
        await page.Page.WaitForFunctionAsync("""
            () => {
                const canvas = document.querySelector('canvas'), drawn = canvas?.getContext('2d');
                if (!drawn || canvas.width < 100) return false;
                const seen = new Set(), { data } = drawn.getImageData(0, 0, canvas.width, canvas.height);
                for (let i = 0; i < data.length; i += 4) seen.add(`${data[i]},${data[i + 1]},${data[i + 2]}`);
                return seen.has('200,40,30') && seen.has('244,242,236');
            }
            """);
    }
}
