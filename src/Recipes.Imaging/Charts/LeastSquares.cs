namespace Recipes.Imaging.Charts;

/// <summary>Finds the few numbers with which a list of residuals has the smallest sum of squares.</summary>
internal static class LeastSquares
{
    private const int MostRounds = 30;
    private const double Step = 1e-4, Longest = 1, Enough = 1e-5;

    /// <summary>Damped Gauss-Newton steps (Levenberg 1944) with slopes by differences; the same start gives the same end.</summary>
    public static double[] Minimize(double[] start, Func<double[], double[]> residualsOf)
    {
        int n = start.Length;
        double[] at = start, residuals = residualsOf(at);
        double cost = Squared(residuals), damping = 1e-2;
        for (int round = 0; round < MostRounds && damping < 1e6; round++)
        {
            var slopes = new double[n][];
            Parallel.For(0, n, k => slopes[k] = [.. residualsOf(Moved(at, k, Step)).Zip(residuals, (moved, here) => (moved - here) / Step)]);
            var normal = new DenseMatrix(n);
            double trace = 0;
            for (int k = 0; k < n; k++)
            {
                for (int j = 0; j <= k; j++)
                {
                    normal[k, j] = normal[j, k] = Dot(slopes[k], slopes[j]);
                }

                trace += normal[k, k];
            }

            for (int k = 0; k < n; k++)
            {
                normal[k, k] += (damping * trace / n) + 1e-12;
            }

            if (normal.Inverse() is not { } inverse)
            {
                break;
            }

            var pull = slopes.Select(slope => Dot(slope, residuals)).ToArray();
            double[] next = [.. at.Select((value, k) => value - Math.Clamp(Dot(inverse.Row(k), pull), -Longest, Longest))];
            var nextResiduals = residualsOf(next);
            double nextCost = Squared(nextResiduals);
            if (!(nextCost < cost))
            {
                damping *= 8;
                continue;
            }

            bool done = cost - nextCost < Enough * cost;
            (at, residuals, cost) = (next, nextResiduals, nextCost);
            damping /= 5;
            if (done)
            {
                break;
            }
        }

        return at;
    }

    private static double[] Moved(double[] at, int k, double by)
    {
        double[] moved = [.. at];
        moved[k] += by;
        return moved;
    }

    private static double Squared(ReadOnlySpan<double> values) => Dot(values, values);

    private static double Dot(ReadOnlySpan<double> p, ReadOnlySpan<double> q)
    {
        double sum = 0;
        for (int i = 0; i < p.Length; i++)
        {
            sum += p[i] * q[i];
        }

        return sum;
    }
}
