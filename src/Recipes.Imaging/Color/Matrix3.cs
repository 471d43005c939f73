namespace Recipes.Imaging;

/// <summary>A 3x3 matrix, rows first, that maps one set of three color values to another.</summary>
public readonly record struct Matrix3(
    double M11, double M12, double M13,
    double M21, double M22, double M23,
    double M31, double M32, double M33)
{
    /// <summary>The matrix that undoes this one.</summary>
    public Matrix3 Inverse()
    {
        double c11 = (M22 * M33) - (M23 * M32), c12 = (M23 * M31) - (M21 * M33), c13 = (M21 * M32) - (M22 * M31);
        double scale = 1 / ((M11 * c11) + (M12 * c12) + (M13 * c13));
        return new Matrix3(
            c11 * scale, ((M13 * M32) - (M12 * M33)) * scale, ((M12 * M23) - (M13 * M22)) * scale,
            c12 * scale, ((M11 * M33) - (M13 * M31)) * scale, ((M13 * M21) - (M11 * M23)) * scale,
            c13 * scale, ((M12 * M31) - (M11 * M32)) * scale, ((M11 * M22) - (M12 * M21)) * scale);
    }

    /// <summary>The matrix that applies <paramref name="first"/>, then this one.</summary>
    public Matrix3 After(Matrix3 first)
    {
        var (a, b, c) = Apply(first.M11, first.M21, first.M31);
        var (d, e, f) = Apply(first.M12, first.M22, first.M32);
        var (g, h, i) = Apply(first.M13, first.M23, first.M33);
        return new Matrix3(a, d, g, b, e, h, c, f, i);
    }

    /// <summary>The matrix times a column of three.</summary>
    public (double X, double Y, double Z) Apply(double x, double y, double z) => (
        (M11 * x) + (M12 * y) + (M13 * z),
        (M21 * x) + (M22 * y) + (M23 * z),
        (M31 * x) + (M32 * y) + (M33 * z));
}
