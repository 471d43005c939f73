namespace Recipes.Imaging;

public static partial class Find
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
    public static TestBox? TestBox(Plane<Rgba8> art, InkRules rules, double pixelsPerInch) => TestFeatures.Of(art, rules, pixelsPerInch)?.Smallest();

    /// <summary>What a box shows of the art and what it leaves out, judged as above. Null where it has no printed pixel.</summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="pixelsPerInch">Resolution.</param>
    /// <param name="box">The box, px; what of it lies outside the art doesn't count.</param>
    /// <exception cref="ArgumentOutOfRangeException">The resolution is not above 0.</exception>
    public static TestBox? TestBox(Plane<Rgba8> art, InkRules rules, double pixelsPerInch, Box box)
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

    /// <summary>Every pixel outside of a box.</summary>
    public static Region Outside(Plane<Rgba8> art, Box box)
    {
        ArgumentNullException.ThrowIfNull(art);
        return new Region(Plane<byte>.Build(art.Width, art.Height, null, (bounds, samples) =>
        {
            samples.Fill(255);
            var part = box.Within(bounds);
            for (int y = part.Y; y < part.Bottom && part.Width > 0; y++)
            {
                samples.Slice(((y - bounds.Y) * bounds.Width) + part.X - bounds.X, part.Width).Clear();
            }
        }), art);
    }
}
