using System.Collections.Immutable;

namespace Recipes.Imaging.Charts;

/// <summary>
/// Smoothing thin-plate splines through the patches of a chart, on the levels as they are and on levels bent by two forms of
/// <see cref="ResponseCurves"/>: a polynomial of the three channels plus one term for each patch that grows with the distance
/// from it. The prediction is their mean, each weighing as well as it predicts the patches that it is not given.
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
    private static readonly double[] Smoothings = [1e-4, 1e-2, 1e-1];

    // How much more a fit weighs that predicts better, as a power of the error; and the error below which none counts as better.
    private const int Sharpness = 8;
    private const double Exact = 1e-3;

    // Nine in ten of a normal error lie within so many standard deviations.
    private const double Deviations = 1.65;

    // Of what may lie between two levels; house value: straight lines to steep S curves are within it.
    private const double OpenBetween = 3;
    private const int Around = 12;

    private readonly ImmutableArray<(SplineFit Fit, double Weight, double[] LeftOut)> fits;
    private readonly SplineFit best;

    private SplineModel(ImmutableArray<(SplineFit Fit, double Weight, double[] LeftOut)> fits)
    {
        this.fits = fits;
        best = fits.MaxBy(member => Math.Round(member.Weight, 6)).Fit;
        Patches = [.. best.Patches];
        LeftOut = [.. Patches.Select((_, i) => Mean(fit => fit.LeftOut(i)))];
    }

    /// <summary>The patches, distinct in color.</summary>
    public ImmutableArray<MeasuredPatch> Patches { get; }

    /// <summary>For each patch, what the others predict in its place.</summary>
    public ImmutableArray<Lab> LeftOut { get; }

    /// <summary>The degree of the polynomial of the spline that weighs most, 1 to 3.</summary>
    public int Degree => best.Degree;

    /// <summary>Its smoothing, in units of distance where the cube of all colors of the chart has sides of 1.</summary>
    public double Smoothing => best.Smoothing;

    /// <summary>
    /// Fits a model; null where the patches are fewer than <see cref="FewestPatches"/>, or lie on a line or plane, so that
    /// nothing can be said about the colors between.
    /// </summary>
    /// <param name="patches">At most <see cref="MostPatches"/>, distinct in color.</param>
    public static SplineModel? Through(IReadOnlyList<MeasuredPatch> patches)
    {
        ArgumentNullException.ThrowIfNull(patches);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(patches.Count, MostPatches, nameof(patches));
        if (patches.Count < FewestPatches)
        {
            return null;
        }

        bool few = patches.Count <= FewPatches;
        int[] degrees = [.. Enumerable.Range(1, SplineFit.MostDegree).Where(degree => SplineFit.Terms(degree) * 3 <= patches.Count)];
        var candidates = ResponseCurves.Of(patches, straightOnly: !few).SelectMany(curves => (few ? degrees : degrees[^1..])
            .SelectMany(degree => Smoothings.Select(smoothing => (Curves: curves, Degree: degree, Smoothing: smoothing)))).ToArray();
        var found = new SplineFit?[candidates.Length];
        Parallel.For(0, candidates.Length, i => found[i] = SplineFit.Of(patches, candidates[i].Curves, candidates[i].Degree, candidates[i].Smoothing));
        // Patches that nearly coincide can leave a system that is solved in name only.
        var best = candidates.Zip(found).Where(pair => pair.Second is not null)
            .Select(pair => (pair.First.Curves, Fit: pair.Second!, LeftOut: pair.Second!.LeftOutDifferences())).Where(pair => pair.LeftOut.All(double.IsFinite))
            .GroupBy(pair => pair.Curves).Select(group => group.MinBy(pair => Math.Round(pair.LeftOut.Average(), 6)))
            .Select(pair => (pair.Fit, Weight: Weight(pair.LeftOut), pair.LeftOut)).ToArray();
        double all = best.Sum(member => member.Weight);
        return best.Length == 0 ? null : new SplineModel([.. best.Select(member => (member.Fit, member.Weight / all, member.LeftOut))]);

        static double Weight(double[] leftOut) => Math.Pow(Math.Max(Exact, Math.Sqrt(leftOut.Average(error => error * error))), -Sharpness);
    }

    /// <inheritdoc/>
    public Lab Predict(Rgb color) => Mean(fit => fit.Predict(color));

    /// <summary>
    /// Within how far of its prediction a color prints, CIEDE2000, nine times in ten: what leaving patches out shows the fits to be worth,
    /// nearby and on the whole chart, by how well the place is known; how far the response curves differ; and what the chart
    /// leaves open between its levels, where no patch can tell.
    /// </summary>
    public double PlusMinusAt(Rgb color)
    {
        var mean = Predict(color);
        int[] near = [.. Enumerable.Range(0, Patches.Length).OrderBy(i => Patches[i].Color.DistanceTo(color)).Take(Around)];
        double misfit = 0, apart = 0;
        foreach (var (fit, weight, leftOut) in fits)
        {
            double Standardized(int i) => Math.Pow(leftOut[i] / fit.DeviationWithout(i), 2);
            double unit = (near.Average(Standardized) + Enumerable.Range(0, Patches.Length).Average(Standardized)) / 2;
            misfit += weight * unit * Math.Pow(fit.DeviationAt(color), 2);
            apart += weight * Math.Pow(Ciede2000.Difference(fit.Predict(color), mean), 2);
        }

        return Math.Sqrt((Deviations * Deviations * (misfit + apart)) + Math.Pow(OpenBetween * BetweenLevels(color), 2));
    }

    // A smooth curve through levels at even distances errs with the fourth power of the distance: the change between the levels on
    // both sides, times the third power of what share of the chart their distance is; nothing at a level, most in the middle.
    private double BetweenLevels(Rgb color)
    {
        double sum = 0;
        for (int channel = 0; channel < 3; channel++)
        {
            double[] levels = [.. Patches.Select(patch => Of(patch.Color)).Distinct().Order()];
            if (levels.Length < 2)
            {
                continue;
            }

            int above = Math.Clamp(Array.FindIndex(levels, level => level > Of(color)), 1, levels.Length - 1);
            above = Of(color) >= levels[^1] ? levels.Length - 1 : above;
            double low = levels[above - 1], high = levels[above], at = Math.Clamp((Of(color) - low) / (high - low), 0, 1);
            double change = Ciede2000.Difference(Predict(With(low)), Predict(With(high)));
            sum += Math.Pow(change * Math.Pow((high - low) / (levels[^1] - levels[0]), 3) * 4 * at * (1 - at), 2);

            double Of(Rgb any) => channel switch { 0 => any.R, 1 => any.G, _ => any.B };

            Rgb With(double level) => channel switch { 0 => color with { R = level }, 1 => color with { G = level }, _ => color with { B = level } };
        }

        return Math.Sqrt(sum);
    }

    private Lab Mean(Func<SplineFit, Lab> labOf)
    {
        double l = 0, a = 0, b = 0;
        foreach (var (fit, weight, _) in fits)
        {
            var lab = labOf(fit);
            (l, a, b) = (l + (weight * lab.L), a + (weight * lab.A), b + (weight * lab.B));
        }

        return new Lab(l, a, b);
    }

    /// <summary>
    /// The patches that the others contradict, worst first: they stand out from what the others predict by more than
    /// <paramref name="difference"/> in CIEDE2000, and by more than <paramref name="times"/> the chart's median when each
    /// error is seen beside how well its place is known. One is taken away at a time, so that it can't accuse its neighbors.
    /// The first limit is <paramref name="slack"/> times as wide for a patch.
    /// </summary>
    internal ImmutableArray<MeasuredPatch> Outliers(double difference, double times, Func<MeasuredPatch, double> slack) =>
        best.Outliers(difference, times, slack);
}
