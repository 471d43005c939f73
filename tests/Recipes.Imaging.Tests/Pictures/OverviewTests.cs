using Recipes.Imaging.Pictures;

namespace Recipes.Imaging.Tests;

/// <summary>A picture with its transparency, shrunk.</summary>
public class OverviewTests
{
    /// <summary>The mean of premultiplied colors, divided by the mean alpha: Porter and Duff 1984, "Compositing Digital Images".</summary>
    [Fact]
    public void A_color_counts_as_much_as_it_is_opaque()
    {
        Rgba8[] pixels =
        [
            new(200, 0, 0, 255), new(0, 100, 0, 0), new(10, 20, 30, 255), new(10, 20, 30, 255), new(9, 9, 9, 9),
            new(0, 0, 200, 255), new(0, 0, 0, 0), new(10, 20, 30, 255), new(10, 20, 30, 255), new(0, 0, 0, 0),
            new(0, 0, 0, 0), new(7, 7, 7, 0), new(1, 2, 3, 128), new(255, 255, 255, 1), new(50, 60, 70, 255),
        ];
        var half = Overview.OfArt(Plane<Rgba8>.FromContiguous(5, 3, pixels), 2);
        half.ToContiguous().ShouldBe(
        [
            new(100, 0, 100, 128), new(10, 20, 30, 255), new(9, 9, 9, 5),
            default, new(3, 4, 5, 65), new(50, 60, 70, 255),
        ]);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    [InlineData(128)]
    public void One_color_stays_one_color_at_every_size(int shrink)
    {
        var color = new Rgba8(17, 230, 99, 201);
        var small = Overview.OfArt(Plane<Rgba8>.OneValue(300, 130, color), shrink);
        (small.Width, small.Height).ShouldBe(((300 + shrink - 1) / shrink, (130 + shrink - 1) / shrink));
        small.ToContiguous().ShouldAllBe(pixel => pixel == color);
    }
}
