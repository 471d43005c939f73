using System.Collections.Immutable;

namespace Recipes.Imaging.Charts;

/// <summary>
/// A smoothing thin-plate spline through the patches of a chart: a polynomial of the three channels plus one term for each
/// patch that grows with the distance from it.
/// </summary>
/// <remarks>
/// In three dimensions the thin-plate term is the distance itself (Duchon 1977; Wahba 1990, Spline Models for Observational
/// Data, chapter 2). Smoothing adds to each patch's own term, less where the patch was read more often. Polynomial degree and
/// smoothing are those with the smallest mean CIEDE2000 when each patch is predicted from all others; that needs no second
/// fit, since the error of leaving patch i out is its weight divided by the i-th diagonal entry of the system's inverse
/// (Dubrule 1983, Mathematical Geology 15(6)). The same patches give the same model.
/// </remarks>
public sealed class SplineModel : IPrinterModel
{
    /// <summary>The most patches that a spline is fitted through; the work grows with the third power.</summary>
    public const int MostPatches = 1000;

    /// <summary>The fewest patches that anything can be computed from.</summary>
    public const int FewestPatches = 12;

    // Above this many patches all candidates would take minutes, and the choice matters less.
    private const int FewPatches = 400;
    private static readonly double[] Smoothings = [1e-6, 1e-4, 1e-3, 1e-2, 1e-1];

    private readonly Fit fit;

    private SplineModel(Fit fit)
    {
        this.fit = fit;
        Patches = [.. fit.Patches];
        LeftOut = [.. fit.Patches.Select((patch, i) => fit.LeftOut(i))];
    }

    /// <summary>The patches, distinct in color.</summary>
    public ImmutableArray<MeasuredPatch> Patches { get; }

    /// <summary>For each patch, what the others predict in its place.</summary>
    public ImmutableArray<Lab> LeftOut { get; }

    /// <summary>The degree of the polynomial, 1 to 4.</summary>
    public int Degree => fit.Degree;

    /// <summary>The smoothing, in units of distance where the cube of all colors has sides of 1.</summary>
    public double Smoothing => fit.Smoothing;

    /// <summary>
    /// Fits a model; null where the patches are fewer than <see cref="FewestPatches"/>, or lie on a line or plane, so that
    /// nothing can be said about the colors between.
    /// </summary>
    /// <param name="patches">At most <see cref="MostPatches"/>, distinct in color.</param>
    public static SplineModel? Through(IReadOnlyList<MeasuredPatch> patches)
    {
        ArgumentNullException.ThrowIfNull(patches);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(patches.Count, MostPatches, nameof(patches));
        return Best(patches) is { } fit ? new SplineModel(fit) : null;
    }

    /// <inheritdoc/>
    public Lab Predict(Rgb color) => fit.Predict(color);

    /// <summary>
    /// The patches that the others contradict, worst first: they stand out from what the others predict by more than
    /// <paramref name="difference"/> in CIEDE2000, and by more than <paramref name="times"/> the chart's median when each
    /// error is seen beside how well its place is known. One is taken away at a time, so that it can't accuse its neighbors.
    /// The first limit is <paramref name="slack"/> times as wide for a patch.
    /// </summary>
    internal ImmutableArray<MeasuredPatch> Outliers(double difference, double times, Func<MeasuredPatch, double> slack) => fit.Outliers(difference, times, slack);

    private static Fit? Best(IReadOnlyList<MeasuredPatch> patches)
    {
        if (patches.Count < FewestPatches)
        {
            return null;
        }

        int[] degrees = [.. Enumerable.Range(1, 4).Where(degree => Terms(degree) * 3 <= patches.Count)];
        var candidates = patches.Count <= FewPatches
            ? degrees.SelectMany(degree => Smoothings.Select(smoothing => (Degree: degree, Smoothing: smoothing))).ToArray()
            : [.. Smoothings.Where(smoothing => smoothing >= 1e-4).Select(smoothing => (Math.Min(3, degrees[^1]), smoothing))];
        var fits = new Fit?[candidates.Length];
        Parallel.For(0, candidates.Length, i => fits[i] = Fit.Of(patches, candidates[i].Degree, candidates[i].Smoothing));
        // Patches that nearly coincide can leave a system that is solved in name only.
        return fits.OfType<Fit>().Where(fit => double.IsFinite(fit.MeanLeftOut())).MinBy(fit => Math.Round(fit.MeanLeftOut(), 6));
    }

    private static int Terms(int degree) => (degree + 1) * (degree + 2) * (degree + 3) / 6;

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

    private sealed class Fit
    {
        private readonly (double X, double Y, double Z)[] places;
        private readonly Lab[] weights;
        private readonly DenseMatrix inverse;

        private Fit(IReadOnlyList<MeasuredPatch> patches, int degree, double smoothing, (double, double, double)[] places, Lab[] weights, DenseMatrix inverse)
        {
            Patches = patches;
            Degree = degree;
            Smoothing = smoothing;
            this.places = places;
            this.weights = weights;
            this.inverse = inverse;
        }

        public IReadOnlyList<MeasuredPatch> Patches { get; }

        public int Degree { get; }

        public double Smoothing { get; }

        public static Fit? Of(IReadOnlyList<MeasuredPatch> patches, int degree, double smoothing)
        {
            int n = patches.Count, m = Terms(degree);
            var places = patches.Select(patch => Place(patch.Color)).ToArray();
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

            return new Fit(patches, degree, smoothing, places, weights, inverse);
        }

        public Lab LeftOut(int i) => Without(Patches[i].Lab, weights[i], inverse[i, i]);

        public ImmutableArray<MeasuredPatch> Outliers(double difference, double times, Func<MeasuredPatch, double> slack)
        {
            int n = Patches.Count, size = inverse.Size;
            var found = ImmutableArray.CreateBuilder<MeasuredPatch>();
            var left = Enumerable.Range(0, n).ToList();
            var w = weights.ToArray();
            var matrix = inverse.Copy();
            while (left.Count > Math.Max(FewestPatches, n * 9 / 10))
            {
                var sizes = left.Select(i => Length(w[i]) / Math.Sqrt(Math.Abs(matrix[i, i]))).ToArray();
                double median = sizes.Order().ElementAt(sizes.Length / 2);
                var suspects = left.Zip(sizes).Where(pair => pair.Second > times * median
                    && Ciede2000.Difference(Patches[pair.First].Lab, Without(Patches[pair.First].Lab, w[pair.First], matrix[pair.First, pair.First])) > difference * slack(Patches[pair.First])).ToArray();
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

        public double MeanLeftOut()
        {
            double sum = 0;
            for (int i = 0; i < Patches.Count; i++)
            {
                sum += Ciede2000.Difference(Patches[i].Lab, LeftOut(i));
            }

            return sum / Patches.Count;
        }

        public Lab Predict(Rgb color)
        {
            var place = Place(color);
            Span<double> terms = stackalloc double[Terms(4)];
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

        // The middle of all colors at 0 and the cube's sides 1 long, so that powers stay small.
        private static (double X, double Y, double Z) Place(Rgb color) => ((color.R / 255) - 0.5, (color.G / 255) - 0.5, (color.B / 255) - 0.5);

        private static double Distance((double X, double Y, double Z) p, (double X, double Y, double Z) q)
        {
            double x = p.X - q.X, y = p.Y - q.Y, z = p.Z - q.Z;
            return Math.Sqrt((x * x) + (y * y) + (z * z));
        }
    }
}
