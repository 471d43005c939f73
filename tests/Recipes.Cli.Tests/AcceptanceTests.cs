using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>The main job on a large generated art, checked against the plain reading of the contract in <see cref="Naive"/>.</summary>
public sealed class AcceptanceTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_large_art_goes_through_the_main_job_exactly()
    {
        var field = RingField.Draw(1800, 2100, seed: 20261, Rgba8.White);
        var enclosed = Naive.Enclosed(field.Width, field.Height, field.Pixels);
        var islands = Naive.Islands(field.Width, field.Height, enclosed);
        var expected = Naive.Printable(field.Pixels, islands);
        islands.Count.ShouldBeInRange(2000, 10_000);
        islands.Count(island => field.Pixels[island.Pixels[0]].A is > 0 and < 255).ShouldBeGreaterThan(100);
        MainJob(field, islands, expected);
    }

    [Fact]
    public void White_at_a_mostly_transparent_border_is_art()
    {
        var field = RingField.Draw(420, 540, seed: 7, new Rgba8(255, 255, 255, 0));
        // White that touches the border is enclosed here, and would be outside if white let the walk pass.
        for (int x = 0; x < 60; x++)
        {
            field.Pixels[x] = Rgba8.White;
        }

        var islands = Naive.Islands(field.Width, field.Height, Naive.Enclosed(field.Width, field.Height, field.Pixels));
        islands[0].Pixels.ShouldContain(0);
        MainJob(field, islands, Naive.Printable(field.Pixels, islands));
    }

    private void MainJob(RingField field, List<Island> islands, Rgba8[] expected)
    {
        string art = field.Write(shop.At("field.png")), hash = Shop.HashOf(art);
        var tried = shop.Json("dry-run", "printable-whites", "field.png", "--setup", "light-garment").ShouldExit(0).Json;
        CheckCounts(tried, field, expected, islands, islands);
        ((string)tried["art"]!["sha256"]!).ShouldBe(hash);
        Same(Picture.Read(shop.At("field.png.dry-run/before.png")), field.Width, field.Height, field.Pixels);
        Same(Picture.Read(shop.At("field.png.dry-run/after.png")), field.Width, field.Height, expected);

        // The same run again gives the same bytes.
        string[] files = ["before.png", "after.png", "diff.png", "report.html"];
        var first = files.Select(file => Shop.HashOf(shop.At($"field.png.dry-run/{file}"))).ToList();
        shop.Json("dry-run", "printable-whites", "field.png", "--setup", "light-garment").ShouldExit(0);
        files.Select(file => Shop.HashOf(shop.At($"field.png.dry-run/{file}"))).ShouldBe(first);
        File.Exists(shop.At("field.png.work")).ShouldBeFalse();

        var kept = shop.Json("commit", "--dry-run", "field.png.dry-run").ShouldExit(0).Json;
        CheckCounts(kept, field, expected, islands, islands);
        Export("one.png", field, expected);
        ((int)shop.Json("undo", "field.png").ShouldExit(0).Json["step"]!).ShouldBe(0);
        Export("two.png", field, field.Pixels);
        ((int)shop.Json("redo", "field.png").ShouldExit(0).Json["step"]!).ShouldBe(1);
        Export("three.png", field, expected);
        Shop.HashOf(shop.At("three.png")).ShouldBe(Shop.HashOf(shop.At("one.png")));
        Shop.HashOf(art).ShouldBe(hash);
    }

    [Fact]
    public void Where_only_except_smallest_and_near_choose_what_their_definitions_say()
    {
        var field = RingField.Draw(330, 360, seed: 99, Rgba8.White);
        string art = field.Write(shop.At("field.png")), hash = Shop.HashOf(art);
        var enclosed = Naive.Islands(field.Width, field.Height, Naive.Enclosed(field.Width, field.Height, field.Pixels));
        var all = Naive.Islands(field.Width, field.Height, Naive.White(field.Pixels));
        var strict = Naive.Islands(field.Width, field.Height, Naive.Enclosed(field.Width, field.Height, field.Pixels, near: 8));
        int last = enclosed.Count;
        enclosed.Sum(island => island.Pixels.Count).ShouldNotBe(strict.Sum(island => island.Pixels.Count), "near must matter in this art");

        // Printing the white around the art makes a box of the border, which a guardrail refuses unless it is told to let it pass.
        shop.Json("run", "printable-whites", "field.png", "-o", "out", "--setup", "light-garment", "--set", "where=all").ShouldFail(6, "R5001");
        var everywhere = Naive.Printable(field.Pixels, all);
        var boxed = shop.Json("run", "printable-whites", "field.png", "-o", "out", "--setup", "light-garment", "--set", "where=all", "--guard", "printed-box=allow");
        CheckCounts(boxed.ShouldExit(0).Json["items"]![0]!.AsObject(), field, everywhere, all, all, printedBox: BorderThatPrints(field, everywhere));
        Same(Picture.Read(shop.At("out/field.png")), field.Width, field.Height, everywhere);
        Check(enclosed, [enclosed[1], enclosed[4], enclosed[5], enclosed[6], enclosed[last - 1]], $"only=2,5-7,{last}");
        Check(enclosed, enclosed.Where(island => island.Number is not (1 or 3)), "except=1,3");
        Check(enclosed, [enclosed[1], enclosed[3]], "only=2-4", "except=3");
        Check(enclosed, enclosed.Where(island => island.Pixels.Count >= 100), "smallest=100px");
        // 300 ppi: one mm2 is (300 / 25.4)^2 = 139.5 px, so 140 px are enough and 139 are not.
        Check(enclosed, enclosed.Where(island => island.Pixels.Count >= 140), "smallest=1mm2");
        Check(strict, strict, "near=8");
        Shop.HashOf(art).ShouldBe(hash);

        void Check(List<Island> listed, IEnumerable<Island> chosen, params string[] sets)
        {
            var picked = chosen.ToList();
            picked.ShouldNotBeEmpty();
            var expected = Naive.Printable(field.Pixels, picked);
            var answer = shop.Json(["run", "printable-whites", "field.png", "-o", "out", "--setup", "light-garment",
                .. sets.SelectMany(set => new[] { "--set", set })]).ShouldExit(0).Json;
            CheckCounts(answer["items"]![0]!.AsObject(), field, expected, listed, picked);
            Same(Picture.Read(shop.At("out/field.png")), field.Width, field.Height, expected);
        }
    }

    [Fact]
    public void White_that_prints_under_the_setup_is_left_alone()
    {
        Picture.WriteRing(shop.At("ring.png"));
        var answer = shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "black-garment-opaque-white").ShouldExit(0).Json;
        ((long)answer["changed"]!["pixels"]!).ShouldBe(0);
        answer["changed"]!["box"].ShouldBeNull();
        ((long)answer["declared"]!["printable"]!).ShouldBe(0);
        ((long)answer["ink"]!["after"]!["prints"]!).ShouldBe(40 * 40);
    }

    private static long BorderThatPrints(RingField field, Rgba8[] pixels) => pixels.Where((p, i) =>
        (i % field.Width == 0 || i % field.Width == field.Width - 1 || i < field.Width || i >= field.Width * (field.Height - 1)) && Naive.Ink([p]).Prints == 1).LongCount();

    private void Export(string name, RingField field, Rgba8[] expected)
    {
        shop.Json("export", "field.png", "-o", name).ShouldExit(0);
        Same(Picture.Read(shop.At(name)), field.Width, field.Height, expected);
    }

    private static void Same((int Width, int Height, Rgba8[] Pixels) picture, int width, int height, Rgba8[] expected)
    {
        picture.Width.ShouldBe(width);
        picture.Height.ShouldBe(height);
        picture.Pixels.AsSpan().SequenceEqual(expected).ShouldBeTrue("Pixels differ.");
    }

    // Every count of the answer, from the two pictures alone.
    private static void CheckCounts(JsonObject answer, RingField field, Rgba8[] after, List<Island> listed, List<Island> chosen, long printedBox = 0)
    {
        var difference = Naive.Difference(field.Width, field.Pixels, after);
        ((long)answer["changed"]!["pixels"]!).ShouldBe(difference.Pixels);
        answer["changed"]!["box"]?.AsArray().Select(side => (int)side!).ShouldBe(difference.Box);
        ((int)answer["changed"]!["maxDelta"]!).ShouldBe(difference.Delta);
        foreach (var (name, pixels) in new[] { ("before", field.Pixels), ("after", after) })
        {
            var ink = Naive.Ink(pixels);
            var told = answer["ink"]![name]!;
            ((long)told["prints"]!).ShouldBe(ink.Prints);
            ((long)told["bareWhite"]!).ShouldBe(ink.White);
            ((long)told["bareBlack"]!).ShouldBe(0);
            ((long)told["transparent"]!).ShouldBe(ink.Transparent);
        }

        long moved = chosen.Sum(island => (long)island.Pixels.Count);
        ((long)answer["ink"]!["gained"]!).ShouldBe(moved);
        ((long)answer["ink"]!["lost"]!).ShouldBe(0);
        ((long)answer["declared"]!["printable"]!).ShouldBe(moved);
        foreach (string none in (string[])["bare", "droppedBlack", "printedBlack"])
        {
            ((long)answer["declared"]![none]!).ShouldBe(0);
        }

        ((bool)answer["declared"]!["sizeChange"]!).ShouldBeFalse();
        answer["guards"]!.AsArray().Select(guard => (string)guard!["name"]!).ShouldBe(
            ["lost-to-white", "lost-to-black", "lost-to-transparent", "added-ink", "printed-box", "size-change", "nothing-prints", "ink-mostly-lost"]);
        foreach (var guard in answer["guards"]!.AsArray())
        {
            bool box = printedBox > 0 && (string)guard!["name"]! == "printed-box";
            ((long)guard!["pixels"]!).ShouldBe(box ? printedBox : 0);
            ((string)guard["outcome"]!).ShouldBe(box ? "allowed" : "clear");
        }

        var numbers = chosen.Select(island => island.Number).ToHashSet();
        var regions = answer["regions"]![0]!["regions"]!.AsArray();
        // White that runs off the picture comes after them, and nobody chose any.
        regions.Skip(listed.Count).ShouldAllBe(region => (string)region!["class"]! == "edge-white" && !(bool)region["chosen"]!);
        regions.Count(region => (string?)region!["class"] != "edge-white").ShouldBe(listed.Count);
        for (int i = 0; i < listed.Count; i++)
        {
            ((int)regions[i]!["number"]!).ShouldBe(listed[i].Number);
            ((long)regions[i]!["pixels"]!).ShouldBe(listed[i].Pixels.Count);
            regions[i]!["box"]!.AsArray().Select(side => (int)side!).ShouldBe(listed[i].Box);
            ((bool)regions[i]!["chosen"]!).ShouldBe(numbers.Contains(listed[i].Number));
        }
    }
}
