using System.Numerics;

namespace Recipes.Imaging.Charts;

/// <summary>A square matrix of at most about a thousand rows, and its inverse.</summary>
internal sealed class DenseMatrix(int size)
{
    // A pivot this small beside the largest entry means that rows depend on each other.
    private const double Singular = 1e-13;
    private readonly double[] entries = new double[size * size];

    public int Size { get; } = size;

    public ref double this[int row, int column] => ref entries[(row * Size) + column];

    public ReadOnlySpan<double> Row(int row) => entries.AsSpan(row * Size, Size);

    public DenseMatrix Copy()
    {
        var copy = new DenseMatrix(Size);
        entries.CopyTo(copy.entries, 0);
        return copy;
    }

    /// <summary>The inverse, by Gauss-Jordan elimination with row pivoting; null where the matrix has none.</summary>
    /// <remarks>Entries are combined one by one, so the width of the machine's vectors changes no bit.</remarks>
    public DenseMatrix? Inverse()
    {
        var work = Copy();
        var swaps = new int[Size];
        double largest = entries.Max(Math.Abs);
        for (int k = 0; k < Size; k++)
        {
            int pivotRow = k;
            for (int row = k + 1; row < Size; row++)
            {
                if (Math.Abs(work[row, k]) > Math.Abs(work[pivotRow, k]))
                {
                    pivotRow = row;
                }
            }

            double pivot = work[pivotRow, k];
            if (!(Math.Abs(pivot) > largest * Singular))
            {
                return null;
            }

            swaps[k] = pivotRow;
            work.SwapRows(k, pivotRow);
            work[k, k] = 1;
            var kept = work.entries.AsSpan(k * Size, Size);
            for (int column = 0; column < Size; column++)
            {
                kept[column] /= pivot;
            }

            for (int row = 0; row < Size; row++)
            {
                double factor = row == k ? 0 : work[row, k];
                if (factor != 0)
                {
                    work[row, k] = 0;
                    Subtract(work.entries.AsSpan(row * Size, Size), kept, factor);
                }
            }
        }

        // What was swapped as rows of the matrix is swapped as columns of its inverse, last first.
        for (int k = Size - 1; k >= 0; k--)
        {
            for (int row = 0; swaps[k] != k && row < Size; row++)
            {
                (work[row, k], work[row, swaps[k]]) = (work[row, swaps[k]], work[row, k]);
            }
        }

        return work;
    }

    private static void Subtract(Span<double> row, ReadOnlySpan<double> other, double factor)
    {
        int i = 0;
        var factors = new Vector<double>(factor);
        for (; i + Vector<double>.Count <= row.Length; i += Vector<double>.Count)
        {
            (new Vector<double>(row[i..]) - (factors * new Vector<double>(other[i..]))).CopyTo(row[i..]);
        }

        for (; i < row.Length; i++)
        {
            row[i] -= factor * other[i];
        }
    }

    private void SwapRows(int a, int b)
    {
        if (a != b)
        {
            var first = entries.AsSpan(a * Size, Size);
            var second = entries.AsSpan(b * Size, Size);
            for (int i = 0; i < Size; i++)
            {
                (first[i], second[i]) = (second[i], first[i]);
            }
        }
    }
}
