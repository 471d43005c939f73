using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Tests;

/// <summary>Lengths as people write them. An inch is 25.4 mm exactly (international yard and pound agreement of 1959).</summary>
public class MeasureTests
{
    [Theory]
    [InlineData("25.4mm", 300)]
    [InlineData("2.54cm", 300)]
    [InlineData("1in", 300)]
    [InlineData("300px", 300)]
    [InlineData("0cm", 0)]
    public void A_length_in_any_unit_is_px(string text, double px) => Measure.Length(text, 300).ShouldBe(px);

    [Theory]
    [InlineData("2.54")]
    [InlineData("cm")]
    [InlineData("-1cm")]
    [InlineData("1CM")]
    [InlineData("1m")]
    public void What_has_no_unit_of_ours_is_no_length(string text) => Measure.Length(text, 300).ShouldBeNull();

    [Fact]
    public void A_box_takes_centimeters() => Measure.Box("0cm,1.27cm,2.54cm,5.08cm", 300).ShouldBe(new Box(0, 150, 300, 600));
}
