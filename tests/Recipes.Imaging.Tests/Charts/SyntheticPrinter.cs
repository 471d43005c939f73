using System.Globalization;
using Recipes.Imaging.Charts;

namespace Recipes.Imaging.Tests.Charts;

/// <summary>
/// A printer whose truth is known: the Neugebauer equations with the Yule-Nielsen factor n = 2, broadband, on published solids.
/// </summary>
/// <remarks>
/// Neugebauer (1937) and Yule, Nielsen (1951), as Wyble and Berns (2000), Color Research and Application 25(1), review them.
/// Inks are 1 - RGB; 20% dot gain is a + 0.8 a (1 - a). With black generation, the gray share above 0.4 is printed with up to
/// 70% black and 30% of it is taken off the colors: common practice, no source; it puts a kink where black sets in.
/// </remarks>
public sealed class SyntheticPrinter(bool black)
{
    private static readonly double[][] Solids = ReadSolids();

    public Lab Print(Rgb color)
    {
        double[] inks = [1 - (color.R / 255), 1 - (color.G / 255), 1 - (color.B / 255), 0];
        if (black)
        {
            double key = 0.7 * Math.Max(0, (inks.Take(3).Min() - 0.4) / 0.6);
            inks = [inks[0] - (0.3 * key), inks[1] - (0.3 * key), inks[2] - (0.3 * key), key];
        }

        double[] areas = [.. inks.Select(a => a + (0.8 * a * (1 - a)))];
        double x = 0, y = 0, z = 0;
        for (int solid = 0; solid < 16; solid++)
        {
            double share = 1;
            for (int ink = 0; ink < 4; ink++)
            {
                share *= (solid >> ink & 1) != 0 ? areas[ink] : 1 - areas[ink];
            }

            x += share * Solids[solid][0];
            y += share * Solids[solid][1];
            z += share * Solids[solid][2];
        }

        return LabSpace.D50.OfXyz(x * x, y * y, z * z);
    }

    /// <summary>A measured chart of every combination of n levels, with normal reading noise of this standard deviation on each of L*, a*, b*.</summary>
    public List<PatchReading> Measure(int n, double noise, int seed, int repeats = 1)
    {
        var random = new Random(seed);
        var readings = new List<PatchReading>();
        for (int repeat = 0; repeat < repeats; repeat++)
        {
            for (int i = 0; i < n * n * n; i++)
            {
                var color = new Rgb(Level(i / (n * n)), Level(i / n % n), Level(i % n));
                readings.Add(new PatchReading(string.Create(CultureInfo.InvariantCulture, $"{repeat}-{i}"), color, Noisy(Print(color), noise, random)));
            }
        }

        return readings;

        double Level(int step) => Math.Round(step * 255.0 / (n - 1), MidpointRounding.AwayFromZero);
    }

    public static Lab Noisy(Lab lab, double deviation, Random random) =>
        new(lab.L + (deviation * Normal(random)), lab.A + (deviation * Normal(random)), lab.B + (deviation * Normal(random)));

    // Box and Muller (1958).
    private static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    // Square roots of XYZ, since the Yule-Nielsen factor is 2; inverse CIELAB of CIE 15:2004.
    private static double[][] ReadSolids()
    {
        var solids = new double[16][];
        foreach (string line in File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Values", "crpc3_primaries.csv")).Where(line => char.IsDigit(line[0])))
        {
            double[] v = [.. line.Split(',').Select(cell => double.Parse(cell, CultureInfo.InvariantCulture))];
            double fy = (v[4] + 16) / 116, fx = fy + (v[5] / 500), fz = fy - (v[6] / 200);
            var white = LabSpace.D50.White;
            solids[(int)(v[0] + (2 * v[1]) + (4 * v[2]) + (8 * v[3]))] = [Math.Sqrt(white.X * Cube(fx)), Math.Sqrt(white.Y * Cube(fy)), Math.Sqrt(white.Z * Cube(fz))];
        }

        return solids;

        static double Cube(double f) => f > 6.0 / 29 ? f * f * f : 3 * (6.0 / 29) * (6.0 / 29) * (f - (4.0 / 29));
    }
}
