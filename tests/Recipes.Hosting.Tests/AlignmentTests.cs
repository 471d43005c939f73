using System.Text;
using System.Xml.Linq;
using Recipes.Codecs;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Tests.Pages;
using Recipes.Imaging;
using Recipes.Imaging.Pictures;
using Recipes.Protocol;

namespace Recipes.Hosting.Tests;

/// <summary>The difference of two sizes: a disc whose place and area geometry gives, sized, cut by the platen, and then changed in two patches.</summary>
public sealed class AlignmentTests : IDisposable
{
    private const double Ppi = 100, Scale = 1.5, Radius = 60;
    private static readonly GarmentSetup Small = new() { Name = "small", PlatenWidth = 4, PlatenHeight = 4, SafeMargin = 0 };
    private static readonly Rgba8 Navy = new(20, 60, 140), Orange = new(240, 120, 30);

    // The art is 300 x 200 px, half of it again on the platen of 400 x 400, 20 px beyond its left edge and 30 beyond its right.
    private static readonly Box Lies = new(-20, 30, 450, 300), Gained = new(350, 50, 12, 10), Lost = new(200, 180, 10, 10);
    private readonly string root = Directory.CreateTempSubdirectory("recipes-aligned-").FullName;

    public void Dispose() => Directory.Delete(root, recursive: true);

    [Fact]
    public void The_art_before_lies_where_the_size_change_put_it_and_only_what_changed_since_differs()
    {
        var (before, after) = Made();
        var aligned = Alignment.Of(before, after, Small).ShouldNotBeNull();
        aligned.Box.ShouldBe(Lies);
        (aligned.Before.Width, aligned.Before.Height).ShouldBe((400, 400));

        // A disc scaled by 1.5 has 2.25 times its area, and its middle moves with the box.
        var ink = Find.Printing(aligned.Before, Small.Ink);
        var inked = (from y in Enumerable.Range(0, 400) from x in Enumerable.Range(0, 400)
                     where aligned.Before[x, y].G < 158 select (X: x + 0.5, Y: y + 0.5)).ToList();
        ((double)inked.Count).ShouldBe(Math.PI * Radius * Radius * Scale * Scale, 200);
        inked.Average(at => at.X).ShouldBe(Lies.X + (150 * Scale), 0.2);
        inked.Average(at => at.Y).ShouldBe(Lies.Y + (100 * Scale), 0.2);
        ink.Bounds!.Value.Within(new Box(0, 0, 400, 400)).ShouldBe(ink.Bounds.Value);

        var change = ArtworkDiff.Between(aligned.Before, after.Flat);
        change.Pixels.ShouldBe((12 * 10) + (10 * 10));
        InkChange.Between(aligned.Before, after.Flat, Small.Ink).ShouldSatisfyAllConditions(inks => inks.Gained.ShouldBe(120), inks => inks.Lost.ShouldBe(100));
    }

    [Fact]
    public void The_difference_picture_and_the_page_show_it_and_say_that_it_was_aligned()
    {
        var (before, after) = Made();
        var report = HarborArt.Report(before.Flat, before.Flat, Small);
        report = report with { Change = ArtChange.Between(before, after, Small.Ink), Declared = report.Declared with { SizeChange = true } };
        string png = Path.Combine(root, "art.png");
        File.WriteAllText(png, "art");
        string[][] written = [.. ((string[])["one", "two"]).Select(name =>
        {
            using var folder = DryRunFolder.Prepare(Path.Combine(root, name), "dry-run", force: false, png);
            folder.Draw(new RunResult(before, after, report), cancel: TestContext.Current.CancellationToken);
            return (string[])[folder["diff.png"], folder["report.html"], folder["before.png"]];
        })];
        written[0].Zip(written[1]).ShouldAllBe(pair => File.ReadAllBytes(pair.First).SequenceEqual(File.ReadAllBytes(pair.Second)));

        var drawn = new MemoryStream();
        PngWriter.Write(drawn, DiffPicture.Render(Alignment.Of(before, after, Small)!.Before, after.Flat, Small.Ink));
        File.ReadAllBytes(written[0][0]).SequenceEqual(drawn.ToArray()).ShouldBeTrue();

        var page = XDocument.Parse(File.ReadAllText(written[0][1], Encoding.UTF8));
        page.Descendants("p").ShouldContain(text => text.Value.StartsWith(
            "Aligned: the size changes, so before and difference here show the art scaled to 450 × 300 px and moved to -20,30"));
        page.Root!.Value.ShouldNotContain("no pixel has another to be compared with");
        page.Descendants("figcaption").Select(caption => caption.Value).Take(3).ShouldBe(["Before, aligned", "After", "Difference"]);
        // An inch is 25.4 mm, and 100 px.
        page.Descendants("dl").First().Elements("div").Select(fact => $"{fact.Element("dt")!.Value}: {fact.Element("dd")!.Value}").Take(2).ShouldBe([
            $"ink lost after alignment, 100 px: {100 * .254 * .254:0.00} mm²", $"ink gained after alignment, 120 px: {120 * .254 * .254:0.00} mm²"]);
        page.Descendants("article").Count().ShouldBe(2);
    }

    [Fact]
    public void Two_files_that_no_run_sized_are_not_aligned()
    {
        var (before, after) = Made();
        var report = HarborArt.Report(before.Flat, before.Flat, Small) with { Change = ArtChange.Between(before, after, Small.Ink) };
        string png = Path.Combine(root, "art.png");
        File.WriteAllText(png, "art");
        using var folder = DryRunFolder.Prepare(Path.Combine(root, "compared"), "compare", force: false, png);
        folder.Draw(new RunResult(before, after, report), cancel: TestContext.Current.CancellationToken);
        var plain = new MemoryStream();
        PngWriter.Write(plain, after.Flat);
        File.ReadAllBytes(folder["diff.png"]).SequenceEqual(plain.ToArray()).ShouldBeTrue();
        File.ReadAllText(folder["report.html"]).ShouldNotContain("ligned");
    }

    [Fact]
    public void What_tells_of_no_possible_place_is_not_aligned()
    {
        var (before, after) = Made();
        Alignment.Of(before, before, Small).ShouldBeNull();
        Alignment.Of(before, after, Small with { PlatenWidth = 5 }).ShouldBeNull();
        foreach (var told in (Box[])[new(5000, 0, 450, 300), new(0, 0, 2_000_000_000, 300), new(int.MinValue, 0, 450, 300), new(390, 30, 450, 300)])
        {
            Alignment.Of(before, after.WithGround(after.Ground with { Whole = told }), Small).ShouldBeNull(told.ToString());
        }
    }

    [Fact]
    public void Where_the_whole_picture_lies_crosses_the_boundary()
    {
        var (_, after) = Made();
        after.Ground.ShouldSatisfyAllConditions(ground => ground.Whole.ShouldBe(Lies), ground => ground.Edge.ShouldBe(new Box(0, 30, 400, 300)));
        foreach (var ground in (Ground[])[after.Ground, after.Ground with { Whole = null }])
        {
            using var stream = new MemoryStream();
            Message.Write(stream, new RunRequest(Small, ground, System.Collections.Immutable.ImmutableSortedDictionary<string, string>.Empty));
            stream.Position = 0;
            Message.Read<RunRequest>(stream).Ground.ShouldBe(ground);
        }
    }

    private static (Artwork Before, Artwork After) Made()
    {
        var art = Plane<Rgba8>.FromContiguous(300, 200, Enumerable.Range(0, 300 * 200)
            .Select(i => Math.Pow((i % 300) + 0.5 - 150, 2) + Math.Pow((i / 300) + 0.5 - 100, 2) < Radius * Radius ? Navy : Rgba8.White).ToArray());
        var before = Artwork.FromPixels(art, 72);
        var placed = Platen.Place(before, Lies, Small, Ppi);
        var pixels = placed.Flat.ToContiguous();
        for (int i = 0; i < pixels.Length; i++)
        {
            pixels[i] = Gained.Contains(i % 400, i / 400) ? Orange : Lost.Contains(i % 400, i / 400) ? Rgba8.White : pixels[i];
        }

        return (before, Artwork.FromPixels(Plane<Rgba8>.FromContiguous(400, 400, pixels, placed.Flat), Ppi).WithGround(placed.Ground));
    }
}
