namespace Recipes.Imaging;

/// <summary>Puts one color in the place of another, in its mixes too.</summary>
public static class ColorSwap
{
    // Below this chroma a color has no hue that shading could turn with, or chroma that it could scale.
    private const double LeastChroma = 5;

    private const int Reach = 3;

    /// <summary>
    /// Moves every pixel of a region by its share of the way from the old color to the new one. Where the share is full the
    /// pixel becomes the new color; a mix becomes the same mix of the new color and its neighbor. Alpha stays.
    /// </summary>
    /// <remarks>
    /// The old color of a mix is the mean of the full pixels within 3 px, else the most frequent full one. A mix that printed
    /// never becomes bare by rounding: it takes the brightest white or darkest black that prints.
    /// </remarks>
    /// <param name="art">Flattened art of the region's size.</param>
    /// <param name="share">How much of each pixel is the old color, from <see cref="SharedColor.ShareOf"/>.</param>
    /// <param name="colors">The old color and the new one.</param>
    /// <param name="rules">What stays bare.</param>
    public static Plane<Rgba8> Swap(Plane<Rgba8> art, Region share, SwappedColors colors, InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(share);
        ArgumentNullException.ThrowIfNull(colors);
        ArgumentNullException.ThrowIfNull(rules);
        var (from, to, keepShading) = colors;
        var coverage = share.Coverage;
        var old = MostFrequent(art, coverage) ?? from;
        Func<Rgba8, Rgba8> full = keepShading ? Shading(from, to) : _ => to;
        return Plane<Rgba8>.Build(art.Width, art.Height, art, (bounds, samples) =>
        {
            int tile = art.Grid.IndexAt(bounds.X, bounds.Y);
            art.Tiles[tile].CopyTo(samples);
            var covered = coverage.Tiles[tile];
            if (covered.IsAll(0))
            {
                return;
            }

            for (int p = 0; p < samples.Length; p++)
            {
                int x = p % bounds.Width, y = p / bounds.Width;
                byte part = covered[x, y];
                if (part == 0 || samples[p].A == 0)
                {
                    continue;
                }

                var was = samples[p];
                var now = part == 255
                    ? full(was).WithAlpha(was.A)
                    : Moved(was, part, Around(art, coverage, bounds.X + x, bounds.Y + y) ?? old, full);
                samples[p] = part == 255 && !keepShading ? now : rules.StateOf(was) == InkState.Prints ? rules.Printing(now) : now;
            }
        });
    }

    private static Rgba8 Moved(Rgba8 was, byte part, Rgba8 old, Func<Rgba8, Rgba8> full)
    {
        var to = full(old);
        double share = part / 255.0;
        var now = new Rgba8(Step(was.R, old.R, to.R), Step(was.G, old.G, to.G), Step(was.B, old.B, to.B), was.A);
        // One level is within the rounding of the mix itself.
        return now.LargestDifference(was) <= 1 ? was : now;

        byte Step(byte was, byte old, byte to) =>
            (byte)Math.Clamp(Math.Round(Math.Round(was + (share * (to - old)), 6), MidpointRounding.AwayFromZero), 0, 255);
    }

    private static Func<Rgba8, Rgba8> Shading(Rgba8 old, Rgba8 to)
    {
        Lab from = LabSpace.D50.Of(old), target = LabSpace.D50.Of(to);
        return pixel =>
        {
            if (pixel.WithAlpha(255) == old.WithAlpha(255))
            {
                return to;
            }

            var lab = LabSpace.D50.Of(pixel);
            double lightness = Math.Clamp(target.L + lab.L - from.L, 0, 100);
            if (from.Chroma < LeastChroma || target.Chroma < LeastChroma)
            {
                // Nothing to scale: the tint of the shading stays as it is, on top of the new color.
                return LabSpace.D50.ToSrgb(new Lab(lightness, target.A + lab.A - from.A, target.B + lab.B - from.B)).Color;
            }

            // Scaling and turning a* and b* by what leads from the old color to the new one.
            double c7 = from.Chroma * from.Chroma;
            double re = ((target.A * from.A) + (target.B * from.B)) / c7, im = ((target.B * from.A) - (target.A * from.B)) / c7;
            return LabSpace.D50.ToSrgb(new Lab(lightness, (lab.A * re) - (lab.B * im), (lab.A * im) + (lab.B * re))).Color;
        };
    }

    private static Rgba8? Around(Plane<Rgba8> art, Plane<byte> coverage, int x, int y)
    {
        int r = 0, g = 0, b = 0, count = 0;
        for (int v = Math.Max(0, y - Reach); v <= Math.Min(art.Height - 1, y + Reach); v++)
        {
            for (int u = Math.Max(0, x - Reach); u <= Math.Min(art.Width - 1, x + Reach); u++)
            {
                if (coverage[u, v] == 255 && art[u, v] is { A: 255 } pixel)
                {
                    r += pixel.R;
                    g += pixel.G;
                    b += pixel.B;
                    count++;
                }
            }
        }

        return count == 0 ? null : new Rgba8(Mean(r), Mean(g), Mean(b));

        byte Mean(int sum) => (byte)((sum + (count / 2)) / count);
    }

    private static Rgba8? MostFrequent(Plane<Rgba8> art, Plane<byte> coverage)
    {
        var counts = new Dictionary<Rgba8, long>();
        for (int tile = 0; tile < art.Tiles.Length; tile++)
        {
            if (coverage.Tiles[tile].IsAll(0))
            {
                continue;
            }

            var bounds = art.Grid.Bounds(tile);
            for (int p = 0; p < bounds.Width * bounds.Height; p++)
            {
                int x = p % bounds.Width, y = p / bounds.Width;
                if (coverage.Tiles[tile][x, y] == 255)
                {
                    var pixel = art.Tiles[tile][x, y].WithAlpha(255);
                    counts[pixel] = counts.GetValueOrDefault(pixel) + 1;
                }
            }
        }

        return counts.Count == 0 ? null
            : counts.OrderByDescending(pair => pair.Value).ThenBy(pair => (pair.Key.R << 16) | (pair.Key.G << 8) | pair.Key.B).First().Key;
    }
}

/// <summary>What becomes of a color.</summary>
/// <param name="From">The old color, where no pixel is full.</param>
/// <param name="To">The new color; its alpha is ignored.</param>
/// <param name="KeepShading">
/// Keeps each full pixel's distance from the old color in lightness, chroma and hue (Lab D50) instead of making it flat.
/// </param>
public sealed record SwappedColors(Rgba8 From, Rgba8 To, bool KeepShading);
