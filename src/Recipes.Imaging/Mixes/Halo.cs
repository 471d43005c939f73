namespace Recipes.Imaging;

/// <summary>Takes an old background out of mixed pixels.</summary>
public static class Halo
{
    /// <summary>
    /// Each pixel of the region gets the color that, over the background, gives what is seen: (seen - (1 - a) background) / a,
    /// where a is its coverage; and that coverage as its alpha, where it had more. A pixel that printed goes on printing.
    /// </summary>
    /// <remarks>Seen colors are known to half a level, so colors come back to (0.5 + 0.5 a) / a levels.</remarks>
    /// <param name="art">Flattened art of the region's size.</param>
    /// <param name="halo">How much of each pixel is art, from <see cref="Rims.Of"/>.</param>
    /// <param name="background">The old background's color; its alpha is ignored.</param>
    /// <param name="rules">What stays bare.</param>
    public static Plane<Rgba8> Remove(Plane<Rgba8> art, Region halo, Rgba8 background, InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(halo);
        ArgumentNullException.ThrowIfNull(rules);
        return Plane<Rgba8>.Build(art.Width, art.Height, art, (bounds, samples) =>
        {
            int tile = art.Grid.IndexAt(bounds.X, bounds.Y);
            art.Tiles[tile].CopyTo(samples);
            var coverage = halo.Coverage.Tiles[tile];
            if (coverage.IsAll(0))
            {
                return;
            }

            for (int p = 0; p < samples.Length; p++)
            {
                byte share = coverage[p % bounds.Width, p / bounds.Width];
                if (share is 0 or 255)
                {
                    continue;
                }

                var seen = samples[p];
                double a = share / 255.0;
                var now = new Rgba8(Out(seen.R, background.R), Out(seen.G, background.G), Out(seen.B, background.B), Math.Min(seen.A, share));
                samples[p] = rules.StateOf(seen) == InkState.Prints ? rules.Printing(now) : now;

                byte Out(byte seen, byte old) =>
                    (byte)Math.Clamp(Math.Round(Math.Round((seen - ((1 - a) * old)) / a, 6), MidpointRounding.AwayFromZero), 0, 255);
            }
        });
    }
}
