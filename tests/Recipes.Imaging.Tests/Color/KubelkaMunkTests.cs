using CsCheck;

namespace Recipes.Imaging.Tests;

public class KubelkaMunkTests
{
    // Kubelka 1948, ISO 18314-2; computed apart from this program: Values/white_ink_kubelka_munk.csv.
    [Fact]
    public void White_ink_on_four_grounds_agrees_with_the_table()
    {
        var rows = File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Values", "white_ink_kubelka_munk.csv"))
            .Where(line => line.Length > 0 && char.IsAsciiDigit(line[0])).Select(line => line.Split(',').Select(ColorValues.Number).ToArray()).ToList();
        rows.Count.ShouldBe(10);
        foreach (double[] row in rows)
        {
            foreach (var (ground, column) in new[] { (0.03, 1), (0.08, 3), (0.35, 4), (0.85, 5) })
            {
                KubelkaMunk.Over(row[0], ground).ShouldBe(row[column], 5.1e-6);
            }
        }
    }

    // Laws of the equation: nothing shows the ground, no end shows the ink, and more never leads away from it.
    [Fact]
    public void More_ink_leads_from_the_ground_to_the_ink() =>
        Gen.Select(Gen.Double[0, 1], Gen.Double[0, 20], Gen.Double[0, 5]).Holds((ground, power, more) =>
        {
            KubelkaMunk.Over(0, ground).ShouldBe(ground);
            KubelkaMunk.Over(1000, ground).ShouldBe(KubelkaMunk.WhiteInk, 1e-9);
            double before = KubelkaMunk.Over(power, ground), after = KubelkaMunk.Over(power + more, ground);
            Math.Abs(KubelkaMunk.WhiteInk - after).ShouldBeLessThanOrEqualTo(Math.Abs(KubelkaMunk.WhiteInk - before) + 1e-12);
        });
}
