using System.Collections.Immutable;
using Recipes.Hosting.Runs;
using Recipes.Imaging;
using Recipes.Protocol;

namespace Recipes.Hosting.Tests.Workers;

/// <summary>What an answer of few bytes can make the host list and hold is bounded, and what is left out is said.</summary>
public sealed class AnswerBoundsTests
{
    [Fact]
    public void Of_more_regions_than_can_be_numbered_the_largest_are_kept_whatever_list_they_stand_in_and_the_rest_is_told()
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(300, 200, Rgba8.White));
        // 30,000 in 30 lists; the sizes run from 1 to 30,000 across all of them.
        ImmutableArray<RegionListMessage> many = [.. Enumerable.Range(0, 30).Select(list => new RegionListMessage($"list {list}",
            [.. Enumerable.Range(0, 1000).Select(i => new RegionMessage(i + 1, new Box(1, 2, 3, 4), (i * 30) + list + 1, i % 2 == 0))]))];
        var (lists, leftOut) = RecipeRunner.Regions(many, art);
        lists.Select(list => list.Title).ShouldBe(many.Select(list => list.Title));
        lists.SelectMany(list => list.Regions).Select(region => region.Pixels).Order().ShouldBe(Enumerable.Range(20_001, 10_000).Select(size => (long)size));
        lists.ShouldAllBe(list => list.Regions.Zip(list.Regions.Skip(1)).All(pair => pair.First.Number < pair.Second.Number));
        leftOut.ShouldHaveSingleItem().ShouldBe("Of 30,000 listed regions the 10,000 largest are shown; 20,000 smaller ones are left out.");

        // Two lists of thousands of specks are honest, and whole.
        (lists, leftOut) = RecipeRunner.Regions([.. many.Take(10)], art);
        lists.Sum(list => list.Regions.Length).ShouldBe(10_000);
        leftOut.ShouldBeEmpty();
    }

    // What carries numbers over, for one, takes a number for one region.
    [Fact]
    public void A_number_names_one_region_of_a_list()
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(30, 20, Rgba8.White));
        RegionMessage One(int number, long pixels) => new(number, new Box(1, 2, 3, 4), pixels, true);
        var (lists, _) = RecipeRunner.Regions([new("sails", [One(1, 5), One(2, 6), One(1, 7)]), new("hulls", [One(1, 8)])], art);
        lists.SelectMany(list => list.Regions).Select(region => (region.Number, region.Pixels)).ShouldBe([(1, 5L), (2, 6L), (1, 8L)]);
    }

    [Fact]
    public void Layers_that_are_mostly_empty_hold_few_tiles()
    {
        var read = Through(200, [default]);
        read.Layers.SelectMany(layer => layer.Pixels).Count().ShouldBe(200 * 235 * 52);
        // In each row the tiles of full size are one, and the narrower last one is another.
        read.Layers.SelectMany(layer => layer.Pixels).Select(tile => tile.New).Distinct(ReferenceEqualityComparer.Instance).Count().ShouldBeLessThanOrEqualTo(200 * 52 * 2);
        var art = read.ApplyTo(null);
        art.Layers.ShouldAllBe(layer => layer.Pixels.Tiles.All(tile => tile.IsAll(default)));
        (art.Width, art.Height).ShouldBe((30_000, 6_600));
    }

    [Fact]
    public void A_million_tiles_of_another_color_each_are_refused()
    {
        Rgba8[] colors = [Rgba8.White, Rgba8.Black];
        Through(80, colors).Layers.Length.ShouldBe(80);
        Should.Throw<FrameException>(() => Through(90, colors)).Message.ShouldContain("tiles of one color");
    }

    // 30,000 x 6,600 px are 235 x 52 tiles, near the most that art may have; what a tile of one color is as wide as doesn't cross.
    private static ArtworkPatch Through(int layers, Rgba8[] colors)
    {
        var tiles = colors.Select(color => new TilePatch<Rgba8>(-1, -1, Tile<Rgba8>.OneValue(1, 1, color))).ToArray();
        ImmutableArray<TilePatch<Rgba8>> plane = [.. Enumerable.Range(0, 235 * 52).Select(i => tiles[i % tiles.Length])];
        var layer = new LayerPatch("sail", 1, true, LayerMode.Over, BlendMode.Normal, LayerIntent.None, plane, []);
        using var stream = new MemoryStream();
        PatchFrame.Write(stream, new ArtworkPatch(30_000, 6_600, null, [.. Enumerable.Range(1, layers).Select(i => layer with { Name = $"sail {i}" })]));
        stream.Position = 0;
        return PatchFrame.Read(stream, 0, null);
    }
}
