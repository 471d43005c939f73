namespace Recipes.Imaging;

/// <summary>A box of an art to print as a test, and what of the art it shows.</summary>
/// <param name="Area">The box, px, inside the art.</param>
/// <param name="Holds">What it shows, in words: main colors, the darkest area, the thinnest lines, the finest detail.</param>
/// <param name="LeavesOut">What of these it doesn't show.</param>
public sealed record TestBox(Box Area, IReadOnlyList<string> Holds, IReadOnlyList<string> LeavesOut)
{
    /// <summary>
    /// The smallest honest test print: of all squares from 1/2 to 2 in, on a grid of 1/16 in, one of the smallest that show as much
    /// of the art as any of 2 in does. What there is to show: each main color, the darkest area, the thinnest lines, the finest
    /// detail. Of equal ones the one with the most ink, then the first in reading order. Null where nothing prints.
    /// </summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="pixelsPerInch">Resolution.</param>
    /// <exception cref="ArgumentOutOfRangeException">The resolution is not above 0.</exception>
    public static TestBox? Smallest(Plane<Rgba8> art, InkRules rules, double pixelsPerInch) => TestFeatures.Of(art, rules, pixelsPerInch)?.Smallest();

    /// <summary>What a box shows of the art and what it leaves out, judged as above. Null where it has no printed pixel.</summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="pixelsPerInch">Resolution.</param>
    /// <param name="box">The box, px; what of it lies outside the art doesn't count.</param>
    /// <exception cref="ArgumentOutOfRangeException">The resolution is not above 0.</exception>
    public static TestBox? At(Plane<Rgba8> art, InkRules rules, double pixelsPerInch, Box box)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(rules);
        box = box.Within(new Box(0, 0, art.Width, art.Height));
        for (int y = box.Y; y < box.Bottom; y++)
        {
            for (int x = box.X; x < box.Right; x++)
            {
                if (rules.StateOf(art[x, y]) == InkState.Prints)
                {
                    return TestFeatures.Of(art, rules, pixelsPerInch)?.Judge(box);
                }
            }
        }

        return null;
    }
}
