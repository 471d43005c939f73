namespace Recipes.Imaging;

/// <summary>
/// A pixel as renderers mix it: gamma-encoded channels times alpha, 0 to 255. Mixes are straight lines here, at edges to
/// transparency too, where the color of a straight pixel stays and only its alpha falls.
/// </summary>
internal readonly record struct Premultiplied(double R, double G, double B, double A)
{
    public static Premultiplied Of(Rgba8 p)
    {
        double alpha = p.A / 255.0;
        return new Premultiplied(p.R * alpha, p.G * alpha, p.B * alpha, p.A);
    }

    public static Premultiplied operator +(Premultiplied a, Premultiplied b) => new(a.R + b.R, a.G + b.G, a.B + b.B, a.A + b.A);

    public static Premultiplied operator -(Premultiplied a, Premultiplied b) => new(a.R - b.R, a.G - b.G, a.B - b.B, a.A - b.A);

    public static Premultiplied operator *(double f, Premultiplied a) => new(f * a.R, f * a.G, f * a.B, f * a.A);

    public double Dot(Premultiplied other) => (R * other.R) + (G * other.G) + (B * other.B) + (A * other.A);

    /// <summary>The largest channel, in levels, whatever its sign.</summary>
    public double Largest => Math.Max(Math.Max(Math.Abs(R), Math.Abs(G)), Math.Max(Math.Abs(B), Math.Abs(A)));

    /// <summary>The least of the three colors.</summary>
    public double Smallest => Math.Min(R, Math.Min(G, B));

    /// <summary>The greatest of the three colors.</summary>
    public double Highest => Math.Max(R, Math.Max(G, B));

    /// <summary>
    /// Solves this = share x <paramref name="one"/> + (1 - share) x <paramref name="other"/> by least squares.
    /// <c>Off</c> is the largest difference of a channel from the line, in levels; nothing fits ends that are the same.
    /// </summary>
    public (double Share, double Off) Between(Premultiplied one, Premultiplied other)
    {
        var line = one - other;
        double length = line.Dot(line);
        if (length < 1)
        {
            return (0, double.PositiveInfinity);
        }

        var step = this - other;
        double share = Math.Round(step.Dot(line) / length, 6);
        return (share, Math.Round((step - (share * line)).Largest, 6));
    }

    /// <summary>Solves a mix of three likewise; the third takes what the shares of the first two leave of 1.</summary>
    public (double First, double Second, double Off) Between(Premultiplied first, Premultiplied second, Premultiplied third)
    {
        Premultiplied u = first - third, v = second - third, step = this - third;
        double uu = u.Dot(u), vv = v.Dot(v), uv = u.Dot(v), us = u.Dot(step), vs = v.Dot(step);
        double determinant = (uu * vv) - (uv * uv);
        if (determinant < 1 + (0.01 * uu * vv))
        {
            return (0, 0, double.PositiveInfinity); // the three lie on a line
        }

        double a = Math.Round(((us * vv) - (vs * uv)) / determinant, 6), b = Math.Round(((vs * uu) - (us * uv)) / determinant, 6);
        return (a, b, Math.Round((step - ((a * u) + (b * v))).Largest, 6));
    }
}
