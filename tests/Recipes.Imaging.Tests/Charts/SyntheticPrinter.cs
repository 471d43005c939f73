using System.Globalization;
using Recipes.Imaging.Charts;

namespace Recipes.Imaging.Tests.Charts;

/// <summary>
/// A printer whose truth is known: the Neugebauer equations with the Yule-Nielsen factor n, 2 unless told otherwise, broadband, on published solids.
/// </summary>
/// <remarks>
/// Neugebauer (1937) and Yule, Nielsen (1951), as Wyble and Berns (2000), Color Research and Application 25(1), review them.
/// Inks are 1 - RGB; 20% dot gain is a + 0.8 a (1 - a). With black generation, the gray share above 0.4 is printed with up to
/// 70% black and 30% of it is taken off the colors: common practice, no source; it puts a kink where black sets in.
/// A warped printer sends each ink through a curve of its own first, as a driver's tables do.
/// </remarks>
public sealed class SyntheticPrinter(bool black, double n = 2, Func<double, double>[]? curves = null)
{
    private static readonly double[][] Solids = ReadSolids();

    /// <summary>Printers with warped responses: powers, S curves and waves, all of them rising.</summary>
    public static readonly (string Name, SyntheticPrinter Printer)[] Warped =
    [
        ("powers", new(black: false, 2, [Power(2.2), Power(1.8), Power(2)])),
        ("weak powers, black", new(black: true, 2, [Power(1.6), Power(1.3), Power(0.8)])),
        ("S curves", new(black: false, 2, [Logistic(0.5, 8), Logistic(0.4, 7), Logistic(0.6, 8)])),
        ("S curves, black", new(black: true, 1.6, [Logistic(0.5, 6), Logistic(0.4, 7), Logistic(0.6, 6)])),
        ("mixed", new(black: false, 3, [Power(2), Logistic(0.5, 7), Power(0.6)])),
        ("weak mixed, black", new(black: true, 2, [Logistic(0.5, 4), Power(1.4), Logistic(0.4, 5)])),
        ("waves, black", new(black: true, 2.5, [Wave(0.13), Wave(0.1), Wave(0.12)])),
    ];

    private static Func<double, double> Power(double exponent) => a => Math.Pow(Math.Clamp(a, 0, 1), exponent);

    private static Func<double, double> Wave(double height) => a => a - (height * Math.Sin(2 * Math.PI * a));

    private static Func<double, double> Logistic(double middle, double steepness) =>
        a => (Rise(a, middle, steepness) - Rise(0, middle, steepness)) / (Rise(1, middle, steepness) - Rise(0, middle, steepness));

    private static double Rise(double a, double middle, double steepness) => 1 / (1 + Math.Exp(-steepness * (a - middle)));

    public Lab Print(Rgb color)
    {
        double[] inks = [1 - (color.R / 255), 1 - (color.G / 255), 1 - (color.B / 255), 0];
        if (black)
        {
            double key = 0.7 * Math.Max(0, (inks.Take(3).Min() - 0.4) / 0.6);
            inks = [inks[0] - (0.3 * key), inks[1] - (0.3 * key), inks[2] - (0.3 * key), key];
        }

        if (curves is not null)
        {
            inks = [curves[0](inks[0]), curves[1](inks[1]), curves[2](inks[2]), inks[3]];
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

            x += share * Math.Pow(Solids[solid][0], 1 / n);
            y += share * Math.Pow(Solids[solid][1], 1 / n);
            z += share * Math.Pow(Solids[solid][2], 1 / n);
        }

        return LabSpace.D50.OfXyz(Math.Pow(x, n), Math.Pow(y, n), Math.Pow(z, n));
    }

    /// <summary>A measured chart of every combination of so many levels, with normal reading noise of this standard deviation on each of L*, a*, b*.</summary>
    public List<PatchReading> Measure(int levels, double noise, int seed, int repeats = 1) => Measure(Grid(levels), noise, seed, repeats);

    /// <summary>A measured chart of these colors.</summary>
    public List<PatchReading> Measure(IReadOnlyList<Rgb> colors, double noise, int seed, int repeats = 1)
    {
        var random = new Random(seed);
        var readings = new List<PatchReading>();
        for (int repeat = 0; repeat < repeats; repeat++)
        {
            for (int i = 0; i < colors.Count; i++)
            {
                readings.Add(new PatchReading(string.Create(CultureInfo.InvariantCulture, $"{repeat}-{i}"), colors[i], Noisy(Print(colors[i]), noise, random)));
            }
        }

        return readings;
    }

    /// <summary>Every combination of so many levels of each channel.</summary>
    public static List<Rgb> Grid(int levels)
    {
        return [.. Enumerable.Range(0, levels * levels * levels)
            .Select(i => new Rgb(Level(i / (levels * levels)), Level(i / levels % levels), Level(i % levels)))];

        double Level(int step) => Math.Round(step * 255.0 / (levels - 1), MidpointRounding.AwayFromZero);
    }

    public static Lab Noisy(Lab lab, double deviation, Random random) =>
        new(lab.L + (deviation * Normal(random)), lab.A + (deviation * Normal(random)), lab.B + (deviation * Normal(random)));

    // Box and Muller (1958).
    private static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    // XYZ by the inverse of CIELAB, CIE 15:2004.
    private static double[][] ReadSolids()
    {
        var solids = new double[16][];
        foreach (string line in File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Values", "crpc3_primaries.csv")).Where(line => char.IsDigit(line[0])))
        {
            double[] v = [.. line.Split(',').Select(cell => double.Parse(cell, CultureInfo.InvariantCulture))];
            double fy = (v[4] + 16) / 116, fx = fy + (v[5] / 500), fz = fy - (v[6] / 200);
            var white = LabSpace.D50.White;
            solids[(int)(v[0] + (2 * v[1]) + (4 * v[2]) + (8 * v[3]))] = [white.X * Cube(fx), white.Y * Cube(fy), white.Z * Cube(fz)];
        }

        return solids;

        static double Cube(double f) => f > 6.0 / 29 ? f * f * f : 3 * (6.0 / 29) * (6.0 / 29) * (f - (4.0 / 29));
    }
}
