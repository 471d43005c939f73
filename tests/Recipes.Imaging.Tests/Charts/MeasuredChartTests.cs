using Recipes.Imaging.Charts;

namespace Recipes.Imaging.Tests.Charts;

public class MeasuredChartTests
{
    [Fact]
    public void Repeats_are_averaged_and_their_scatter_is_reported()
    {
        var printer = new SyntheticPrinter(black: false);
        var chart = MeasuredChart.Of(printer.Measure(5, 0.4, 3, repeats: 3));
        chart.Readings.ShouldBe(375);
        chart.Patches.Length.ShouldBe(125);
        chart.Patches.ShouldAllBe(patch => patch.Readings == 3);
        var patch = chart.Patches[62];
        double expected = printer.Measure(5, 0.4, 3, repeats: 3).Where(reading => reading.Color == patch.Color).Average(reading => reading.Lab.L);
        patch.Lab.L.ShouldBe(expected, 1e-9);
        // CIEDE2000 shrinks distances in saturated colors: noise of 0.4 in each of L*, a*, b* is at most 0.4 sqrt(3) = 0.69.
        chart.RepeatScatter!.Value.ShouldBeInRange(0.2, 0.69);
        MeasuredChart.Of(printer.Measure(5, 0.4, 3)).RepeatScatter.ShouldBeNull();
    }

    [Theory]
    [InlineData(false, 0.0)]
    [InlineData(false, 0.4)]
    [InlineData(true, 0.4)]
    public void Misread_patches_are_flagged_and_no_others(bool black, double noise)
    {
        var readings = new SyntheticPrinter(black).Measure(5, noise, 9);
        // One misread by 9 units, and two neighbors read in each other's place.
        readings[31] = readings[31] with { Lab = readings[31].Lab with { A = readings[31].Lab.A + 9 } };
        (readings[70], readings[74]) = (readings[70] with { Lab = readings[74].Lab }, readings[74] with { Lab = readings[70].Lab });
        var chart = MeasuredChart.Of(readings);
        chart.Outliers.Select(outlier => outlier.Label).Order(StringComparer.Ordinal).ShouldBe(["0-31", "0-70", "0-74"]);
        chart.Patches.Length.ShouldBe(122);
        // What was expected in its place is nearer to the truth than what was read.
        var truth = new SyntheticPrinter(black);
        foreach (var outlier in chart.Outliers)
        {
            Ciede2000.Difference(outlier.Expected, truth.Print(outlier.Color)).ShouldBeLessThan(Ciede2000.Difference(outlier.Lab, truth.Print(outlier.Color)));
        }
    }

    /// <summary>A device of another kind, sRGB itself (IEC 61966-2-1), steep in its shadows: nothing about it is wrong.</summary>
    [Theory]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    public void An_honest_chart_has_no_outliers(int levels)
    {
        var colors = PatchChart.Grid(levels, 16, 1, new InkRules { BlackBare = true }).Colors;
        foreach (Func<Rgb, Lab> print in new Func<Rgb, Lab>[] { color => LabSpace.D50.Of(color.ToRgba8()), new SyntheticPrinter(black: true).Print, new SyntheticPrinter(black: false).Print })
        {
            foreach (double noise in new[] { 0, 0.4 })
            {
                var random = new Random(8);
                MeasuredChart.Of([.. colors.Select(color => new PatchReading($"{color}", Rgb.Of(color), SyntheticPrinter.Noisy(print(Rgb.Of(color)), noise, random)))])
                    .Outliers.ShouldBeEmpty();
            }
        }
    }

    [Fact]
    public void One_bad_reading_of_three_is_left_out_of_the_mean()
    {
        var printer = new SyntheticPrinter(black: true);
        var readings = printer.Measure(4, 0.3, 21, repeats: 3);
        var bad = readings[64 + 20];
        readings[64 + 20] = bad with { Lab = bad.Lab with { L = bad.Lab.L - 12 } };
        var chart = MeasuredChart.Of(readings);
        var outlier = chart.Outliers.ShouldHaveSingleItem();
        outlier.Label.ShouldBe("1-20");
        var patch = chart.Patches.Single(patch => patch.Color == bad.Color);
        patch.Readings.ShouldBe(2);
        Ciede2000.Difference(patch.Lab, printer.Print(bad.Color)).ShouldBeLessThan(1);
    }

    [Fact]
    public void Leaving_a_patch_out_is_what_a_model_without_it_predicts()
    {
        // Dubrule's shortcut against the long way round: fit again without the patch. Above 400 patches nothing is chosen but the smoothing, so
        // that both are the same model.
        var all = MeasuredChart.Of(new SyntheticPrinter(black: false).Measure(8, 0.3, 4)).Spline!;
        int compared = 0;
        foreach (int i in new[] { 0, 100, 290, 511 })
        {
            var without = SplineModel.Through([.. all.Patches.Where((_, at) => at != i)])!;
            if (without.Degree == all.Degree && without.Smoothing == all.Smoothing)
            {
                Lab shortcut = all.LeftOut[i], longWay = without.Predict(all.Patches[i].Color);
                shortcut.L.ShouldBe(longWay.L, 1e-5);
                shortcut.A.ShouldBe(longWay.A, 1e-5);
                shortcut.B.ShouldBe(longWay.B, 1e-5);
                compared++;
            }
        }

        compared.ShouldBe(4);
    }

    [Fact]
    public void A_linear_printer_is_predicted_exactly()
    {
        // A spline with a polynomial of degree 1 or more reproduces planes (Wahba 1990, 2.4), between patches and beyond them.
        Lab Plane(Rgb c) => new(20 + (0.1 * c.R) + (0.15 * c.G) + (0.05 * c.B), (0.2 * c.R) - (0.2 * c.G), (0.1 * c.G) - (0.1 * c.B));
        List<PatchReading> readings = [.. Enumerable.Range(0, 27).Select(i => new Rgb(120 * (i / 9), 120 * (i / 3 % 3), 120 * (i % 3))).Select(c => new PatchReading("p", c, Plane(c)))];
        var chart = MeasuredChart.Of(readings);
        foreach (var color in new[] { new Rgb(13, 200, 77), new Rgb(240, 3, 111), new Rgb(60, 60, 60) })
        {
            foreach (IPrinterModel model in new IPrinterModel[] { chart.Spline!, chart.Grid! })
            {
                Lab got = model.Predict(color), want = Plane(color);
                got.L.ShouldBe(want.L, 1e-6);
                got.A.ShouldBe(want.A, 1e-6);
                got.B.ShouldBe(want.B, 1e-6);
            }
        }
    }

    [Fact]
    public void The_grid_is_found_beside_further_grays_and_with_printable_corners()
    {
        var printer = new SyntheticPrinter(black: false);
        var readings = printer.Measure(5, 0, 1);
        for (int gray = 1; gray < 16; gray++)
        {
            var color = new Rgb(17 * gray, 17 * gray, 17 * gray);
            readings.Add(new PatchReading($"g{gray}", color, printer.Print(color)));
        }

        // Where pure white and pure black stay bare, 254 and 1 are printed in the corners.
        readings[0] = readings[0] with { Color = new Rgb(1, 1, 1) };
        readings[124] = readings[124] with { Color = new Rgb(254, 254, 254) };
        var grid = MeasuredChart.Of(readings).Grid.ShouldNotBeNull();
        grid.Count.ShouldBe(125);
        grid.Predict(new Rgb(64, 128, 191)).ShouldBe(printer.Print(new Rgb(64, 128, 191)));
    }

    [Fact]
    public void More_patches_than_a_spline_takes_are_interpolated_in_their_grid()
    {
        var printer = new SyntheticPrinter(black: true);
        var chart = MeasuredChart.Of(printer.Measure(11, 0, 1));
        chart.Patches.Length.ShouldBe(1331);
        chart.Model.ShouldBeSameAs(chart.Grid);
        chart.Spline!.Patches.Length.ShouldBe(SplineModel.MostPatches);
        var target = printer.Print(new Rgb(77, 133, 201));
        Ciede2000.Difference(printer.Print(Rgb.Of(ColorMatch.Find(chart, target).Computed!.Color)), target).ShouldBeLessThan(0.5);
    }

    [Fact]
    public void Colors_that_nearly_coincide_give_numbers_or_nothing()
    {
        var random = new Random(3);
        foreach (double apart in new[] { 0, 1e-13, 1e-9, 1e-5 })
        {
            List<PatchReading> readings = [.. Enumerable.Range(0, 60).Select(i => new PatchReading(
                $"{i}", new Rgb(100 + (apart * random.NextDouble()), 100 + (apart * random.NextDouble()), 100 + (apart * random.NextDouble())), new Lab(50 + (10 * random.NextDouble()), 0, 0)))];
            var match = ColorMatch.Find(MeasuredChart.Of(readings), new Lab(50, 20, 10));
            double.IsFinite(match.NearestDifference).ShouldBeTrue();
            double.IsFinite(match.Computed?.Difference ?? 0).ShouldBeTrue();
            double.IsFinite(match.Uncertainty ?? 0).ShouldBeTrue();
        }
    }
}
