using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>
/// The Lanczos kernel of three lobes, L(x) = sinc(x) sinc(x/3) for |x| &lt; 3, as weights for resampling one axis. Where an
/// axis shrinks, the kernel widens by the factor, so that nothing aliases. Weights are cut off at the image's edge and add
/// up to 1.
/// </summary>
public sealed class Lanczos3
{
    private readonly Taps[] taps;

    /// <summary>Prepares the weights of one axis.</summary>
    /// <param name="from">Samples before, from 1.</param>
    /// <param name="to">Samples after, from 1.</param>
    public Lanczos3(int from, int to)
        : this(from, to, 0, to)
    {
    }

    /// <summary>Prepares the weights of a part of one axis.</summary>
    /// <param name="from">Samples before, from 1.</param>
    /// <param name="to">Samples after, from 1, of which only a part is wanted.</param>
    /// <param name="first">The first that is wanted.</param>
    /// <param name="count">How many are wanted, from 1.</param>
    public Lanczos3(int from, int to, int first, int count)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(from, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(to, 1);
        ArgumentOutOfRangeException.ThrowIfNegative(first);
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(count, to - first);
        From = from;
        taps = new Taps[count];
        for (int i = 0; i < count; i++)
        {
            taps[i] = At(first + i, (double)from / to);
        }
    }

    /// <summary>Samples before.</summary>
    public int From { get; }

    /// <summary>Samples after, as far as they are wanted.</summary>
    public int To => taps.Length;

    /// <summary>What makes one of the samples that are wanted.</summary>
    public Taps this[int i] => taps[i];

    /// <summary>The kernel's value at a distance in samples.</summary>
    public static double Kernel(double x)
    {
        double size = Math.Abs(x);
        return size >= 3 ? 0 : size < 1e-9 ? 1 : 3 * Math.Sin(Math.PI * size) * Math.Sin(Math.PI * size / 3) / (Math.PI * Math.PI * size * size);
    }

    private Taps At(int i, double step)
    {
        double wide = Math.Max(1, step), center = Math.Round(((i + 0.5) * step) - 0.5, 9);
        int first = Math.Max(0, (int)Math.Ceiling(center - (3 * wide))), last = Math.Min(From - 1, (int)Math.Floor(center + (3 * wide)));
        var weights = new double[last - first + 1];
        double sum = 0;
        int innerFirst = last, innerLast = first;
        for (int k = 0; k < weights.Length; k++)
        {
            double x = (first + k - center) / wide;
            sum += weights[k] = Kernel(x);
            if (Math.Abs(x) < 1 - 1e-6)
            {
                innerFirst = Math.Min(innerFirst, first + k);
                innerLast = Math.Max(innerLast, first + k);
            }
        }

        int nearest = Math.Clamp((int)Math.Floor(center + 0.5), 0, From - 1);
        // Math libraries differ in the last bits of a sine; nine decimals don't.
        return new Taps(first, [.. weights.Select(weight => (float)Math.Round(weight / sum, 9))], innerFirst, innerLast - innerFirst + 1, nearest);
    }

    /// <summary>What makes one sample of the new axis.</summary>
    /// <param name="First">The first sample of the old axis that counts.</param>
    /// <param name="Weights">The weights from there on, in sum 1.</param>
    /// <param name="InnerFirst">The first sample under the middle lobe, which a sample must stay in the range of.</param>
    /// <param name="InnerCount">How many lie under the middle lobe, at least 1.</param>
    /// <param name="Nearest">The sample that lies nearest.</param>
    public readonly record struct Taps(int First, ImmutableArray<float> Weights, int InnerFirst, int InnerCount, int Nearest);
}
