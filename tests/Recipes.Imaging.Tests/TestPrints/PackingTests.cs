using CsCheck;

namespace Recipes.Imaging.Tests.TestPrints;

/// <summary>Laws of packing, whatever the sizes: inside, apart, clear of what is taken, repeatable, and no place missed.</summary>
public class PackingTests
{
    private static readonly Gen<Box> GenBox = Gen.Select(Gen.Int[0, 90], Gen.Int[0, 90], Gen.Int[1, 40], Gen.Int[1, 40], (x, y, w, h) => new Box(x, y, w, h));
    private static readonly Gen<(Box[] Taken, (int, int)[] Sizes, int Gap)> GenCase = Gen.Select(
        GenBox.Array[0, 8], Gen.Select(Gen.Int[1, 35], Gen.Int[1, 35]).Array[0, 12], Gen.Int[0, 4]);

    private static readonly Box Area = new(7, 5, 100, 80);

    [Fact]
    public void Places_lie_inside_apart_and_clear_of_what_is_taken() =>
        GenCase.Holds(it =>
        {
            if (Packing.Place(Area, it.Taken, it.Sizes, it.Gap) is not { } places)
            {
                return;
            }

            places.Select(place => (place.Width, place.Height)).ShouldBe(it.Sizes);
            for (int i = 0; i < places.Length; i++)
            {
                places[i].Within(Area).ShouldBe(places[i]);
                it.Taken.ShouldAllBe(taken => taken.Within(places[i]).IsEmpty);
                places.Take(i).ShouldAllBe(other => other.Grow(it.Gap).Within(places[i]).IsEmpty);
            }

            Packing.Place(Area, it.Taken, it.Sizes, it.Gap).ShouldNotBeNull().ShouldBe(places);
        });

    [Fact]
    public void One_box_is_placed_wherever_a_walk_over_every_place_finds_one() =>
        GenCase.Where(it => it.Sizes.Length > 0).Holds(it =>
        {
            var (width, height) = it.Sizes[0];
            Box? first = null;
            for (int y = Area.Y; y + height <= Area.Bottom && first is null; y++)
            {
                for (int x = Area.X; x + width <= Area.Right && first is null; x++)
                {
                    var box = new Box(x, y, width, height);
                    first = it.Taken.Any(taken => !taken.Within(box).IsEmpty) ? null : box;
                }
            }

            (Packing.Place(Area, it.Taken, [it.Sizes[0]], it.Gap)?[0]).ShouldBe(first);
        });

    [Fact]
    public void Another_order_is_tried_where_the_given_one_fails()
    {
        // As given, the third goes into the right column and leaves the fourth no full one. The tallest first fit exactly.
        Packing.Place(new Box(0, 0, 10, 10), [], [(3, 2), (4, 10), (3, 8), (3, 10)], 0).ShouldNotBeNull()
            .ShouldBe([new Box(7, 8, 3, 2), new Box(0, 0, 4, 10), new Box(7, 0, 3, 8), new Box(4, 0, 3, 10)]);
        Packing.Place(new Box(0, 0, 10, 10), [], [(4, 3), (4, 10), (6, 10)], 0).ShouldBeNull();
    }

    [Fact]
    public void A_gap_stands_between_boxes_but_not_towards_the_edge() =>
        Packing.Place(new Box(0, 0, 22, 10), [], [(10, 10), (10, 10)], 2).ShouldNotBeNull().ShouldBe([new Box(0, 0, 10, 10), new Box(12, 0, 10, 10)]);

    [Fact]
    public void Nothing_takes_no_place_and_no_area_takes_nothing()
    {
        Packing.Place(Area, [], [], 3).ShouldNotBeNull().ShouldBeEmpty();
        Packing.Place(new Box(0, 0, 0, 0), [], [(1, 1)], 0).ShouldBeNull();
    }
}
