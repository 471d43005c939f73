namespace Recipes.Imaging;

internal sealed partial class ColorShare
{
    // At alpha 1 and 2, premultiplied storage leaves two or three values of a channel: no color to speak of.
    private const byte FaintestAlpha = 2;

    // Below this share rounding hides which color it is a share of; where another is near, it isn't moved.
    private const double Faint = 0.06;

    private void Mix()
    {
        var near = band.Spread(mark => (mark & Seed) != 0, reach);
        Parallel.For(0, height, y =>
        {
            for (int x = 0, i = y * width; x < width; x++, i++)
            {
                if ((marks[i] & (Seed | Like)) == (Seed | Like))
                {
                    shares[i] = (marks[i] & Solid) != 0 || noise > 0 ? (byte)255 : Refined(x, y);
                }
                else if (near[i] && (marks[i] & (Seed | Thick)) == 0 && (pixels[i].A > FaintestAlpha || (marks[i] & Like) != 0))
                {
                    shares[i] = Byte(Share(x, y));
                }
                else if ((marks[i] & Seed) == 0)
                {
                    shares[i] = 0;
                }
            }
        });
    }

    // The last mixes before the full color look like it already: 98% of it beside another color.
    private byte Refined(int x, int y)
    {
        if (pixels[(y * width) + x] == exact)
        {
            return 255;
        }

        double share = Share(x, y, ofLike: true);
        return share > 0.02 ? Byte(share) : (byte)255;
    }

    private double Share(int x, int y, bool ofLike = false)
    {
        var around = new Surroundings(stackalloc Premultiplied[MostColors], stackalloc int[MostColors], stackalloc bool[MostColors]);
        Gather(x, y, ref around);
        Span<Premultiplied> others = around.Others;
        Span<int> distances = around.Distances;
        int nearest = around.Nearest, count;
        var here = Premultiplied.Of(pixels[(y * width) + x]);
        var full = around.Solid > 0 ? (1.0 / around.Solid) * around.Sum : color;
        if (ofLike && (here - full).Largest <= 1)
        {
            return 1;
        }

        count = WithoutMixes(full, others[..around.Count], distances, around.Thick);
        double share = OfTwo(here, full, others[..count], distances, out double off);
        if (share < 0)
        {
            share = OfThree(here, full, others[..count], distances);
        }

        if (share >= 0 ? IsOthers(here, others[..count], distances, nearest, share < Faint ? off + 0.5 : off) : ofLike)
        {
            return 0;
        }

        for (int k = 0; k < count && share < 0 && distances[k] < nearest; k++)
        {
            if (OfUneven(here, others[k], x, y) > 0)
            {
                return 0;
            }
        }

        if (share < 0)
        {
            // A gradient's own steps look like faint mixes of any color that lies on its way.
            share = OfUneven(here, full, x, y);
            share = share < Faint ? 0 : share;
        }

        return ShareOfColor(share, x, y, full);
    }

    // Solid colors around a pixel, each once, with their squared distances, and the sum of what is of the color itself.
    private ref struct Surroundings(Span<Premultiplied> others, Span<int> distances, Span<bool> thick)
    {
        public readonly Span<Premultiplied> Others = others;
        public readonly Span<int> Distances = distances;
        public readonly Span<bool> Thick = thick;
        public int Count, Nearest, Solid;
        public Premultiplied Sum;
    }

    private void Gather(int x, int y, ref Surroundings around)
    {
        Span<Premultiplied> others = around.Others;
        Span<int> distances = around.Distances;
        Span<bool> thick = around.Thick;
        int count = 0, nearest = int.MaxValue, solid = 0;
        var sum = default(Premultiplied);
        foreach (var (dx, dy, squared) in window)
        {
            if (!IsInside(x + dx, y + dy))
            {
                continue;
            }

            int i = ((y + dy) * width) + x + dx;
            if ((marks[i] & Seed) != 0)
            {
                nearest = Math.Min(nearest, squared);
                if ((marks[i] & (Like | Solid)) == (Like | Solid))
                {
                    sum += Premultiplied.Of(pixels[i]);
                    solid++;
                }
            }
            else if ((marks[i] & (Like | Solid)) == Solid && count < MostColors)
            {
                var other = Premultiplied.Of(pixels[i]);
                bool known = false;
                for (int k = 0; k < count && !known; k++)
                {
                    known = (others[k] - other).Largest <= noise;
                    thick[k] |= known && (marks[i] & Thick) != 0;
                }

                if (!known)
                {
                    others[count] = other;
                    thick[count] = (marks[i] & Thick) != 0;
                    distances[count++] = squared;
                }
            }
        }

        (around.Count, around.Nearest, around.Solid, around.Sum) = (count, nearest, solid, sum);
    }

    // A JPEG keeps color at half the resolution of lightness, so its edges leave the line, by more where more changes.
    private bool Fits(double off, Premultiplied one, Premultiplied other) =>
        off <= tolerance || (noise > 0 && off <= tolerance + (0.2 * (one - other).Largest));

    // Leaves out solid colors that are mixes of the color and a thick one themselves.
    private int WithoutMixes(Premultiplied full, Span<Premultiplied> others, Span<int> distances, Span<bool> thick)
    {
        int kept = 0;
        for (int k = 0; k < others.Length; k++)
        {
            bool mix = false;
            for (int j = 0; j < others.Length && !thick[k] && !mix; j++)
            {
                mix = thick[j] && others[k].Between(full, others[j]) is { Share: > 0.02 and < 0.98 } fit && fit.Off <= tolerance;
            }

            if (!mix)
            {
                (others[kept], distances[kept], thick[kept]) = (others[k], distances[k], thick[k]);
                kept++;
            }
        }

        return kept;
    }

    // The color and the solid one that explains the pixel best; a px of distance counts as much as a level. -1 for none.
    private double OfTwo(Premultiplied here, Premultiplied full, ReadOnlySpan<Premultiplied> others, ReadOnlySpan<int> distances, out double off)
    {
        double share = -1, best = double.PositiveInfinity, most = noise > 0 ? 1.5 : 1.05;
        off = double.PositiveInfinity;
        for (int k = 0; k < others.Length; k++)
        {
            var fit = here.Between(full, others[k]);
            double badness = fit.Off + Math.Sqrt(distances[k]);
            if (Fits(fit.Off, full, others[k]) && fit.Share >= -0.02 && fit.Share <= most && badness < best)
            {
                (share, off, best) = (Math.Clamp(fit.Share, 0, 1), fit.Off, badness);
            }
        }

        return share;
    }

    // Where three shapes meet, within 2 px.
    private double OfThree(Premultiplied here, Premultiplied full, ReadOnlySpan<Premultiplied> others, ReadOnlySpan<int> distances)
    {
        double share = -1, best = tolerance;
        for (int k = 0; k < others.Length && distances[k] <= 5; k++)
        {
            for (int j = 0; j < k; j++)
            {
                var fit = here.Between(full, others[k], others[j]);
                if (fit.Off <= best && fit.First is >= 0.02 and <= 1 && fit.Second is >= 0.02 and <= 1 && fit.First + fit.Second <= 0.98)
                {
                    (share, best) = (fit.First, fit.Off);
                }
            }
        }

        return share;
    }

    // Two other colors explain the pixel: nearer ones at all, others within 2 px better than the color does.
    private bool IsOthers(Premultiplied here, ReadOnlySpan<Premultiplied> others, ReadOnlySpan<int> distances, int nearest, double off)
    {
        for (int k = 0; k < others.Length && distances[k] <= Math.Max(nearest, 5); k++)
        {
            for (int j = 0; j < k; j++)
            {
                var fit = here.Between(others[k], others[j]);
                if (fit.Off <= tolerance && fit.Share is > 0.02 and < 0.98 && (distances[k] < nearest || fit.Off < off))
                {
                    return true;
                }
            }
        }

        return false;
    }

    // Between strokes the ground never gets solid: then the pixel on the line that is furthest from the color stands for it.
    private double OfUneven(Premultiplied here, Premultiplied full, int x, int y)
    {
        double share = 0, furthest = 0;
        foreach (var (dx, dy, _) in window)
        {
            int u = x + dx, v = y + dy;
            if (!IsInside(u, v) || (marks[(v * width) + u] & (Seed | Like)) != 0)
            {
                continue;
            }

            var other = Premultiplied.Of(pixels[(v * width) + u]);
            var fit = here.Between(full, other);
            var line = full - other;
            if (Fits(fit.Off, full, other) && fit.Share is > 0.02 and < 0.98 && line.Dot(line) > furthest)
            {
                (share, furthest) = (fit.Share, line.Dot(line));
            }
        }

        return share;
    }

    // Of what the pixel's own alpha covers: at an edge to transparency all of it is the color.
    private double ShareOfColor(double share, int x, int y, Premultiplied full)
    {
        var here = pixels[(y * width) + x];
        return here.A == 0 ? 0 : Math.Clamp(share * full.A / here.A, 0, 1);
    }

    private static byte Byte(double share) => (byte)Math.Round(Math.Round(255 * Math.Clamp(share, 0, 1), 6), MidpointRounding.AwayFromZero);

    // A mix counts where it touches a seed, or another mix with at least about its share.
    private byte[] Grown()
    {
        const int Rise = 20;
        var grown = new byte[pixels.Length];
        Parallel.For(0, pixels.Length / 4096 + 1, block =>
        {
            for (int i = block * 4096; i < Math.Min(pixels.Length, (block + 1) * 4096); i++)
            {
                grown[i] = (marks[i] & Seed) != 0 ? shares[i] : (byte)0;
            }
        });
        for (int ring = 0; ring < reach; ring++)
        {
            var next = (byte[])grown.Clone();
            Parallel.For(0, height, y =>
            {
                for (int x = 0, i = y * width; x < width; x++, i++)
                {
                    if (grown[i] != 0 || shares[i] == 0)
                    {
                        continue;
                    }

                    for (int v = Math.Max(0, y - 1); v <= Math.Min(height - 1, y + 1) && next[i] == 0; v++)
                    {
                        for (int u = Math.Max(0, x - 1); u <= Math.Min(width - 1, x + 1); u++)
                        {
                            int j = (v * width) + u;
                            if (grown[j] != 0 && ((marks[j] & Seed) != 0 || grown[j] + Rise >= shares[i]))
                            {
                                next[i] = shares[i];
                                break;
                            }
                        }
                    }
                }
            });
            grown = next;
        }

        return grown;
    }
}
