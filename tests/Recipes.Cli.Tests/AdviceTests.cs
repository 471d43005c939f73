using System.Security.Cryptography;
using System.Text.Json.Nodes;

namespace Recipes.Cli.Tests;

/// <summary>
/// Who does what <c>check</c> says, in its order, comes to an end: after at most six steps it advises nothing more, and it never sends anybody
/// back to the recipe that just ran. A sample; with RECIPES_ADVICE=all the first 400 of Debian's public-domain clip art (openclipart-png) and all
/// photographs of its mate-backgrounds.
/// </summary>
public sealed class AdviceTests : IDisposable
{
    private const string ClipArt = "/usr/share/openclipart/png", Photographs = "/usr/share/backgrounds/mate/nature";

    private const int MostSteps = 6;

    // What mate-backgrounds 1.26.0 holds, by SHA-256.
    private static readonly Dictionary<string, string> Nature = new()
    {
        ["Aqua.jpg"] = "5c30118205982da441bf7e6a1ada636a8a0be879408140b3148280c665ed6bce",
        ["Blinds.jpg"] = "f7aac0dcc2e06d0491643e84df3da1d9db7c4610f58806a880d56e074799f600",
        ["Dune.jpg"] = "8a67c2cb0be8c46b70c237311a4fa4d2b4ac7d39568135384787801fa5cc9a91",
        ["FreshFlower.jpg"] = "972b0a0c4e5e3fa93f4f244fc84bc64b121a5eac3aaa5856f1308c1f38a02f8e",
        ["Garden.jpg"] = "d3095ee09d425ef23d27155412136cf14fc3c9af76ca58b452f55e23da324e78",
        ["GreenMeadow.jpg"] = "8fa0de0aa4089f7319c9fb7a6d006d4cab6023e8c8853731557cff53567b4832",
        ["LadyBird.jpg"] = "e35a9a4126ef969c90b29c038058c5a575a20eadd84106a37bf1fa9931e7b61d",
        ["RainDrops.jpg"] = "3e4ea9671c28c90a86cf67b3db9daf18c4741587c596333a7529ca589aaa0c16",
        ["Storm.jpg"] = "77ca53077831d3237f73393a91fc879158abc046d852941c26e90de336356957",
        ["TwoWings.jpg"] = "665e5abf8a5399070a91a9a8e455fe071e5b61697ff78fdeda4e9843ef545aeb",
        ["Wood.jpg"] = "19c78500ac00a622e19907ab9cc7d06d46fe08c4a6142759a84195696150ec07",
        ["YellowFlower.jpg"] = "254da96256acb7add685679775a04d1e4a5bc8cd13e5a5a3d61351ce198a5306",
    };

    private readonly Shop shop = new();

    private static bool All => Environment.GetEnvironmentVariable("RECIPES_ADVICE") == "all";

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Advice_ends_on_clip_art()
    {
        Shop.Needs(Directory.Exists(ClipArt), "Debian's openclipart-png");
        string[] first = [.. Directory.EnumerateFiles(ClipArt, "*.png", SearchOption.AllDirectories)
            .Where(file => new FileInfo(file).LinkTarget is null).Order(StringComparer.Ordinal).Take(400)];
        first.Length.ShouldBe(400);
        Follow([.. first.Where((_, i) => All || i % 50 == 4)], "black-garment");
    }

    [Fact]
    public void Advice_ends_on_photographs()
    {
        Shop.Needs(Directory.Exists(Photographs), "Debian's mate-backgrounds");
        string[] some = [.. Nature.Keys.Where(name => All || name == "Dune.jpg").Select(name => Path.Combine(Photographs, name))];
        foreach (string file in some)
        {
            Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(file))).ShouldBe(Nature[Path.GetFileName(file)], file);
        }

        Follow(some, "black-garment");
    }

    /// <summary>The list that most orders need tells what a check finds afterwards, and that check sends nobody back to a recipe of the list.</summary>
    [Theory]
    [InlineData("puffin.png")]
    [InlineData("puffin.jpg")]
    [InlineData("puffin-cut.png")]
    public void The_usual_list_says_what_it_leaves(string name)
    {
        shop.LayDemo();
        string art = Path.Combine("recipes-demo", name);
        var kept = shop.Json("commit", "house-default", art, "--setup", "black-garment", "--set", "fit-to-platen.width=4in").ShouldExit(0).Json;
        var check = shop.Json("check", art).ShouldExit(0).Json;
        Codes(kept).ShouldBe(Codes(check));
        string[] list = ["fit-to-platen", "clean-background", "remove-halo", "printable-whites", "pure-black", "print-black"];
        Advice(check).Select(advice => advice.Recipe).Intersect(list).ShouldBeEmpty();
        // The cut-out's soft edges are left to a decision, so there is something to say.
        Codes(check).ShouldContain("partly-transparent");
    }

    private void Follow(string[] files, string setup)
    {
        var astray = new List<string>();
        Parallel.ForEach(files.Index(), new ParallelOptions { MaxDegreeOfParallelism = 2 }, file =>
        {
            string art = $"art{file.Index}{Path.GetExtension(file.Item)}";
            File.Copy(file.Item, shop.At(art));
            if (Follow(art, setup) is { } why)
            {
                lock (astray)
                {
                    astray.Add($"{file.Item}: {why}");
                }
            }
        });
        astray.ShouldBeEmpty();
    }

    // Why it doesn't end, or null.
    private string? Follow(string art, string setup)
    {
        var done = new List<string>();
        while (true)
        {
            var checkedArt = shop.Json("check", art, "--setup", setup).ShouldExit(0).Json;
            var advice = Advice(checkedArt);
            if (advice.Length == 0)
            {
                return null;
            }

            string path = string.Join(", ", done);
            // Hardening edges makes new black of mixes, for instance, so a recipe may be needed again; what it just left it would leave again.
            if (done.Count > 0 && advice[0].Recipe == done[^1])
            {
                return $"after {path} {advice[0].Code} advises {advice[0].Recipe} again";
            }

            if (done.Count == MostSteps)
            {
                return $"after {path} it still advises {advice[0].Recipe}";
            }

            done.Add(advice[0].Recipe);
            var kept = shop.Json(["commit", advice[0].Recipe, art, "--setup", setup, .. advice[0].Set is { } set ? new[] { "--set", set } : []]);
            if (kept.Exit != 0)
            {
                return $"after {path} {advice[0].Recipe} ended with {kept.Exit}: {kept.Json["problems"]}";
            }
        }
    }

    private static (string Code, string Recipe, string? Set)[] Advice(JsonObject check) =>
        [.. check["findings"]!.AsArray().Where(finding => finding!["recipe"] is not null)
            .Select(finding => ((string)finding!["code"]!, (string)finding["recipe"]!, (string?)finding["set"]))];

    private static string[] Codes(JsonObject answer) => [.. answer["findings"]!.AsArray().Select(finding => (string)finding!["code"]!)];
}
