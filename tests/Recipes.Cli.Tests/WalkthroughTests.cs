using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>
/// Pages that are played from beginning to end, as a reader would: their files are saved, their commands typed into a shell, and what they show is
/// compared with what was answered. A page with several terminals says on the first line of each block whose it is.
/// </summary>
public sealed class WalkthroughTests : IDisposable
{
    private readonly Shop shop = new();
    private readonly Dictionary<string, List<string>> terminals = [];

    public WalkthroughTests()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "The pages are written for a Unix shell.");
        shop.Write("../program/recipes", $"#!/bin/sh\nexec '{Shop.Dotnet}' exec '{Path.Combine(Shop.ProgramFolder, "recipes.dll")}' \"$@\"\n");
        Shop.Permit(shop.At("../program/recipes"), UnixFileMode.UserRead | UnixFileMode.UserExecute);
        shop.Environment["PATH"] = $"{Path.GetFullPath(shop.At("../program"))}:{Environment.GetEnvironmentVariable("PATH")}";
    }

    public void Dispose() => shop.Dispose();

    [Fact]
    public void The_author_s_guide_leads_to_a_recipe_that_others_can_add()
    {
        Play("docs/authors.md");
        var report = JsonNode.Parse(File.ReadAllText(shop.At("order.png.dry-run/report.json")))!;
        // The mast as the demo draws it: from 966 to 984, and from 130 to 760.
        report["changed"]!["box"]!.AsArray().Select(side => (int)side!).ShouldBe([966, 130, 984 - 966, 760 - 130]);
        ((long)report["ink"]!["lost"]!).ShouldBe(0);
    }

    [Fact]
    public void Two_shifts_share_a_recipe_and_a_changed_byte_anywhere_is_refused()
    {
        Play("docs/two-shifts.md");
        // The ring's hole as the demo draws it: a disc around 720, 980. It is still pure white, and the belly prints.
        shop.Json("export", "drive/order.png", "-o", "print.png", "--setup", "light-garment").ShouldExit(0);
        var (width, _, pixels) = Picture.Read(shop.At("print.png"));
        pixels[(980 * width) + 720].IsPureWhite.ShouldBeTrue();
        ((int)pixels[(640 * width) + 404].R).ShouldBe(254);

        shop.Environment["HOME"] = shop.At("day");
        shop.Environment["RECIPES_HOUSE"] = shop.At("house");
        const string Shelf = "day/.local/share/recipes/recipes/ring-holes/";
        string[] commit = ["commit", "ring-holes", "drive/order.png"];
        shop.Json(commit).ShouldExit(0);
        WithAChangedByte(Shelf + "ring-holes.csx", () => shop.Json(commit).ShouldFail(8, "R6103"));
        WithAChangedByte(Shelf + "snippets/round.csx", () => shop.Json(commit).ShouldFail(8, "R6103"));
        WithAChangedByte(Shelf + "cases/first.json", () => shop.Json(commit).ShouldFail(8, "R6103"));
        WithAChangedByte(Shelf + "ring-holes.lock", () => shop.Json(commit).ShouldFail(8, "R6103"));
        WithAChangedByte("house/press-room.pub.pem", () => shop.Json(commit).ShouldExit(8));
        WithAChangedByte("drive/ring-holes.pack", () => shop.Json("add", "drive/ring-holes.pack", "--force").ShouldFail(3, "R6201"));
        shop.Json(commit).ShouldExit(0);
    }

    [Fact]
    public void A_black_shirt_order_prints_its_whites_and_shows_the_shirt_where_it_is_black()
    {
        Play("docs/black-shirt-order.md");
        var (width, height, pixels) = Picture.Read(shop.At("order-print.png"));
        // The platen of 14 x 16 in at 300 ppi, and the ink left of the wearer's middle, below 3 - 1.5 in (common practice, no source).
        (width, height).ShouldBe((14 * 300, 16 * 300));
        int left = Enumerable.Range(0, pixels.Length).Where(i => pixels[i].A > 0 && !pixels[i].IsPureWhite).Min(i => i % width);
        int top = Array.FindIndex(pixels, pixel => pixel.A > 0 && !pixel.IsPureWhite) / width;
        left.ShouldBeGreaterThan(width / 2);
        top.ShouldBeInRange(447, 453);
        pixels.ShouldContain(new Rgba8(254, 254, 254));
        pixels.ShouldContain(new Rgba8(0, 0, 0));
        pixels[0].A.ShouldBe((byte)0);
        pixels.ShouldAllBe(pixel => pixel.A == 0 || pixel.A == 255);
    }

    private void WithAChangedByte(string name, Action refused)
    {
        byte[] was = File.ReadAllBytes(shop.At(name)), now = [.. was];
        now[now.Length / 2] ^= 1;
        File.WriteAllBytes(shop.At(name), now);
        refused();
        File.WriteAllBytes(shop.At(name), was);
    }

    private void Play(string page)
    {
        string terminal = "", answer = "";
        int commands = 0, shown = 0;
        foreach (var (language, text) in DocsTests.Fences(page))
        {
            switch (language)
            {
                case "sh":
                    terminal = text.StartsWith("# ", StringComparison.Ordinal) ? text[..text.IndexOf('\n', StringComparison.Ordinal)] : terminal;
                    answer = Type(terminal, text);
                    terminals[terminal] = [.. terminals.GetValueOrDefault(terminal, []), .. text.Split('\n').Where(line => line.StartsWith("cd ", StringComparison.Ordinal) || line.StartsWith("export ", StringComparison.Ordinal))];
                    commands++;
                    break;
                case "csharp":
                    Type(terminal, $"cat > {DocsTests.FileOf(text).ShouldNotBeNull(text)} <<'END'\n{text}END\n");
                    break;
                default:
                    language.ShouldBe("text");
                    foreach (string part in text.Split(['\n', '…'], StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries))
                    {
                        answer.ShouldContain(part, Case.Sensitive);
                        shown++;
                    }

                    break;
            }
        }

        commands.ShouldBeGreaterThan(5);
        shown.ShouldBeGreaterThan(5);
    }

    // Each block gets a shell of its own, which first goes where the terminal was; any command that fails unannounced ends it.
    private string Type(string terminal, string script)
    {
        using var shell = shop.StartWith("/bin/sh", "-ec", string.Join('\n', [.. terminals.GetValueOrDefault(terminal, []), script]));
        var answer = Shop.End(shell).ShouldExit(0);
        return answer.Out + answer.Err;
    }
}
