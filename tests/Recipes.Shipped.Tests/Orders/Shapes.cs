using System.Globalization;
using System.Text;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>SVG path data of plain shapes, and numbers that look random and never change.</summary>
internal static class Shapes
{
    public static string Circle(double x, double y, double radius) => Oval(x, y, radius, radius);

    public static string Oval(double x, double y, double across, double down) =>
        F($"M{x - across} {y}A{across} {down} 0 1 0 {x + across} {y}A{across} {down} 0 1 0 {x - across} {y}Z");

    public static string Rect(double x, double y, double width, double height) => F($"M{x} {y}h{width}v{height}h{-width}Z");

    public static string Line(double x1, double y1, double x2, double y2) => F($"M{x1} {y1}L{x2} {y2}");

    public static string Polygon(params (double X, double Y)[] corners) =>
        "M" + string.Join("L", corners.Select(corner => F($"{corner.X} {corner.Y}"))) + "Z";

    public static string Star(double x, double y, double radius, int points = 5, double waist = 0.42) => Polygon([.. Enumerable.Range(0, points * 2).Select(k =>
    {
        double turn = (k * Math.PI / points) - (Math.PI / 2), far = k % 2 == 0 ? radius : radius * waist;
        return (Math.Round(x + (far * Math.Cos(turn)), 3), Math.Round(y + (far * Math.Sin(turn)), 3));
    })]);

    /// <summary>Path data with absolute commands M, L, C, Q and Z, moved and scaled.</summary>
    public static string Place(string data, double x, double y, double across, double down)
    {
        var placed = new StringBuilder();
        bool vertical = false;
        foreach (string word in data.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            if (char.IsLetter(word[0]))
            {
                placed.Append(word).Append(' ');
                vertical = false;
                continue;
            }

            double value = double.Parse(word, CultureInfo.InvariantCulture);
            placed.Append(F($"{Math.Round(vertical ? y + (value * down) : x + (value * across), 3)} "));
            vertical = !vertical;
        }

        return placed.ToString();
    }

    /// <summary>0 to 1, evenly spread, from whole numbers.</summary>
    public static double Chance(int seed, int one, int other = 0)
    {
        uint hash = ((uint)seed * 2654435761u) ^ ((uint)one * 2246822519u) ^ ((uint)other * 3266489917u);
        hash = (hash ^ (hash >> 15)) * 2246822519u;
        hash = (hash ^ (hash >> 13)) * 3266489917u;
        return (hash ^ (hash >> 16)) / 4294967296.0;
    }

    /// <summary>Smooth noise, 0 to 1, whose blotches are about so many px wide.</summary>
    public static double Noise(int seed, double x, double y, double size)
    {
        double u = x / size, v = y / size;
        int i = (int)Math.Floor(u), j = (int)Math.Floor(v);
        double s = Smooth(u - i), t = Smooth(v - j);
        return (((Chance(seed, i, j) * (1 - s)) + (Chance(seed, i + 1, j) * s)) * (1 - t))
            + (((Chance(seed, i, j + 1) * (1 - s)) + (Chance(seed, i + 1, j + 1) * s)) * t);
    }

    /// <summary>From 0 at 0 to 1 at 1, flat at both ends.</summary>
    public static double Smooth(double t) => Math.Clamp(t, 0, 1) is var c ? c * c * (3 - (2 * c)) : 0;

    private static string F(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
