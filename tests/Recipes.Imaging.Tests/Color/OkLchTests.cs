using CsCheck;

namespace Recipes.Imaging.Tests;

public class OkLchTests
{
    // The table of Ottosson's page "A perceptual color space for image processing" (2020), XYZ to Oklab, three decimals; from memory.
    [Theory]
    [InlineData(0.950, 1.000, 1.089, 1.000, 0.000, 0.000)]
    [InlineData(1, 0, 0, 0.450, 1.236, -0.019)]
    [InlineData(0, 1, 0, 0.922, -0.671, 0.263)]
    [InlineData(0, 0, 1, 0.153, -1.415, -0.449)]
    public void The_authors_table_agrees(double x, double y, double z, double l, double a, double b)
    {
        var (red, green, blue) = LabSpace.D65.ToXyz.Inverse().Apply(x, y, z);
        var ours = OkLch.OfLinear(red, green, blue);
        ours.L.ShouldBe(l, 0.0015);
        (ours.C * Math.Cos(ours.H * Math.PI / 180)).ShouldBe(a, 0.0015);
        (ours.C * Math.Sin(ours.H * Math.PI / 180)).ShouldBe(b, 0.0015);
    }

    // W3C CSS Color 4, OKLCH of the sRGB primaries; from memory.
    [Theory]
    [InlineData("#ff0000", 0.62796, 0.25768, 29.234)]
    [InlineData("#00ff00", 0.86644, 0.29483, 142.495)]
    [InlineData("#0000ff", 0.45201, 0.31321, 264.052)]
    public void Primaries_are_the_published_ones(string color, double l, double c, double h)
    {
        Rgba8.TryParse(color, out var rgb).ShouldBeTrue();
        var ours = OkLch.Of(rgb);
        ours.L.ShouldBe(l, 0.0001);
        ours.C.ShouldBe(c, 0.0001);
        ours.H.ShouldBe(h, 0.01);
    }

    // Published check of the colour-science library (Values/srgb_matrices_whites.json); it converts through XYZ with
    // other digits, hence four decimals.
    [Fact]
    public void Published_linear_color_agrees()
    {
        const string Checks = "published_XYZ_checks_(colour test_common/test_cie_lab/test_oklab)";
        double[] rgb = ColorValues.Triple(Checks, "linear_sRGB"), lab = ColorValues.Triple(Checks, "Oklab");
        var ours = OkLch.OfLinear(rgb[0], rgb[1], rgb[2]);
        ours.L.ShouldBe(lab[0], 0.0001);
        ours.C.ShouldBe(Math.Sqrt((lab[1] * lab[1]) + (lab[2] * lab[2])), 0.0001);
    }

    [Fact]
    public void Every_color_comes_back_in_gamut() =>
        Gen.Select(Gen.Byte, Gen.Byte, Gen.Byte, (r, g, b) => new Rgba8(r, g, b)).Holds(c => OkLch.Of(c).ToSrgb() == (c, true));

    [Fact]
    public void Too_much_chroma_is_out_of_gamut() => new OkLch(0.6, 0.35, 150).ToSrgb().InGamut.ShouldBeFalse();
}
