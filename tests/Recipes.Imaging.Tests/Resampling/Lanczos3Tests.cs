using CsCheck;
using System.Globalization;

namespace Recipes.Imaging.Tests.Resampling;

/// <summary>The kernel against the table of six-tap weights in Values/lanczos3_weights.csv.</summary>
public class Lanczos3Tests
{
    private static readonly double[][] Table = [.. File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Values", "lanczos3_weights.csv"))
        .Where(line => line.Length > 0 && char.IsAsciiDigit(line[0]))
        .Select(line => line.Split(',').Select(cell => double.Parse(cell, CultureInfo.InvariantCulture)).ToArray())];

    [Fact]
    public void The_kernel_gives_the_weights_of_the_table()
    {
        Table.Length.ShouldBe(9);
        foreach (double[] row in Table)
        {
            double[] values = [.. Enumerable.Range(-2, 6).Select(tap => Lanczos3.Kernel(tap - row[0]))];
            values.Sum().ShouldBe(row[7], 1e-8);
            for (int tap = 0; tap < 6; tap++)
            {
                (values[tap] / values.Sum()).ShouldBe(row[tap + 1], 1e-8, $"phase {row[0]}, tap {tap}");
            }
        }
    }

    // Enlarging by 4 meets the odd eighths, by 2 the quarters, and 2 to 3 the half and the whole.
    [Theory]
    [InlineData(40, 160, 0.125, 0.375, 0.625, 0.875)]
    [InlineData(40, 80, 0.25, 0.75)]
    [InlineData(40, 60, 0.5)]
    [InlineData(41, 123, 0.0)]
    public void Enlarging_uses_the_weights_of_the_table(int from, int to, params double[] phases)
    {
        var axis = new Lanczos3(from, to);
        var met = new HashSet<double>();
        for (int i = to / 4; i < to * 3 / 4; i++)
        {
            double center = ((i + 0.5) * from / to) - 0.5, phase = Math.Round(center - Math.Floor(center + 1e-9), 9);
            if (!phases.Contains(phase))
            {
                continue;
            }

            met.Add(phase);
            int floor = (int)Math.Floor(center + 1e-9);
            double[] row = Table.Single(row => row[0] == phase);
            for (int tap = -2; tap <= 3; tap++)
            {
                int k = floor + tap - axis[i].First;
                double weight = k >= 0 && k < axis[i].Weights.Length ? axis[i].Weights[k] : 0;
                // Single precision: 24 bits.
                weight.ShouldBe(row[tap + 3], 1.1e-7, $"{from} to {to}, sample {i}, tap {tap}");
            }
        }

        met.Order().ShouldBe(phases);
    }

    [Fact]
    public void Weights_add_up_to_one_and_mirror() =>
        Gen.Int[1, 300].Select(Gen.Int[1, 300]).Holds((from, to) =>
        {
            var axis = new Lanczos3(from, to);
            for (int i = 0; i < to; i++)
            {
                var (taps, mirrored) = (axis[i], axis[to - 1 - i]);
                taps.Weights.Sum(weight => (double)weight).ShouldBe(1, 1e-5);
                taps.First.ShouldBeGreaterThanOrEqualTo(0);
                (taps.First + taps.Weights.Length).ShouldBeLessThanOrEqualTo(from);
                taps.InnerCount.ShouldBeGreaterThanOrEqualTo(1);
                taps.InnerFirst.ShouldBe(from - mirrored.InnerFirst - mirrored.InnerCount);
                for (int k = 0; k < taps.Weights.Length; k++)
                {
                    int other = from - 1 - (taps.First + k) - mirrored.First;
                    (other >= 0 && other < mirrored.Weights.Length ? mirrored.Weights[other] : 0).ShouldBe(taps.Weights[k], 1e-6);
                }
            }
        }, iter: 200);
}
