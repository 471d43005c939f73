using CsCheck;
using Recipes.Imaging.Pictures;

namespace Recipes.Imaging.Tests;

// What a label must do is the house's own rule: no number is lost, and none stands where it hides another one or a region.
public class RegionLabelsTests
{
    [Fact]
    public void Every_region_has_its_number_in_exactly_one_label_and_clear_labels_hide_nothing()
    {
        var box = Gen.Select(Gen.Int[0, 560], Gen.Int[0, 360], Gen.Int[1, 40], Gen.Int[1, 40], Gen.Bool);
        box.Array[0, 120].Holds(drawn =>
        {
            NumberedBox[] regions = [.. drawn.Select((at, i) => new NumberedBox(i + 1, new Box(at.Item1, at.Item2, at.Item3, at.Item4), at.Item5))];
            var labels = Place(600, 400, regions);

            labels.SelectMany(label => label.Members).Select(member => member.Number).Order().ShouldBe(regions.Select(region => region.Number));
            foreach (var label in labels)
            {
                label.Members.All(member => member.Chosen == label.Chosen).ShouldBeTrue();
                Told(label).ShouldBe(label.Members.Select(member => member.Number).Order());
                if (label.IsClear)
                {
                    new Box(0, 0, 600, 400).Within(label.Plate).ShouldBe(label.Plate);
                    labels.Exists(other => !ReferenceEquals(other, label) && other.IsClear && !other.Plate.Within(label.Plate).IsEmpty).ShouldBeFalse();
                    // A region of 34 px holds a number of one digit at twice its height and width; none of 26 px does.
                    Array.Exists(regions, region => (region.Box.Width < 26 || region.Box.Height < 26) && !region.Box.Within(label.Plate).IsEmpty).ShouldBeFalse();
                }
            }
        }, iter: 60);
    }

    [Fact]
    public void A_lone_region_has_its_number_beside_it_and_a_large_one_in_its_middle()
    {
        var labels = Place(600, 400, [new NumberedBox(4, new Box(100, 100, 3, 3), true), new NumberedBox(5, new Box(300, 100, 200, 200), false)]);
        labels.ShouldAllBe(label => label.IsClear && label.Leader == null && label.Scale == 2);
        labels.Select(label => label.Text).ShouldBe(["4", "(5)"]);
        labels[0].Plate.Within(new Box(100, 100, 3, 3)).IsEmpty.ShouldBeTrue();
        labels[0].Plate.Within(new Box(100, 100, 3, 3).Grow(40)).ShouldBe(labels[0].Plate);
        labels[1].Plate.Contains(400, 200).ShouldBeTrue();
    }

    [Fact]
    public void Specks_that_lie_together_share_a_label_that_says_how_many_there_are_and_from_where_to_where()
    {
        // 7 x 7 specks, 9 px from one to the next, and a lone one that comes between two of them in reading order.
        var crowd = Enumerable.Range(0, 49).Select(i => new Box(200 + (i % 7 * 9), 200 + (i / 7 * 9), 2, 2));
        NumberedBox[] regions = [.. crowd.Append(new Box(500, 231, 2, 2)).OrderBy(box => box.Y).ThenBy(box => box.X).Select((box, i) => new NumberedBox(i + 1, box, true))];
        var labels = Place(600, 400, regions);
        labels.Select(label => label.Text).Order(StringComparer.Ordinal).ShouldBe(["29", "49 of 1-50"]);
        labels.ShouldAllBe(label => label.IsClear);
        labels.Single(label => label.Members.Length == 49).Frame!.Value.Within(new Box(200, 200, 56, 56)).ShouldBe(new Box(200, 200, 56, 56));

        NumberedBox[] alone = [.. regions.Where(region => region.Number != 29).Select((region, i) => region with { Number = i + 1 })];
        Place(600, 400, alone).Select(label => label.Text).ShouldBe(["1-49"]);
    }

    [Fact]
    public void Ten_thousand_regions_in_one_heap_are_all_told_in_frames_that_an_eye_can_search()
    {
        NumberedBox[] regions = [.. Enumerable.Range(0, 10_000).Select(i => new NumberedBox(i + 1, new Box(300 + (i % 100 * 12), 300 + (i / 100 * 12), 3, 3), true))];
        var labels = Place(2000, 2000, regions);
        labels.SelectMany(label => label.Members).Select(member => member.Number).Order().ShouldBe(Enumerable.Range(1, 10_000));
        labels.ShouldAllBe(label => label.Frame!.Value.Width < 400 && label.Frame.Value.Height < 400);
    }

    // Regions come from a worker, so boxes may all lie on each other; counted in pairs these would keep the host for hours.
    [Fact]
    public void Ten_thousand_regions_on_one_spot_and_across_all_of_the_art_are_told_too()
    {
        foreach (var box in (Box[])[new Box(100, 100, 25, 25), new Box(0, 700, 2000, 1)])
        {
            NumberedBox[] regions = [.. Enumerable.Range(0, 10_000).Select(i => new NumberedBox(i + 1, box, i % 3 != 0))];
            Place(2000, 1000, regions).SelectMany(label => label.Members).Select(member => member.Number).Order().ShouldBe(Enumerable.Range(1, 10_000));
        }
    }

    // 200 megapixels have over 12,000 tiles: 10,000 frames around all of it, sorted into each of them, took a gigabyte.
    [Fact]
    public void A_frame_is_looked_up_where_its_sides_are_and_drawn_there_whole()
    {
        var grid = new TileGrid(4000, 4000);
        var region = new Box(100, 100, 3800, 3800);
        var label = Place(4000, 4000, [new NumberedBox(1, region, true)]).ShouldHaveSingleItem();
        var bins = new Bins<RegionLabel>(grid);
        bins.Add(label.Reach(), label);
        bins.Add(label.Reach(), label);
        // 31 x 31 tiles have 120 along their edge; the plate may lie in four more.
        Enumerable.Range(0, grid.Count).Count(tile => bins[tile].Count > 0).ShouldBeLessThanOrEqualTo(124);
        Enumerable.Range(0, grid.Count).ShouldAllBe(tile => bins[tile].Count == 0 || bins[tile].Count == 2);

        var art = Plane<Rgba8>.OneValue(600, 400, new Rgba8(80, 90, 100));
        var picture = DiffPicture.Render(art, art, new InkRules(), [new NumberedBox(1, new Box(20, 20, 560, 360), true)]);
        var frame = new Box(20, 20, 560, 360).Grow(4);
        for (int y = frame.Y; y < frame.Bottom; y++)
        {
            for (int x = frame.X; x < frame.Right; x++)
            {
                bool side = x < frame.X + 2 || x >= frame.Right - 2 || y < frame.Y + 2 || y >= frame.Bottom - 2;
                (side && picture[x, y].R > 30).ShouldBeFalse($"{x},{y}");
            }
        }
    }

    // The numbers that a label stands for, as its text gives them or bounds them.
    private static IEnumerable<int> Told(RegionLabel label)
    {
        string text = label.Text.Trim('(', ')');
        label.Text.StartsWith('(').ShouldBe(!label.Chosen);
        int[] numbers = [.. label.Members.Select(member => member.Number).Order()];
        if (text.Split(" of ") is [var count, var range])
        {
            int.Parse(count).ShouldBe(numbers.Length);
            range.Split('-').Select(int.Parse).ShouldBe([numbers[0], numbers[^1]]);
            return numbers;
        }

        return text.Split('-') is [var from, var to] ? Enumerable.Range(int.Parse(from), int.Parse(to) - int.Parse(from) + 1) : text.Split(',').Select(int.Parse);
    }

    private static List<RegionLabel> Place(int width, int height, NumberedBox[] regions)
    {
        var art = Plane<Rgba8>.OneValue(width, height, Rgba8.White);
        return RegionLabels.Place(regions, ChangeMap.Between(art, art), new Box(0, 0, width, height), _ => null);
    }
}
