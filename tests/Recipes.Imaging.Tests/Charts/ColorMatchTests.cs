using Recipes.Imaging.Charts;

namespace Recipes.Imaging.Tests.Charts;

/// <summary>What would really be printed, on printers whose truth is known.</summary>
public class ColorMatchTests
{
    /// <summary>
    /// A chart of 5x5x5 patches and 200 targets that the printer can print: the mean CIEDE2000 between the target and what
    /// the computed color really prints, after rounding to 8 bits. The limits were set before the model was written, from an
    /// independent program's figures for thin-plate splines and tetrahedra.
    /// </summary>
    [Theory]
    [InlineData(false, 0, 0.6)]
    [InlineData(true, 0, 0.6)]
    [InlineData(false, 0.4, 0.7)]
    [InlineData(true, 0.4, 0.7)]
    public void The_computed_color_prints_what_was_asked_for(bool black, double noise, double limit)
    {
        var printer = new SyntheticPrinter(black);
        foreach (int seed in new[] { 1, 2, 3 })
        {
            var chart = MeasuredChart.Of(printer.Measure(5, noise, seed));
            chart.Outliers.ShouldBeEmpty();
            var random = new Random(seed + 100);
            double reached = 0, nearest = 0;
            int covered = 0, inGamut = 0;
            for (int i = 0; i < 200; i++)
            {
                var target = printer.Print(new Rgb(random.Next(256), random.Next(256), random.Next(256)));
                var match = ColorMatch.Find(chart, target);
                double difference = Ciede2000.Difference(printer.Print(Rgb.Of(match.Computed!.Color)), target);
                reached += difference / 200;
                nearest += match.NearestDifference / 200;
                covered += difference <= match.Computed.Difference + match.Uncertainty ? 1 : 0;
                inGamut += match.InGamut == true ? 1 : 0;
                match.HueTrue.ShouldBe(match.InGamut == true ? null : match.HueTrue);
                match.ModelsDiffer.ShouldNotBeNull();
            }

            TestContext.Current.TestOutputHelper?.WriteLine($"black {black} noise {noise}: computed {reached:0.000}, nearest {nearest:0.00}, covered {covered}, in gamut {inGamut}");
            reached.ShouldBeLessThanOrEqualTo(limit);
            // The nearest patch alone is several times worse, which is why a color is computed.
            nearest.ShouldBeGreaterThan(2.5);
            inGamut.ShouldBeGreaterThanOrEqualTo(198);
            covered.ShouldBeGreaterThanOrEqualTo(160);
        }
    }

    [Fact]
    public void Nothing_printable_comes_nearer_by_more_than_the_model_errs()
    {
        var printer = new SyntheticPrinter(black: true);
        var chart = MeasuredChart.Of(printer.Measure(5, 0, 1));
        var target = new Lab(60, 20, 10);
        var match = ColorMatch.Find(chart, target);
        // Every fourth level of each channel, by brute force over the model.
        double best = double.MaxValue;
        for (int r = 0; r < 256; r += 4)
        {
            for (int g = 0; g < 256; g += 4)
            {
                for (int b = 0; b < 256; b += 4)
                {
                    best = Math.Min(best, Ciede2000.Difference(chart.Model!.Predict(new Rgb(r, g, b)), target));
                }
            }
        }

        match.Computed!.Difference.ShouldBeLessThanOrEqualTo(best);
    }

    [Theory]
    [InlineData(87.82, -79.27, 80.99)] // sRGB green, far outside any ink's reach
    [InlineData(50, 90, -60)]
    [InlineData(30, -40, -50)]
    public void A_target_out_of_gamut_is_said_to_be_and_its_hue_true_color_keeps_the_hue(double l, double a, double b)
    {
        var target = new Lab(l, a, b);
        var printer = new SyntheticPrinter(black: true);
        var match = ColorMatch.Find(MeasuredChart.Of(printer.Measure(6, 0, 1)), target);
        match.InGamut.ShouldBe(false);
        match.Computed!.Difference.ShouldBeGreaterThan(1);
        var hueTrue = match.HueTrue.ShouldNotBeNull();
        hueTrue.Difference.ShouldBeGreaterThanOrEqualTo(match.Computed.Difference - 1e-6);
        double turn = Math.Abs(printer.Print(Rgb.Of(hueTrue.Color)).Hue - target.Hue);
        Math.Min(turn, 360 - turn).ShouldBeLessThan(4);
        // It isn't gray for safety's sake: a good part of the reachable chroma is used.
        hueTrue.Lab.Chroma.ShouldBeGreaterThan(25);
    }

    // Hue-preserving minimum-distance clipping (CIE 156:2004) by brute force over every fourth level: of the colors within half a
    // degree of the target's hue none comes nearer in CIELAB.
    [Theory]
    [InlineData(87.82, -79.27, 80.99)]
    [InlineData(50, 90, -60)]
    [InlineData(30, -40, -50)]
    public void The_hue_true_color_is_the_nearest_of_its_hue(double l, double a, double b)
    {
        var target = new Lab(l, a, b);
        var chart = MeasuredChart.Of(new SyntheticPrinter(black: true).Measure(6, 0, 1));
        double Distance(Lab lab) => Math.Sqrt(Math.Pow(lab.L - l, 2) + Math.Pow(lab.A - a, 2) + Math.Pow(lab.B - b, 2));
        double nearest = double.MaxValue;
        int compared = 0;
        for (int i = 0; i < 64 * 64 * 64; i++)
        {
            var lab = chart.Model!.Predict(new Rgb(4 * (i / 4096), 4 * (i / 64 % 64), 4 * (i % 64)));
            double turn = Math.Abs(lab.Hue - target.Hue);
            if (lab.Chroma > 1 && Math.Min(turn, 360 - turn) < 0.5)
            {
                compared++;
                nearest = Math.Min(nearest, Distance(lab));
            }
        }

        compared.ShouldBeGreaterThan(100);
        Distance(ColorMatch.Find(chart, target).HueTrue!.Lab).ShouldBeLessThanOrEqualTo(nearest + 0.1);
    }

    [Fact]
    public void Pure_white_and_pure_black_are_never_computed()
    {
        var printer = new SyntheticPrinter(black: false);
        var chart = MeasuredChart.Of(printer.Measure(5, 0, 1));
        ColorMatch.Find(chart, printer.Print(new Rgb(255, 255, 255))).Computed!.Color.IsPureWhite.ShouldBeFalse();
        ColorMatch.Find(chart, printer.Print(new Rgb(0, 0, 0))).Computed!.Color.IsPureBlack.ShouldBeFalse();
    }

    [Fact]
    public void A_bracket_is_searched_between_its_own_levels()
    {
        var printer = new SyntheticPrinter(black: false);
        List<PatchReading> readings = [];
        for (int i = 0; i < 27; i++)
        {
            var color = new Rgb(190 + (10 * (i / 9)), 10 + (10 * (i / 3 % 3)), 40 + (10 * (i % 3)));
            readings.Add(new PatchReading($"{i}", color, printer.Print(color)));
        }

        var chart = MeasuredChart.Of(readings);
        var inside = ColorMatch.Find(chart, printer.Print(new Rgb(203, 17, 52)));
        inside.InGamut.ShouldBe(true);
        Ciede2000.Difference(printer.Print(Rgb.Of(inside.Computed!.Color)), inside.Target).ShouldBeLessThan(0.3);
        var outside = ColorMatch.Find(chart, printer.Print(new Rgb(60, 200, 90)));
        outside.InGamut.ShouldBe(false);
        var color8 = outside.Computed!.Color;
        (color8.R is >= 190 and <= 210 && color8.G is >= 10 and <= 30 && color8.B is >= 40 and <= 60).ShouldBeTrue(color8.ToString());
    }

    [Fact]
    public void Too_few_patches_or_grays_alone_compute_nothing()
    {
        List<PatchReading> grays = [.. Enumerable.Range(0, 40).Select(i => new PatchReading($"{i}", new Rgb(6 * i, 6 * i, 6 * i), new Lab(20 + i, 0, 0)))];
        foreach (var readings in new[] { grays, grays[..3] })
        {
            var match = ColorMatch.Find(MeasuredChart.Of(readings), new Lab(21.2, 0, 0));
            (match.Computed, match.InGamut, match.Uncertainty).ShouldBe((null, null, null));
            match.Nearest.Label.ShouldBe("1");
            // Neutral colors 0.2 apart in L* at 21: CIEDE2000 is dL / SL, with SL = 1 + 0.015 (L - 50)^2 / sqrt(20 + (L - 50)^2) = 1.428 at 21.1.
            match.NearestDifference.ShouldBe(0.140, 0.001);
        }
    }

    [Fact]
    public void The_same_readings_give_the_same_color_in_any_order_of_cores()
    {
        var printer = new SyntheticPrinter(black: true);
        var target = new Lab(45, 30, 12);
        var matches = Enumerable.Range(0, 3).Select(_ => ColorMatch.Find(MeasuredChart.Of(printer.Measure(4, 0.4, 5)), target).Computed).ToArray();
        matches[1].ShouldBe(matches[0]);
        matches[2].ShouldBe(matches[0]);
    }
}
