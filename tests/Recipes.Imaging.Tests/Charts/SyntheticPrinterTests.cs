using System.Globalization;
using Recipes.Imaging.Charts;

namespace Recipes.Imaging.Tests.Charts;

/// <summary>The printer that the other tests trust, against figures of another program and against its own solids.</summary>
public class SyntheticPrinterTests
{
    [Fact]
    public void It_predicts_what_an_independent_program_predicts()
    {
        var printer = new SyntheticPrinter(black: false);
        int rows = 0;
        foreach (string line in File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Values", "printer_model_cmy.csv")).Where(line => char.IsDigit(line[0])))
        {
            double[] v = [.. line.Split(',').Select(cell => double.Parse(cell, CultureInfo.InvariantCulture))];
            var lab = printer.Print(new Rgb(v[0], v[1], v[2]));
            // The figures are printed with four decimals; the two programs' D50 whites differ in the fourth digit.
            lab.L.ShouldBe(v[3], 0.01);
            lab.A.ShouldBe(v[4], 0.01);
            lab.B.ShouldBe(v[5], 0.01);
            rows++;
        }

        rows.ShouldBe(8);
    }

    [Fact]
    public void Black_generation_darkens_black_and_leaves_what_has_no_gray_in_it()
    {
        SyntheticPrinter with = new(black: true), without = new(black: false);
        with.Print(new Rgb(0, 0, 0)).L.ShouldBeLessThan(without.Print(new Rgb(0, 0, 0)).L - 3);
        with.Print(new Rgb(255, 40, 60)).ShouldBe(without.Print(new Rgb(255, 40, 60)));
    }
}
