using System.Collections.Immutable;

namespace Recipes.Imaging.Charts;

/// <summary>One smoothing spline through the patches of a chart, on places that a response bends, and what leaving a patch out tells about it.</summary>
internal sealed class SplineFit
{
    /// <summary>The highest degree of the polynomial. More would follow the levels of a grid of five exactly, and swing between them.</summary>
    public const int MostDegree = 3;

    private readonly ResponseCurves curves;
    private readonly (double X, double Y, double Z)[] places;
    private readonly Lab[] weights;
    private readonly DenseMatrix inverse;

    private SplineFit(IReadOnlyList<MeasuredPatch> patches, ResponseCurves curves, (int Degree, double Smoothing) form, Lab[] weights, DenseMatrix inverse)
    {
        Patches = patches;
        (Degree, Smoothing) = form;
        this.curves = curves;
        places = [.. patches.Select(patch => curves.Place(patch.Color))];
        this.weights = weights;
        this.inverse = inverse;
    }

    public IReadOnlyList<MeasuredPatch> Patches { get; }

    public int Degree { get; }

    public double Smoothing { get; }

    public static SplineFit? Of(IReadOnlyList<MeasuredPatch> patches, ResponseCurves curves, int degree, double smoothing)
    {
        int n = patches.Count, m = Terms(degree);
        var places = patches.Select(patch => curves.Place(patch.Color)).ToArray();
        var system = new DenseMatrix(n + m);
        var terms = new double[m];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < i; j++)
            {
                system[i, j] = system[j, i] = -Distance(places[i], places[j]);
            }

            system[i, i] = smoothing / patches[i].Readings;
            Polynomial(degree, places[i].X, places[i].Y, places[i].Z, terms);
            for (int k = 0; k < m; k++)
            {
                system[i, n + k] = system[n + k, i] = terms[k];
            }
        }

        if (system.Inverse() is not { } inverse)
        {
            return null;
        }

        var weights = new Lab[n + m];
        for (int i = 0; i < n + m; i++)
        {
            double l = 0, a = 0, b = 0;
            var row = inverse.Row(i);
            for (int j = 0; j < n; j++)
            {
                var lab = patches[j].Lab;
                l += row[j] * lab.L;
                a += row[j] * lab.A;
                b += row[j] * lab.B;
            }

            weights[i] = new Lab(l, a, b);
        }

        return new SplineFit(patches, curves, (degree, smoothing), weights, inverse);
    }

    public Lab LeftOut(int i) => Without(Patches[i].Lab, weights[i], inverse[i, i]);

    public ImmutableArray<MeasuredPatch> Outliers(double difference, double times, Func<MeasuredPatch, double> slack)
    {
        int n = Patches.Count, size = inverse.Size;
        var found = ImmutableArray.CreateBuilder<MeasuredPatch>();
        var left = Enumerable.Range(0, n).ToList();
        var w = weights.ToArray();
        var matrix = inverse.Copy();
        while (left.Count > Math.Max(SplineModel.FewestPatches, n * 9 / 10))
        {
            var sizes = left.Select(i => Length(w[i]) / Math.Sqrt(Math.Abs(matrix[i, i]))).ToArray();
            double median = sizes.Order().ElementAt(sizes.Length / 2);
            var suspects = left.Zip(sizes).Where(pair => pair.Second > times * median
                && Ciede2000.Difference(Patches[pair.First].Lab, Without(Patches[pair.First].Lab, w[pair.First], matrix[pair.First, pair.First]))
                    > difference * slack(Patches[pair.First])).ToArray();
            if (suspects.Length == 0)
            {
                break;
            }

            int worst = suspects.MaxBy(pair => Math.Round(pair.Second, 6)).First;
            double own = matrix[worst, worst];
            found.Add(Patches[worst]);
            left.Remove(worst);

            // The inverse of the system without that patch, by the Schur complement.
            var taken = matrix.Row(worst).ToArray();
            var weight = w[worst];
            for (int i = 0; i < size; i++)
            {
                double share = matrix[i, worst] / own;
                w[i] = new Lab(w[i].L - (share * weight.L), w[i].A - (share * weight.A), w[i].B - (share * weight.B));
                for (int j = 0; j < size; j++)
                {
                    matrix[i, j] -= share * taken[j];
                }
            }
        }

        return found.ToImmutable();

        static double Length(Lab lab) => Math.Sqrt((lab.L * lab.L) + (lab.A * lab.A) + (lab.B * lab.B));
    }

    private static Lab Without(Lab lab, Lab weight, double own) => new(lab.L - (weight.L / own), lab.A - (weight.A / own), lab.B - (weight.B / own));

    /// <summary>How far each patch lies from what the others predict in its place, CIEDE2000.</summary>
    public double[] LeftOutDifferences() => [.. Patches.Select((patch, i) => Ciede2000.Difference(patch.Lab, LeftOut(i)))];

    /// <summary>
    /// How well a place is known from the patches, as a standard deviation in a unit of the chart's own: the prediction error of the random
    /// field whose best estimate the spline is (Wahba 1983, Journal of the Royal Statistical Society B 45; as kriging has it).
    /// </summary>
    public double DeviationAt(Rgb color)
    {
        var place = curves.Place(color);
        var terms = new double[weights.Length];
        Polynomial(Degree, place.X, place.Y, place.Z, terms.AsSpan(places.Length));
        for (int i = 0; i < places.Length; i++)
        {
            terms[i] = -Distance(place, places[i]);
        }

        double variance = 0;
        for (int i = 0; i < terms.Length; i++)
        {
            var row = inverse.Row(i);
            for (int j = 0; j < terms.Length; j++)
            {
                variance -= terms[i] * row[j] * terms[j];
            }
        }

        return Math.Sqrt(Math.Max(0, variance));
    }

    /// <summary>The same for a patch of the chart from all others.</summary>
    public double DeviationWithout(int i) => Math.Sqrt(1 / Math.Abs(inverse[i, i]));

    public Lab Predict(Rgb color)
    {
        var place = curves.Place(color);
        Span<double> terms = stackalloc double[Terms(MostDegree)];
        Polynomial(Degree, place.X, place.Y, place.Z, terms);
        double l = 0, a = 0, b = 0;
        for (int i = 0; i < weights.Length; i++)
        {
            double term = i < places.Length ? -Distance(place, places[i]) : terms[i - places.Length];
            l += term * weights[i].L;
            a += term * weights[i].A;
            b += term * weights[i].B;
        }

        return new Lab(l, a, b);
    }

    private static double Distance((double X, double Y, double Z) p, (double X, double Y, double Z) q)
    {
        double x = p.X - q.X, y = p.Y - q.Y, z = p.Z - q.Z;
        return Math.Sqrt((x * x) + (y * y) + (z * z));
    }

    /// <summary>The terms of a polynomial of three channels.</summary>
    public static int Terms(int degree) => (degree + 1) * (degree + 2) * (degree + 3) / 6;

    // Products of powers of the three channels, of all degrees up to one, the constant first.
    private static void Polynomial(int degree, double x, double y, double z, Span<double> terms)
    {
        int at = 0;
        for (int total = 0; total <= degree; total++)
        {
            for (int i = total; i >= 0; i--)
            {
                for (int j = total - i; j >= 0; j--)
                {
                    terms[at++] = Power(x, i) * Power(y, j) * Power(z, total - i - j);
                }
            }
        }

        static double Power(double value, int exponent)
        {
            double power = 1;
            for (; exponent > 0; exponent--)
            {
                power *= value;
            }

            return power;
        }
    }
}
