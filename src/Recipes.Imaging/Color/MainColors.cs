using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>One of an art's main colors.</summary>
/// <param name="Color">The color that most of its pixels have; opaque.</param>
/// <param name="Pixels">How many printed pixels belong to it, near ones included.</param>
public sealed record MainColor(Rgba8 Color, long Pixels);

/// <summary>The colors that most of what prints is made of, and to which of them a pixel belongs. Alpha doesn't count.</summary>
/// <remarks>
/// Colors fall into bins of 16 levels a channel. From the fullest bin on, each joins the nearest color found so far within
/// <see cref="Alike"/>, or is a color of its own. So noise and shading gather, and the mixes of soft edges stay below the
/// <see cref="Least"/> that makes a color a main one.
/// </remarks>
public sealed class MainColors
{
    /// <summary>The longest list.</summary>
    public const int Most = 8;

    /// <summary>The part of what prints that makes a color a main one.</summary>
    public const double Least = 0.01;

    /// <summary>CIEDE2000 (Lab D50) up to which bins are one color: a difference that nobody calls another color. Ours; no source.</summary>
    public const double Alike = 10;

    // A bound for photographs, whose bins lie everywhere; further colors hold less than a main one may.
    private const int MostSeeds = 100;
    private const int Bins = 4096;

    private readonly byte[] kinds;

    private MainColors(ImmutableArray<MainColor> colors, byte[] kinds, long printed)
    {
        Colors = colors;
        this.kinds = kinds;
        Printed = printed;
    }

    /// <summary>The main colors, most pixels first.</summary>
    public ImmutableArray<MainColor> Colors { get; }

    /// <summary>How many pixels print.</summary>
    public long Printed { get; }

    /// <summary>Which of <see cref="Colors"/> a pixel that prints belongs to, or -1.</summary>
    public int IndexOf(Rgba8 pixel) => kinds[Bin(pixel)] - 1;

    /// <summary>Counts the colors of what prints.</summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    public static MainColors Of(Plane<Rgba8> art, InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(rules);
        var counts = new int[1 << 24];
        long printed = 0;
        foreach (var tile in art.Tiles)
        {
            if (tile.IsOneValue)
            {
                Count(tile.Value, tile.Count);
                continue;
            }

            foreach (var pixel in tile.Samples)
            {
                Count(pixel, 1);
            }
        }

        var fullest = new (int Bin, int Pixels, Rgba8 Color)[Bins];
        for (int bin = 0; bin < Bins; bin++)
        {
            fullest[bin].Bin = bin;
            int most = 0;
            for (int inner = 0; inner < Bins; inner++)
            {
                var color = new Rgba8(Channel(bin >> 8, inner >> 8), Channel(bin >> 4, inner >> 4), Channel(bin, inner));
                int pixels = counts[(color.R << 16) | (color.G << 8) | color.B];
                fullest[bin].Pixels += pixels;
                if (pixels > most)
                {
                    most = pixels;
                    fullest[bin].Color = color;
                }
            }
        }

        var seeds = new List<(Lab Lab, Rgba8 Color, long Pixels, List<int> Bins)>();
        foreach (var (bin, pixels, color) in fullest.Where(bin => bin.Pixels > 0).OrderByDescending(bin => bin.Pixels).ThenBy(bin => bin.Bin))
        {
            var lab = LabSpace.D50.Of(color);
            var (near, index) = seeds.Select((seed, i) => (Math.Round(Ciede2000.Difference(seed.Lab, lab), 6), i)).DefaultIfEmpty((double.MaxValue, -1)).Min();
            if (near <= Alike)
            {
                seeds[index].Bins.Add(bin);
                seeds[index] = seeds[index] with { Pixels = seeds[index].Pixels + pixels };
            }
            else if (seeds.Count < MostSeeds)
            {
                seeds.Add((lab, color, pixels, [bin]));
            }
        }

        var kinds = new byte[Bins];
        var main = seeds.Where(seed => seed.Pixels >= Least * printed).OrderByDescending(seed => seed.Pixels).ThenBy(seed => seed.Bins[0]).Take(Most).ToList();
        for (int i = 0; i < main.Count; i++)
        {
            foreach (int bin in main[i].Bins)
            {
                kinds[bin] = (byte)(i + 1);
            }
        }

        return new MainColors([.. main.Select(seed => new MainColor(seed.Color, seed.Pixels))], kinds, printed);

        void Count(Rgba8 pixel, int times)
        {
            if (rules.StateOf(pixel) == InkState.Prints)
            {
                counts[(pixel.R << 16) | (pixel.G << 8) | pixel.B] += times;
                printed += times;
            }
        }

        static byte Channel(int high, int low) => (byte)(((high & 15) << 4) | (low & 15));
    }

    private static int Bin(Rgba8 pixel) => ((pixel.R >> 4) << 8) | ((pixel.G >> 4) << 4) | (pixel.B >> 4);
}
