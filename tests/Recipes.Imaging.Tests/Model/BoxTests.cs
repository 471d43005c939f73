using CsCheck;

namespace Recipes.Imaging.Tests;

public class BoxTests
{
    private static readonly Gen<Box> Boxes = Gen.Select(Gen.Int[-4, 8], Gen.Int[-4, 8], Gen.Int[0, 6], Gen.Int[0, 6], (x, y, w, h) => new Box(x, y, w, h));

    private static IEnumerable<(int X, int Y)> Pixels(Box box) =>
        from y in Enumerable.Range(-20, 60) from x in Enumerable.Range(-20, 60) where box.Contains(x, y) select (x, y);

    [Fact]
    public void Within_holds_the_shared_pixels_and_Around_the_fewest_that_hold_both() => Gen.Select(Boxes, Boxes).Holds((a, b) =>
    {
        var shared = Pixels(a).Intersect(Pixels(b)).ToList();
        Pixels(a.Within(b)).ShouldBe(shared, ignoreOrder: true);
        a.Within(b).IsEmpty.ShouldBe(shared.Count == 0);
        var both = Pixels(a).Union(Pixels(b)).ToList();
        var around = a.Around(b);
        around.IsEmpty.ShouldBe(both.Count == 0);
        if (both.Count > 0)
        {
            (around.X, around.Y, around.Right - 1, around.Bottom - 1)
                .ShouldBe((both.Min(p => p.X), both.Min(p => p.Y), both.Max(p => p.X), both.Max(p => p.Y)));
        }
    });

    [Fact]
    public void A_box_holds_width_times_height_pixels_and_grows_on_every_side()
    {
        var box = new Box(2, 3, 4, 5);
        Pixels(box).Count().ShouldBe(20);
        box.Grow(2).ShouldBe(new Box(0, 1, 8, 9));
        box.ToString().ShouldBe("2,3,4,5");
    }
}
