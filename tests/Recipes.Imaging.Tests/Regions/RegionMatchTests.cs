using System.Collections.Immutable;
using CsCheck;

namespace Recipes.Imaging.Tests;

/// <summary>
/// Matching has laws that need no other program: what was moved, scaled, renumbered, removed or added is known where it was made.
/// </summary>
public class RegionMatchTests
{
    private const int Cell = 120, Across = 4, Canvas = Cell * Across;

    // Three to twelve regions, each in a cell of its own, so that none lies in another's box.
    private static readonly Gen<NumberedRegion[]> Regions = Gen.Shuffle(Enumerable.Range(0, Across * Across).ToArray()).SelectMany(cells =>
        Gen.Select(Gen.Int[20, 100], Gen.Int[20, 100], Gen.Double[0, 1], Gen.Double[0, 1], Gen.Double[0.5, 1]).Array[3, 12].Select(drawn =>
            drawn.Select((region, i) =>
            {
                var (width, height, x, y, filled) = region;
                var box = new Box((cells[i] % Across * Cell) + 5 + (int)(x * (110 - width)), (cells[i] / Across * Cell) + 5 + (int)(y * (110 - height)), width, height);
                return new NumberedRegion(i + 1, box, (long)(filled * width * height));
            }).ToArray()));

    private static readonly Gen<ArtPlacement> Placements = Gen.Select(Gen.Double[0.4, 3], Gen.Int[-300, 300], Gen.Int[-300, 300]).Select((scale, x, y) => new ArtPlacement(scale, x, y));

    [Fact]
    public void An_art_is_itself() => Regions.Holds(regions =>
    {
        var match = RegionMatch.Between(Art(regions), Art(regions));
        match.Placement.ShouldBe(ArtPlacement.Same);
        match.Found.ShouldAllBe(found => found.Fit == RegionFit.Matched && found.Now.SequenceEqual(new[] { found.Number }));
        (match.New.Length + match.Unclear.Length).ShouldBe(0);
    }, iter: 200);

    [Fact]
    public void Moved_scaled_and_renumbered_regions_are_found_in_whatever_order_they_come() =>
        Gen.Select(Regions, Placements)
            .SelectMany((regions, placement) => Gen.Shuffle(Enumerable.Range(0, regions.Length).ToArray()).Select(order => (regions, placement, order)))
            .Holds(made =>
        {
            var (regions, placement, order) = made;
            NumberedRegion[] later = [.. regions.Select((region, i) => Placed(region, placement) with { Number = order[i] + 1 })];
            var match = RegionMatch.Between(Art(regions), Art(later));
            match.Found.Select(found => (found.Number, found.Fit, Now: found.Now.Single()))
                .ShouldBe(regions.Select((region, i) => (region.Number, RegionFit.Matched, order[i] + 1)));
            match.New.ShouldBeEmpty();
            // Half a pixel at either end of a box of 20 px, and what that makes at the far end of the art.
            match.Placement.Scale.ShouldBe(placement.Scale, 0.05 * placement.Scale);

            var turned = RegionMatch.Between(Art([.. regions.Reverse()]), Art([.. later.Reverse()]));
            turned.Placement.ShouldBe(match.Placement);
            turned.Found.Select(found => found.Now.Single()).ShouldBe(match.Found.Select(found => found.Now.Single()));
        }, iter: 200);

    // What a turn does to a box is written out here once more, by its corners: a quarter turn to the right takes x,y to height - y,x.
    [Fact]
    public void Turned_and_mirrored_regions_are_found() =>
        Gen.Select(Regions.Where(regions => regions.Length >= 5), Placements, Gen.Bool, Gen.Int[0, 3]).Holds((regions, placement, mirrored, quarters) =>
        {
            NumberedRegion[] later = [.. regions.Select(region => Placed(region with { Box = Turned(region.Box) }, placement))];
            var match = RegionMatch.Between(Art(regions), Art(later));
            match.Turn.ShouldBe(new ArtTurn(mirrored, quarters));
            match.Found.ShouldAllBe(found => found.Fit == RegionFit.Matched && found.Now.SequenceEqual(new[] { found.Number }));

            Box Turned(Box box)
            {
                var corners = new[] { (box.X, box.Y), (X: box.Right, Y: box.Bottom) }.Select(corner =>
                {
                    var (x, y) = (mirrored ? Canvas - corner.Item1 : corner.Item1, corner.Item2);
                    for (int i = 0; i < quarters; i++)
                    {
                        (x, y) = (Canvas - y, x);
                    }

                    return (X: x, Y: y);
                }).ToArray();
                return new Box(corners.Min(corner => corner.X), corners.Min(corner => corner.Y), Math.Abs(corners[0].X - corners[1].X), Math.Abs(corners[0].Y - corners[1].Y));
            }
        }, iter: 200);

    [Fact]
    public void A_figure_whose_halves_are_alike_does_not_say_whether_it_was_turned_or_mirrored()
    {
        // Two eyes, two wings, a belly: turned to the right it looks as it does turned to the left and mirrored.
        NumberedRegion[] figure = [new(1, new Box(150, 60, 40, 50), 1800), new(2, new Box(290, 60, 40, 50), 1800), new(3, new Box(40, 150, 90, 160), 13000), new(4, new Box(350, 150, 90, 160), 13000), new(5, new Box(180, 180, 120, 200), 20000)];
        var match = RegionMatch.Between(Art(figure), Art(figure).Turned(new ArtTurn(false, 1)));
        match.Turn.ShouldBe(default);
    }

    [Fact]
    public void What_was_removed_is_gone_and_what_was_added_is_new() =>
        Gen.Select(Regions.Where(regions => regions.Length >= 5), Placements).Holds((regions, placement) =>
    {
        // The first region is only in the later art, the last only in the earlier one.
        NumberedRegion[] later = [.. regions[..^1].Select(region => Placed(region, placement))];
        var match = RegionMatch.Between(Art(regions[1..]), Art(later));
        match.New.Select(added => added.Number).ShouldBe([1]);
        match.Found.Where(found => found.Fit == RegionFit.Gone).Select(found => found.Number).ShouldBe([regions.Length]);
        match.Found.Where(found => found.Fit == RegionFit.Matched).ShouldAllBe(found => found.Now.SequenceEqual(new[] { found.Number }));
    }, iter: 200);

    [Fact]
    public void One_region_alone_says_nothing_about_where_the_art_went_but_the_drawing_does()
    {
        NumberedRegion earlier = new(1, new Box(10, 10, 40, 30), 900), later = new(1, new Box(210, 110, 40, 30), 900);
        var alone = RegionMatch.Between(Art([earlier]), Art([later]));
        alone.Found.Single().Fit.ShouldBe(RegionFit.Gone);
        alone.New.Single().Number.ShouldBe(1);

        var drawn = RegionMatch.Between(Art([earlier]) with { Drawing = new Box(0, 0, 100, 80) }, Art([later]) with { Drawing = new Box(200, 100, 100, 80) });
        drawn.Placement.ShouldBe(new ArtPlacement(1, 200, 100));
        drawn.Found.Single().Fit.ShouldBe(RegionFit.Matched);
    }

    [Fact]
    public void Pieces_in_the_box_of_one_region_are_that_region()
    {
        var match = RegionMatch.Between(
            Art([new(1, new Box(20, 20, 100, 60), 5000), new(2, new Box(200, 200, 50, 50), 2000)]),
            Art([new(1, new Box(21, 21, 48, 58), 2300), new(2, new Box(70, 21, 49, 58), 2400), new(3, new Box(68, 40, 2, 2), 3), new(4, new Box(201, 200, 49, 50), 1900)]));
        match.Found.Select(found => (found.Fit, string.Join(' ', found.Now))).ShouldBe([(RegionFit.Matched, "2 1 3"), (RegionFit.Matched, "4")]);
        match.New.ShouldBeEmpty();
    }

    [Fact]
    public void A_piece_in_the_boxes_of_two_regions_is_unclear()
    {
        NumberedRegion ring = new(1, new Box(20, 20, 100, 100), 4000), hole = new(2, new Box(50, 50, 40, 40), 1250);
        var match = RegionMatch.Between(Art([ring, hole]), Art([ring, hole, new(3, new Box(51, 51, 4, 4), 9)]));
        match.Found.ShouldAllBe(found => found.Fit == RegionFit.Matched && found.Now.SequenceEqual(new[] { found.Number }));
        var piece = match.Unclear.Single();
        (piece.Number, string.Join(' ', piece.Candidates)).ShouldBe((3, "2 1"));
    }

    [Fact]
    public void A_new_element_in_pieces_is_one()
    {
        NumberedRegion there = new(1, new Box(300, 300, 100, 100), 9000);
        var added = RegionMatch.Between(Art([there]), Art([there, new(2, new Box(20, 20, 80, 80), 5000), new(3, new Box(22, 22, 3, 3), 5), new(4, new Box(95, 40, 4, 9), 12), new(5, new Box(200, 20, 9, 9), 60)])).New;
        added.Select(region => $"{region.Number}: {string.Join(' ', region.Pieces)}").ShouldBe(["2: 3 4", "5: "]);
    }

    // A JPEG's blocks are 8 px, and 16 px for color at half resolution (ITU-T T.81, A.1 and A.2); what an edge crosses is spoiled.
    [Theory]
    [InlineData(10, 16)]
    [InlineData(40, 500)]
    public void What_JPEG_can_spoil_of_a_small_region_is_no_doubt(int side, long left)
    {
        NumberedRegion rest = new(2, new Box(200, 200, 150, 150), 20000);
        RegionMatch.Between(Art([new(1, new Box(20, 20, side, side), side * side), rest]), Art([new(1, new Box(22, 23, side / 2, side / 2), left), rest]))
            .Found.Select(found => found.Fit).ShouldBe([RegionFit.Matched, RegionFit.Matched]);
    }

    [Theory]
    [InlineData(20, 20, 100, 100, 1500)] // A thin ring where a disk was.
    [InlineData(20, 20, 100, 50, 3900)] // Half of it.
    [InlineData(50, 20, 100, 100, 7854)] // Beside its place.
    public void What_has_another_shape_size_or_place_is_doubtful(int x, int y, int width, int height, long pixels)
    {
        NumberedRegion rest = new(2, new Box(200, 200, 150, 150), 20000);
        RegionMatch.Between(Art([new(1, new Box(20, 20, 100, 100), 7854), rest]), Art([new(1, new Box(x, y, width, height), pixels), rest]))
            .Found.Select(found => found.Fit).ShouldBe([RegionFit.Doubtful, RegionFit.Matched]);
    }

    // What OpenCV's JPEG leaves of whites whose places are known: bands of at least 32 px, in circles and squares, with a white inside.
    [Theory]
    [InlineData(75)]
    [InlineData(85)]
    [InlineData(95)]
    public void Whites_that_JPEG_broke_are_found(int quality)
    {
        OpenCv.OrSkip();
        (int X, int Y)[] centers = [(90, 90), (290, 90), (490, 90), (90, 290), (290, 290), (490, 290)];
        var art = Pictures.Art(600, 400, (x, y) =>
        {
            int cell = (x / 200) + (3 * (y / 200)), outer = 90 - (3 * cell);
            double dx = x - centers[cell].X, dy = y - centers[cell].Y, far = cell % 2 == 0 ? Math.Sqrt((dx * dx) + (dy * dy)) : Math.Max(Math.Abs(dx), Math.Abs(dy));
            // A band of white between two of ink, and white inside.
            return far < outer && (far >= outer - 8 || (far < 35 && far >= 28)) ? new Rgba8(24, 48, 92) : Rgba8.White;
        });
        var (before, was) = Whites(art);
        var (after, now) = Whites(Pictures.ThroughJpeg(art, quality));
        before.Regions.Length.ShouldBe(12);
        var match = RegionMatch.Between(before, after);
        match.Found.Where(found => found.Fit != RegionFit.Matched).Select(found => (found, before.Regions[found.Number - 1])).ShouldBeEmpty();
        // What counts as new is paper that noise walled in, never a white of the art.
        match.New.Select(added => now[added.Number - 1]).Where(island => was.NumberAt(island.FirstX, island.FirstY) != 0).ShouldBeEmpty();
        foreach (var (i, (x, y)) in centers.Index())
        {
            int band = (90 - (3 * i) - 8 + 35) / 2;
            match.Found[was.NumberAt(x, y) - 1].Now.ShouldContain(now.NumberAt(x, y));
            match.Found[was.NumberAt(x + band, y) - 1].Now.ShouldContain(now.NumberAt(x + band, y));
        }

        static (RegionsOfArt, Islands) Whites(Plane<Rgba8> art)
        {
            var islands = Find.PureWhite(art).Enclosed(24).Islands();
            return (RegionsOfArt.Of(art, [.. islands.Select(island => new NumberedRegion(island.Number, island.Bounds, island.Count))]), islands);
        }
    }

    [Fact]
    public void Lists_that_no_art_gives_are_refused()
    {
        NumberedRegion one = new(1, new Box(0, 0, 5, 5), 25);
        Should.Throw<ArgumentException>(() => RegionMatch.Between(Art([one, one]), Art([one])));
        Should.Throw<ArgumentException>(() => RegionMatch.Between(Art([one]), Art([one with { Box = new Box(3, 3, 0, 5) }])));
        var none = RegionMatch.Between(Art([]), Art([one]));
        (none.Found.Length, none.New.Single().Number).ShouldBe((0, 1));
    }

    // Ten thousand regions are what a list holds; nested ones all overlap.
    [Fact]
    public void Long_lists_are_matched_too()
    {
        NumberedRegion[] nested = [.. Enumerable.Range(1, 10_000).Select(number => new NumberedRegion(number, new Box(number, number, 30_000 - (2 * number), 30_000 - (2 * number)), 60_000))];
        var match = RegionMatch.Between(Art(nested), Art(nested));
        match.Found.Length.ShouldBe(10_000);
        match.Found.ShouldAllBe(found => found.Now[0] == found.Number);
    }

    // A pattern of 2,500 equal dots of which one was taken away and one moved to where none was: only those two are told.
    [Fact]
    public void Every_region_of_a_long_list_is_looked_at()
    {
        NumberedRegion[] dots = [.. Enumerable.Range(0, 2500).Select(i => new NumberedRegion(i + 1, new Box(i % 50 * 20, i / 50 * 20, 12, 12), 113 + (i % 7)))];
        NumberedRegion[] later = [.. dots.Where(dot => dot.Number is not (1700 or 2300)), new NumberedRegion(2501, new Box(1200, 1200, 12, 12), 113)];
        var match = RegionMatch.Between(Art(dots), Art(later));
        match.Found.Where(found => found.Fit != RegionFit.Matched).Select(found => (found.Number, found.Fit)).ShouldBe([(1700, RegionFit.Gone), (2300, RegionFit.Gone)]);
        match.Found.Where(found => found.Fit == RegionFit.Matched).ShouldAllBe(found => found.Now.SequenceEqual(new[] { found.Number }));
        match.New.Select(added => added.Number).ShouldBe([2501]);
    }

    private static RegionsOfArt Art(NumberedRegion[] regions) => new(Canvas, Canvas, null, [.. regions]);

    private static NumberedRegion Placed(NumberedRegion region, ArtPlacement placement)
    {
        int x = At(region.Box.X, placement.X), y = At(region.Box.Y, placement.Y), right = At(region.Box.Right, placement.X), bottom = At(region.Box.Bottom, placement.Y);
        return region with { Box = new Box(x, y, right - x, bottom - y), Pixels = Math.Max(1, (long)(region.Pixels * placement.Scale * placement.Scale)) };

        int At(int edge, double shift) => (int)Math.Round((placement.Scale * edge) + shift);
    }
}
