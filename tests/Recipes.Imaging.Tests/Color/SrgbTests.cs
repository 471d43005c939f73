namespace Recipes.Imaging.Tests;

public class SrgbTests
{
    // IEC 61966-2-1, all codes: Values/srgb_transfer_8bit.csv.
    [Fact]
    public void All_256_codes_follow_the_standard_and_come_back()
    {
        var rows = ColorValues.Rows("srgb_transfer_8bit.csv").ToList();
        rows.Count.ShouldBe(256);
        foreach (var row in rows)
        {
            byte code = byte.Parse(row[0]);
            Srgb.ToLinear(code).ShouldBe(ColorValues.Number(row[1]), 1e-12);
            Srgb.ToLinear(code / 255.0).ShouldBe(ColorValues.Number(row[1]), 1e-12);
            (Srgb.FromLinear(Srgb.ToLinear(code)) * 255).ShouldBe(code, 1e-9);
        }
    }

    // Published check of the colour-science library's test suite.
    [Fact]
    public void Eighteen_percent_gray_is_encoded_as_published() => Srgb.FromLinear(0.18).ShouldBe(0.461356129500442, 1e-14);

    // The four-decimal constants of the standard leave a step of about 1e-8 at the joint.
    [Fact]
    public void Both_branches_meet_at_the_joint() =>
        (Srgb.FromLinear(0.00313081) - Srgb.FromLinear(0.0031308)).ShouldBeInRange(0, 1e-6);

    [Theory]
    [InlineData(0, 0, 0, "#000000", true)]
    [InlineData(1, 1, 1, "#ffffff", true)]
    [InlineData(1.001, 1, 1, "#ffffff", true)]
    [InlineData(1.01, 1, 1, "#ffffff", false)]
    [InlineData(-0.01, 0.18, 1, "#0076ff", false)]
    public void A_color_is_in_gamut_where_rounding_clips_nothing(double r, double g, double b, string color, bool inGamut)
    {
        var nearest = Srgb.Nearest(r, g, b);
        nearest.Color.ToString().ShouldBe(color);
        nearest.InGamut.ShouldBe(inGamut);
    }
}
