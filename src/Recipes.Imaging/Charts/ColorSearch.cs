using System.Collections.Immutable;

namespace Recipes.Imaging.Charts;

/// <summary>Inverts a printer model: the 8-bit color whose prediction comes nearest to a target.</summary>
/// <remarks>
/// Damped Gauss-Newton steps (Levenberg 1944, Marquardt 1963) from the nearest patches, on lightness, chroma and hue differences
/// weighted as CIEDE2000 weights them at the target; then a descent over neighboring levels on CIEDE2000 itself.
/// </remarks>
internal sealed class ColorSearch
{
    private const int Starts = 8;
    private const int MostSteps = 40;
    // A hue-true color weighs the distance from the target's hue this many times.
    private const double HueWeight = 6;

    private readonly IPrinterModel model;
    private readonly ImmutableArray<MeasuredPatch> patches;
    private readonly Lab target;
    private readonly Rgb least, most;
    private readonly Dictionary<Rgba8, Lab> predicted = [];

    public ColorSearch(IPrinterModel model, ImmutableArray<MeasuredPatch> patches, Lab target)
    {
        this.model = model;
        this.patches = patches;
        this.target = target;
        least = new Rgb(patches.Min(patch => patch.Color.R), patches.Min(patch => patch.Color.G), patches.Min(patch => patch.Color.B));
        most = new Rgb(patches.Max(patch => patch.Color.R), patches.Max(patch => patch.Color.G), patches.Max(patch => patch.Color.B));
    }

    /// <summary>The color nearest to the target.</summary>
    public ComputedColor Nearest() => Search(AsCiede2000, lab => Ciede2000.Difference(lab, target));

    /// <summary>
    /// The color nearest to the target among those of about its hue, by CIELAB distance: hue-preserving minimum-distance
    /// clipping, a reference method of CIE 156:2004. CIEDE2000 thinks little of chroma far out and would answer with a gray.
    /// </summary>
    public ComputedColor HueTrue() => Search(KeepingHue, lab => Length(KeepingHue(lab)));

    private ComputedColor Search(Func<Lab, (double, double, double)> residualOf, Func<Lab, double> cost)
    {
        (Rgba8 Color, double Cost)? best = null;
        foreach (var patch in patches.OrderBy(patch => Math.Round(cost(patch.Lab), 6)).Take(Starts))
        {
            var color = Descend(Newton(patch.Color, residualOf).ToRgba8(), cost);
            double reached = Math.Round(cost(Predict(color)), 6);
            if (best is null || reached < best.Value.Cost)
            {
                best = (color, reached);
            }
        }

        var lab = Predict(best!.Value.Color);
        return new ComputedColor(best.Value.Color, lab, Ciede2000.Difference(lab, target));
    }

    private Rgb Newton(Rgb at, Func<Lab, (double, double, double)> residualOf)
    {
        at = Clamp(at);
        double damping = 1e-3;
        var residual = residualOf(model.Predict(at));
        double size = Length(residual);
        for (int step = 0; step < MostSteps && size > 1e-4 && damping < 1e6; step++)
        {
            var (r, g, b) = (Slope(at, 1, 0, 0), Slope(at, 0, 1, 0), Slope(at, 0, 0, 1));
            double rr = Dot(r, r), gg = Dot(g, g), bb = Dot(b, b), rg = Dot(r, g), rb = Dot(r, b), gb = Dot(g, b);
            double lift = damping * Math.Max(1e-9, (rr + gg + bb) / 3);
            // A channel at its end that the step would push further is held, so that the others can still move.
            double pullR = -Dot(r, residual), pullG = -Dot(g, residual), pullB = -Dot(b, residual);
            bool holdR = Held(at.R, least.R, most.R, pullR), holdG = Held(at.G, least.G, most.G, pullG), holdB = Held(at.B, least.B, most.B, pullB);
            var normal = new Matrix3(
                holdR ? 1 : rr + lift, holdR || holdG ? 0 : rg, holdR || holdB ? 0 : rb,
                holdR || holdG ? 0 : rg, holdG ? 1 : gg + lift, holdG || holdB ? 0 : gb,
                holdR || holdB ? 0 : rb, holdG || holdB ? 0 : gb, holdB ? 1 : bb + lift);
            var (dr, dg, db) = normal.Inverse().Apply(holdR ? 0 : pullR, holdG ? 0 : pullG, holdB ? 0 : pullB);
            var next = Clamp(new Rgb(at.R + dr, at.G + dg, at.B + db));
            var nextResidual = residualOf(model.Predict(next));
            double nextSize = Length(nextResidual);
            if (nextSize < size)
            {
                bool done = size - nextSize < 1e-7;
                (at, residual, size) = (next, nextResidual, nextSize);
                damping /= 4;
                if (done)
                {
                    break;
                }
            }
            else
            {
                damping *= 8;
            }
        }

        return at;

        (double, double, double) Slope(Rgb color, double r, double g, double b)
        {
            Rgb before = Clamp(new Rgb(color.R - r, color.G - g, color.B - b)), after = Clamp(new Rgb(color.R + r, color.G + g, color.B + b));
            double width = before.DistanceTo(after);
            if (width == 0)
            {
                return default;
            }

            var (l1, c1, h1) = residualOf(model.Predict(before));
            var (l2, c2, h2) = residualOf(model.Predict(after));
            return ((l2 - l1) / width, (c2 - c1) / width, (h2 - h1) / width);
        }

        static bool Held(double value, double least, double most, double pull) => (value <= least && pull < 0) || (value >= most && pull > 0);
    }

    // To the best of the 26 neighbors until none is better, first four levels apart, then two, then one.
    private Rgba8 Descend(Rgba8 color, Func<Lab, double> cost)
    {
        color = Printable(color);
        double best = Math.Round(cost(Predict(color)), 6);
        for (int reach = 4; reach >= 1; reach /= 2)
        {
            for (bool moved = true; moved;)
            {
                moved = false;
                var from = color;
                for (int i = 0; i < 27; i++)
                {
                    var next = Beside(from, ((i / 9) - 1) * reach, ((i / 3 % 3) - 1) * reach, ((i % 3) - 1) * reach);
                    double reached = Math.Round(cost(Predict(next)), 6);
                    if (reached < best)
                    {
                        (color, best, moved) = (next, reached, true);
                    }
                }
            }
        }

        return color;
    }

    private Rgba8 Beside(Rgba8 color, int r, int g, int b) => Printable(Clamp(new Rgb(color.R + r, color.G + g, color.B + b)).ToRgba8());

    private static Rgba8 Printable(Rgba8 color) => color.IsPureWhite ? new Rgba8(254, 254, 254) : color.IsPureBlack ? new Rgba8(1, 1, 1) : color;

    private Lab Predict(Rgba8 color)
    {
        if (!predicted.TryGetValue(color, out var lab))
        {
            predicted[color] = lab = model.Predict(Rgb.Of(color));
        }

        return lab;
    }

    private Rgb Clamp(Rgb color) => new(Math.Clamp(color.R, least.R, most.R), Math.Clamp(color.G, least.G, most.G), Math.Clamp(color.B, least.B, most.B));

    // Weighted as CIEDE2000 (ISO/CIE 11664-6) weights them at the target; the blue rotation term and the stretch of a* are left
    // to the descent.
    private (double L, double C, double H) AsCiede2000(Lab lab)
    {
        var (l, c, h) = FromTarget(lab);
        double fromMiddle = (target.L - 50) * (target.L - 50);
        return (l / (1 + (0.015 * fromMiddle / Math.Sqrt(20 + fromMiddle))), c / (1 + (0.045 * target.Chroma)), h / (1 + (0.015 * target.Chroma)));
    }

    private (double L, double C, double H) KeepingHue(Lab lab)
    {
        var (l, c, h) = FromTarget(lab);
        return (l, c, HueWeight * h);
    }

    // The difference from the target in lightness, along its hue and across it.
    private (double L, double C, double H) FromTarget(Lab lab)
    {
        double hue = target.Hue * (Math.PI / 180), along = Math.Cos(hue), across = Math.Sin(hue);
        double a = lab.A - target.A, b = lab.B - target.B;
        return (lab.L - target.L, (a * along) + (b * across), (b * along) - (a * across));
    }

    private static double Dot((double, double, double) p, (double, double, double) q) => (p.Item1 * q.Item1) + (p.Item2 * q.Item2) + (p.Item3 * q.Item3);

    private static double Length((double, double, double) v) => Math.Sqrt(Dot(v, v));
}
