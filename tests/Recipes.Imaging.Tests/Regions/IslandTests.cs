using CsCheck;
using OpenCvSharp;

namespace Recipes.Imaging.Tests;

public class IslandTests
{
    [Fact]
    public void Islands_are_numbered_in_reading_order_of_their_first_pixel()
    {
        var islands = Pictures.Of(
            "..#..##",
            ".##....",
            "#...###",
            "#.#.#.#",
            "..#.###").Islands();
        islands.ShouldBe([
            new Island(1, new Box(1, 0, 2, 2), 3, 2, 0),
            new Island(2, new Box(5, 0, 2, 1), 2, 5, 0),
            new Island(3, new Box(0, 2, 1, 2), 2, 0, 2),
            new Island(4, new Box(4, 2, 3, 3), 8, 4, 2),
            new Island(5, new Box(2, 3, 1, 2), 2, 2, 3)]);
        islands.NumberAt(1, 1).ShouldBe(1);
        islands.NumberAt(5, 3).ShouldBe(0);
        islands.NumberAt(6, 4).ShouldBe(4);
        islands.NumberAt(-1, 9).ShouldBe(0);
    }

    [Fact]
    public void Numbers_along_a_row_are_those_of_its_places() => Gen.Select(Pictures.HardRegions, Gen.Int[-3, 160], Gen.Int[-3, 45], Gen.Int[1, 7]).Holds(
        (region, x, y, step) =>
    {
        var islands = region.Islands();
        var found = new int[30];
        islands.NumbersAt(x, y, step, found);
        found.ShouldBe(Enumerable.Range(0, found.Length).Select(i => islands.NumberAt(x + (i * step), y)));
    }, iter: 100);

    [Fact]
    public void Late_joins_make_one_island() => Pictures.Of(
        "#.#.#",
        "#.#.#",
        "#####").Islands().ShouldBe([new Island(1, new Box(0, 0, 5, 3), 11, 0, 0)]);

    // OpenCV's connectedComponentsWithStats numbers in another order; the parts must be the same.
    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Islands_are_OpenCvs_connected_components(bool diagonal)
    {
        OpenCv.OrSkip();
        Pictures.HardRegions.Holds(region =>
        {
            using var mask = Pictures.ToMat(region);
            using Mat labels = new(), stats = new(), centroids = new();
            int count = Cv2.ConnectedComponentsWithStats(mask, labels, stats, centroids, diagonal ? PixelConnectivity.Connectivity8 : PixelConnectivity.Connectivity4);
            var islands = region.Islands(diagonal);
            islands.Count.ShouldBe(count - 1);
            foreach (var island in islands)
            {
                int theirs = labels.At<int>(island.FirstY, island.FirstX);
                island.Bounds.ShouldBe(new Box(stats.At<int>(theirs, 0), stats.At<int>(theirs, 1), stats.At<int>(theirs, 2), stats.At<int>(theirs, 3)));
                island.Count.ShouldBe(stats.At<int>(theirs, 4));
            }

            var pairs = new HashSet<(int, int)>();
            for (int y = 0; y < region.Coverage.Height; y++)
            {
                for (int x = 0; x < region.Coverage.Width; x++)
                {
                    pairs.Add((islands.NumberAt(x, y), labels.At<int>(y, x)));
                }
            }

            pairs.Count.ShouldBe(pairs.Select(p => p.Item1).Distinct().Count());
        }, iter: 200);
    }

    [Fact]
    public void Numbers_rise_with_the_first_pixel_and_counts_add_up() => Pictures.HardRegions.Holds(region =>
    {
        var islands = region.Islands();
        islands.Select(i => i.Number).ShouldBe(Enumerable.Range(1, islands.Count));
        islands.Select(i => (i.FirstY, i.FirstX)).ShouldBeInOrder();
        islands.Sum(i => i.Count).ShouldBe(region.Count);
    }, iter: 50);

    [Fact]
    public void Picked_islands_keep_their_soft_edges()
    {
        var region = Pictures.Of(5, 1, [10, 255, 0, 255, 7]);
        region.Islands().Pick(i => i.Number == 2).Coverage.ToContiguous().ShouldBe(new byte[] { 0, 0, 0, 255, 7 });
        region.Islands().Pick(_ => true).ShouldBeSameAs(region);
        region.Islands().Pick(_ => false).IsEmpty.ShouldBeTrue();
    }

    [Fact]
    public void AtLeast_counts_whole_islands()
    {
        var region = Pictures.Of("##.#", "#...", "..##");
        Pictures.Rows(region.AtLeast(3)).ShouldBe(["##..", "#...", "...."]);
        Pictures.Rows(region.AtLeast(1.5)).ShouldBe(["##..", "#...", "..##"]);
        region.AtLeast(0).ShouldBeSameAs(region);
        Pictures.Rows(region.AtLeast(3.0000004)).ShouldBe(["##..", "#...", "...."]);
        Should.Throw<ArgumentOutOfRangeException>(() => region.AtLeast(-1));
        Should.Throw<ArgumentOutOfRangeException>(() => region.AtLeast(double.NaN));
    }

    [Fact]
    public void OnBorder_keeps_what_touches_any_side() => Pictures.Rows(Pictures.Of(
        ".#....",
        "......",
        "#.##.#",
        "......",
        ".....#",
        "..#...").OnBorder()).ShouldBe([
        ".#....",
        "......",
        "#....#",
        "......",
        ".....#",
        "..#..."]);

    [Fact]
    public void Picking_by_the_border_is_OnBorder() => Pictures.HardRegions.Holds(region =>
    {
        var all = new Box(0, 0, region.Coverage.Width, region.Coverage.Height);
        bool Touches(Box b) => b.X == 0 || b.Y == 0 || b.Right == all.Right || b.Bottom == all.Bottom;
        Pictures.Same(region.OnBorder(), region.Islands().Pick(i => Touches(i.Bounds))).ShouldBeTrue();
    }, iter: 50);
}
