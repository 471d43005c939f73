namespace Recipes.Imaging.Charts;

/// <summary>
/// How each channel of a printer answers to its levels, from 0 at the chart's smallest to 1 at its largest, rising all the way.
/// On places that are bent like this, colors mix nearly evenly, so that little is left for a spline to bend.
/// </summary>
/// <remarks>
/// The curves are those with which a mix of the eight corners of the chart's colors fits the readings best (in the sense of
/// Neugebauer 1937, in CIELAB). What a chart of few levels leaves open between them, two forms of curve answer in two ways:
/// one with two numbers, 1 - (1 - x^a)^b (Kumaraswamy 1980), which bends most at the ends, and one whose slope's logarithm is
/// as smooth as the readings let it be, which bends most in the middle.
/// </remarks>
internal sealed class ResponseCurves
{
    private const int Steps = 256, MostKnots = 5, Channels = 3;

    // How far a curve may be from a straight line without readings that say so, CIELAB units. House values: they only decide
    // where the readings don't.
    private const double Bending = 1, Roughness = 0.1, Slope = 0.2;

    // No steeper or flatter at an end than this power of the level.
    private static readonly double Least = Math.Log(0.5), Most = Math.Log(5);

    private readonly Rgb least, most;
    private readonly double[][] curves;

    private ResponseCurves(Rgb least, Rgb most, double[][] curves)
    {
        this.least = least;
        this.most = most;
        this.curves = curves;
    }

    /// <summary>Straight lines, and where a channel has more than two levels the two fitted forms.</summary>
    public static ResponseCurves[] Of(IReadOnlyList<MeasuredPatch> patches, bool straightOnly)
    {
        var straight = Straight(patches);
        int levels = Enumerable.Range(0, Channels).Min(channel => patches.Select(patch => Level(patch.Color, channel)).Distinct().Count());
        return straightOnly || levels < 3 ? [straight]
            : [straight, straight.Fitted(patches, 2, EndBent, EndBentCost), straight.Fitted(patches, Math.Min(MostKnots, levels), Smooth, SmoothCost)];
    }

    /// <summary>Where a color lies, the middle of all colors at 0 and the cube's sides 1 long, so that powers stay small.</summary>
    public (double X, double Y, double Z) Place(Rgb color) =>
        (At(0, color.R, least.R, most.R), At(1, color.G, least.G, most.G), At(2, color.B, least.B, most.B));

    private static ResponseCurves Straight(IReadOnlyList<MeasuredPatch> patches)
    {
        var line = Enumerable.Range(0, Steps).Select(i => i / (Steps - 1.0)).ToArray();
        double[] least = new double[Channels], most = new double[Channels];
        for (int channel = 0; channel < Channels; channel++)
        {
            least[channel] = patches.Min(patch => Level(patch.Color, channel));
            // A channel that never changes has a length all the same.
            most[channel] = Math.Max(least[channel] + 1, patches.Max(patch => Level(patch.Color, channel)));
        }

        return new ResponseCurves(new Rgb(least[0], least[1], least[2]), new Rgb(most[0], most[1], most[2]), [line, line, line]);
    }

    private static double Level(Rgb color, int channel) => channel switch { 0 => color.R, 1 => color.G, _ => color.B };

    // Beyond the chart's levels the line goes on.
    private double At(int channel, double level, double first, double last)
    {
        double at = (level - first) / (last - first) * (Steps - 1);
        int step = Math.Clamp((int)Math.Floor(at), 0, Steps - 2);
        var curve = curves[channel];
        return curve[step] + ((at - step) * (curve[step + 1] - curve[step])) - 0.5;
    }

    private ResponseCurves Fitted(
        IReadOnlyList<MeasuredPatch> patches, int numbers, Func<ReadOnlySpan<double>, double[]> curveOf, Func<double[], int, IEnumerable<double>> cost)
    {
        var found = LeastSquares.Minimize(new double[numbers * Channels], parameters =>
        [
            .. MixResidual(patches, With(parameters)),
            .. Enumerable.Range(0, Channels).SelectMany(channel => cost(parameters[(channel * numbers)..((channel + 1) * numbers)], numbers)),
        ]);
        return With(found);

        ResponseCurves With(double[] parameters) => new(
            least, most, [.. Enumerable.Range(0, Channels).Select(channel => curveOf(parameters.AsSpan(channel * numbers, numbers)))]);
    }

    private static double[] EndBent(ReadOnlySpan<double> logarithms)
    {
        double a = Math.Exp(Math.Clamp(logarithms[0], Least, Most)), b = Math.Exp(Math.Clamp(logarithms[1], Least, Most));
        var curve = new double[Steps];
        for (int i = 0; i < Steps; i++)
        {
            curve[i] = 1 - Math.Pow(1 - Math.Pow(i / (Steps - 1.0), a), b);
        }

        return curve;
    }

    private static IEnumerable<double> EndBentCost(double[] logarithms, int numbers) => logarithms.Select(value => Bending * value);

    // The numbers are the slope's logarithm at even distances, a cubic between them; the curve is the slope's sum.
    private static double[] Smooth(ReadOnlySpan<double> slopes)
    {
        int last = slopes.Length - 1;
        var curve = new double[Steps];
        double before = 0;
        for (int i = 0; i < Steps; i++)
        {
            double at = i / (Steps - 1.0) * last;
            int k = Math.Min((int)at, last - 1);
            double t = at - k, u = 1 - t;
            double logarithm = ((1 + (2 * t)) * u * u * slopes[k]) + (t * u * u * Tangent(slopes, k))
                + (t * t * (3 - (2 * t)) * slopes[k + 1]) - (t * t * u * Tangent(slopes, k + 1));
            double slope = Math.Exp(Math.Clamp(logarithm, -8, 8));
            curve[i] = i == 0 ? 0 : curve[i - 1] + ((before + slope) / 2);
            before = slope;
        }

        double whole = curve[^1];
        return [.. curve.Select(value => value / whole)];

        static double Tangent(ReadOnlySpan<double> values, int k) =>
            (values[Math.Min(values.Length - 1, k + 1)] - values[Math.Max(0, k - 1)]) / (Math.Min(values.Length - 1, k + 1) - Math.Max(0, k - 1));
    }

    // Second differences, and a little on the mean, which the curve doesn't depend on.
    private static IEnumerable<double> SmoothCost(double[] slopes, int numbers)
    {
        double weight = Roughness * (numbers - 1) * (numbers - 1) / Math.Sqrt(numbers - 2);
        return slopes.Skip(2).Select((value, i) => weight * (value - (2 * slopes[i + 1]) + slopes[i])).Append(Slope * slopes.Average());
    }

    // What the best mix of eight corners leaves of each reading.
    private static double[] MixResidual(IReadOnlyList<MeasuredPatch> patches, ResponseCurves curves)
    {
        const int Corners = 8;
        int n = patches.Count;
        var mixes = new double[n * Corners];
        var system = new DenseMatrix(Corners);
        var sums = new Lab[Corners];
        for (int i = 0; i < n; i++)
        {
            var (x, y, z) = curves.Place(patches[i].Color);
            var row = mixes.AsSpan(i * Corners, Corners);
            ReadOnlySpan<double> terms = [1, x, y, z, x * y, x * z, y * z, x * y * z];
            terms.CopyTo(row);
            for (int k = 0; k < Corners; k++)
            {
                sums[k] = Sum(sums[k], patches[i].Lab, row[k]);
                for (int j = 0; j < Corners; j++)
                {
                    system[k, j] += row[k] * row[j];
                }
            }
        }

        // A chart that leaves some corner open still has an answer.
        for (int k = 0; k < Corners; k++)
        {
            system[k, k] += 1e-9 * n;
        }

        var residual = new double[n * 3];
        if (system.Inverse() is not { } inverse)
        {
            return residual;
        }

        var weights = new Lab[Corners];
        for (int k = 0; k < Corners; k++)
        {
            for (int j = 0; j < Corners; j++)
            {
                weights[k] = Sum(weights[k], sums[j], inverse[k, j]);
            }
        }

        for (int i = 0; i < n; i++)
        {
            var left = patches[i].Lab;
            for (int k = 0; k < Corners; k++)
            {
                left = Sum(left, weights[k], -mixes[(i * Corners) + k]);
            }

            (residual[3 * i], residual[(3 * i) + 1], residual[(3 * i) + 2]) = (left.L, left.A, left.B);
        }

        return residual;
    }

    private static Lab Sum(Lab lab, Lab other, double factor) => new(lab.L + (factor * other.L), lab.A + (factor * other.A), lab.B + (factor * other.B));
}
