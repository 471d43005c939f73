using CsCheck;
using OpenCvSharp;

namespace Recipes.Imaging.Tests;

public class LabTests
{
    private static readonly Gen<Rgba8> Colors = Gen.Select(Gen.Byte, Gen.Byte, Gen.Byte, (r, g, b) => new Rgba8(r, g, b));

    // Values/srgb_matrices_whites.json; the D50 one is the product of two matrices of the file, multiplied here.
    [Fact]
    public void Matrices_and_whites_are_the_published_ones()
    {
        var toXyz = ColorValues.Matrix("sRGB_to_XYZ_D65xy_exact");
        var adaptation = ColorValues.Matrix("CAT_D65xy_to_D50xy");
        ShouldEqual(LabSpace.D65.ToXyz, toXyz, 1e-12);
        ShouldEqual(LabSpace.D65.ToXyz.Inverse(), ColorValues.Matrix("XYZ_to_sRGB_D65xy_exact"), 1e-12);
        ShouldEqual(LabSpace.D65.ToXyz, ColorValues.Matrix("sRGB_to_XYZ_IEC_4dec"), 0.00005);
        var product = Enumerable.Range(0, 3).Select(r => Enumerable.Range(0, 3)
            .Select(c => Enumerable.Range(0, 3).Sum(k => adaptation[r][k] * toXyz[k][c])).ToArray()).ToArray();
        ShouldEqual(LabSpace.D50.ToXyz, product, 1e-12);
        // Lindbloom's differs in the digits of both whites only.
        ShouldEqual(LabSpace.D50.ToXyz, ColorValues.Matrix("sRGB_to_XYZ_D50_Lindbloom_check(0.4360747 0.3850649 0.1430804 ...)"), 0.0002);
        ShouldEqual(LabSpace.D50.White, ColorValues.Triple("white_XYZ", "D50_from_xy"), 1e-9);
        ShouldEqual(LabSpace.D65.White, ColorValues.Triple("white_XYZ", "D65_from_xy"), 1e-9);
    }

    // Published checks of the colour-science library, as kept in the same file.
    [Fact]
    public void Lab_of_a_published_XYZ_is_the_published_one()
    {
        const string Checks = "published_XYZ_checks_(colour test_common/test_cie_lab/test_oklab)";
        var xyz = ColorValues.Triple(Checks, "XYZ");
        ShouldEqual(LabSpace.D50.OfXyz(xyz[0], xyz[1], xyz[2]), ColorValues.Triple(Checks, "Lab_D50xy"), 1e-6);
        ShouldEqual(LabSpace.D65.OfXyz(xyz[0], xyz[1], xyz[2]), ColorValues.Triple(Checks, "Lab_D65xy"), 1e-6);
    }

    // The published 24-patch target (Values/target24_lab.csv): its sRGB column is an independent conversion of its Lab
    // column, rounded to 8 bits.
    [Fact]
    public void Published_target_converts_to_its_sRGB()
    {
        var rows = ColorValues.Rows("target24_lab.csv").ToList();
        rows.Count.ShouldBe(24);
        foreach (var row in rows)
        {
            var n = row.Skip(5).Select(ColorValues.Number).ToArray();
            var (color, inGamut) = LabSpace.D50.ToSrgb(new Lab(n[0], n[1], n[2]));
            color.LargestDifference(new Rgba8((byte)n[6], (byte)n[7], (byte)n[8])).ShouldBeLessThanOrEqualTo(1, row[1]);
            inGamut.ShouldBe(n[9] == 0, row[1]);
        }
    }

    // OpenCV's float Lab is D65 and table-based, within 0.05 of the formulas where it is fed linear light. Fed encoded
    // sRGB it interpolates a coarse table and is up to 0.4 off, which would show nothing; the transfer has its own test.
    [Fact]
    public void Lab_D65_equals_OpenCv()
    {
        OpenCv.OrSkip();
        Colors.Array[1, 64].Holds(colors =>
        {
            using var bgr = new Mat(1, colors.Length, MatType.CV_32FC3);
            for (int i = 0; i < colors.Length; i++)
            {
                var c = colors[i];
                bgr.Set(0, i, new Vec3f((float)Srgb.ToLinear(c.B), (float)Srgb.ToLinear(c.G), (float)Srgb.ToLinear(c.R)));
            }

            using var lab = new Mat();
            Cv2.CvtColor(bgr, lab, ColorConversionCodes.LBGR2Lab);
            for (int i = 0; i < colors.Length; i++)
            {
                var theirs = lab.At<Vec3f>(0, i);
                ShouldEqual(LabSpace.D65.Of(colors[i]), [theirs.Item0, theirs.Item1, theirs.Item2], 0.05);
            }
        }, iter: 300);
    }

    // The trade's figures, one decimal. They name no white; pink agrees with D65 alone, and neutrals don't depend on it.
    [Theory]
    [InlineData(254, 254, 254, 0.2)]
    [InlineData(250, 250, 250, 1.0)]
    [InlineData(245, 245, 245, 2.0)]
    [InlineData(240, 240, 240, 3.0)]
    [InlineData(255, 248, 231, 7.6)]
    [InlineData(255, 231, 231, 10.5)]
    public void Near_whites_are_as_far_from_white_as_the_trade_counts(byte r, byte g, byte b, double difference) =>
        FromWhite(LabSpace.D65, r, g, b).ShouldBe(difference, 0.05);

    // The same colors under D50, where prints are judged: a script of its own that adapts step by step, four decimals.
    [Theory]
    [InlineData(254, 254, 254, 0.1978)]
    [InlineData(250, 250, 250, 0.9965)]
    [InlineData(245, 245, 245, 2.0120)]
    [InlineData(240, 240, 240, 3.0470)]
    [InlineData(255, 248, 231, 7.6489)]
    [InlineData(255, 231, 231, 10.7727)]
    public void Under_D50_tinted_near_whites_lie_a_little_further(byte r, byte g, byte b, double difference) =>
        FromWhite(LabSpace.D50, r, g, b).ShouldBe(difference, 0.0001);

    [Fact]
    public void Near_blacks_are_where_the_trade_counts_them()
    {
        LabSpace.D50.Of(new Rgba8(8, 8, 15)).Chroma.ShouldBe(3.1, 0.05);
        LabSpace.D50.Of(new Rgba8(35, 31, 32)).L.ShouldBe(12.2, 0.05);
    }

    // "Pure blue differs by 12 units between D50 and D65": common knowledge of the field, computed outside.
    [Fact]
    public void Pure_blue_differs_by_twelve_units_between_the_whites()
    {
        Lab d50 = LabSpace.D50.Of(new Rgba8(0, 0, 255)), d65 = LabSpace.D65.Of(new Rgba8(0, 0, 255));
        Math.Sqrt(Square(d50.L - d65.L) + Square(d50.A - d65.A) + Square(d50.B - d65.B)).ShouldBe(12, 0.6);
    }

    [Fact]
    public void Every_color_comes_back_from_both_spaces_and_is_in_gamut() => Colors.Holds(color =>
        LabSpace.D50.ToSrgb(LabSpace.D50.Of(color)) == (color, true) && LabSpace.D65.ToSrgb(LabSpace.D65.Of(color)) == (color, true));

    [Fact]
    public void A_color_no_screen_shows_is_out_of_gamut() => LabSpace.D50.ToSrgb(new Lab(50, -100, 0)).InGamut.ShouldBeFalse();

    [Fact]
    public void Neutrals_have_no_chroma_and_hue_zero() => Gen.Byte.Holds(v =>
    {
        var lab = LabSpace.D50.Of(new Rgba8(v, v, v));
        lab.Chroma.ShouldBe(0, 1e-9);
        lab.Hue.ShouldBe(0);
    });

    [Theory]
    [InlineData(1, 0, 0)]
    [InlineData(0, 1, 90)]
    [InlineData(-1, 0, 180)]
    [InlineData(1, -1, 315)]
    public void Hue_is_the_angle_in_degrees(double a, double b, double hue) => new Lab(50, a, b).Hue.ShouldBe(hue, 1e-12);

    private static double FromWhite(LabSpace space, byte r, byte g, byte b) =>
        Ciede2000.Difference(space.Of(Rgba8.White), space.Of(new Rgba8(r, g, b)));

    private static double Square(double x) => x * x;

    private static void ShouldEqual(Matrix3 ours, double[][] theirs, double tolerance)
    {
        ShouldEqual((ours.M11, ours.M12, ours.M13), theirs[0], tolerance);
        ShouldEqual((ours.M21, ours.M22, ours.M23), theirs[1], tolerance);
        ShouldEqual((ours.M31, ours.M32, ours.M33), theirs[2], tolerance);
    }

    private static void ShouldEqual(Lab ours, double[] theirs, double tolerance) => ShouldEqual((ours.L, ours.A, ours.B), theirs, tolerance);

    private static void ShouldEqual((double, double, double) ours, double[] theirs, double tolerance)
    {
        ours.Item1.ShouldBe(theirs[0], tolerance);
        ours.Item2.ShouldBe(theirs[1], tolerance);
        ours.Item3.ShouldBe(theirs[2], tolerance);
    }
}
