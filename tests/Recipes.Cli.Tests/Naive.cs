using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>
/// The contract's definitions done the plain way, on arrays and with queues: nothing of the program's regions, tiles, layers
/// or ink rules is used. <c>Rgba8</c> serves only as four bytes.
/// </summary>
internal static class Naive
{
    /// <summary>What a 4-connected walk from the border reaches.</summary>
    public static bool[] Outside(int width, int height, Rgba8[] art, int near = 24)
    {
        // A cut-out: clear pixels that reach the edge make at least 0.5% of the area, or two corners are clear.
        int[] corners = [0, width - 1, (height - 1) * width, (height * width) - 1];
        bool cutOut = corners.Count(i => art[i].A == 0) >= 2 || Walk(p => p.A == 0).Count(reached => reached) >= 0.005 * art.Length;
        return Walk(p => p.A == 0 || (!cutOut && p.R >= 255 - near && p.G >= 255 - near && p.B >= 255 - near));

        bool[] Walk(Func<Rgba8, bool> passes)
        {
            var outside = new bool[art.Length];
            var queue = new Queue<int>();
            for (int i = 0; i < art.Length; i++)
            {
                if (OnBorder(i, width, height) && passes(art[i]))
                {
                    outside[i] = true;
                    queue.Enqueue(i);
                }
            }

            while (queue.TryDequeue(out int at))
            {
                foreach (int next in Neighbors(at, width, height))
                {
                    if (!outside[next] && passes(art[next]))
                    {
                        outside[next] = true;
                        queue.Enqueue(next);
                    }
                }
            }

            return outside;
        }
    }

    /// <summary>Pure white: 255,255,255 with alpha above 0.</summary>
    public static bool[] White(Rgba8[] art) => [.. art.Select(p => p is { R: 255, G: 255, B: 255, A: > 0 })];

    /// <summary>Pure white that is not outside.</summary>
    public static bool[] Enclosed(int width, int height, Rgba8[] art, int near = 24)
    {
        var outside = Outside(width, height, art, near);
        return [.. White(art).Select((white, i) => white && !outside[i])];
    }

    /// <summary>4-connected islands, in reading order of their first pixel; the first has number 1.</summary>
    public static List<Island> Islands(int width, int height, bool[] mask)
    {
        var seen = new bool[mask.Length];
        var islands = new List<Island>();
        for (int i = 0; i < mask.Length; i++)
        {
            if (!mask[i] || seen[i])
            {
                continue;
            }

            seen[i] = true;
            var pixels = new List<int> { i };
            for (int at = 0; at < pixels.Count; at++)
            {
                foreach (int next in Neighbors(pixels[at], width, height))
                {
                    if (mask[next] && !seen[next])
                    {
                        seen[next] = true;
                        pixels.Add(next);
                    }
                }
            }

            islands.Add(new Island(islands.Count + 1, pixels, width));
        }

        return islands;
    }

    /// <summary>The art with the pixels of some islands at 254,254,254, alpha kept: what printable-whites promises.</summary>
    public static Rgba8[] Printable(Rgba8[] art, IEnumerable<Island> chosen)
    {
        var after = (Rgba8[])art.Clone();
        foreach (int i in chosen.SelectMany(island => island.Pixels))
        {
            after[i] = new Rgba8(254, 254, 254, art[i].A);
        }

        return after;
    }

    /// <summary>Counts the ink states in the order of the contract: transparent, bare white, bare black, prints.</summary>
    public static (long Prints, long White, long Black, long Transparent) Ink(Rgba8[] art, bool whiteBare = true, bool blackBare = false)
    {
        long prints = 0, white = 0, black = 0, transparent = 0;
        foreach (var p in art)
        {
            if (p.A == 0)
            {
                transparent++;
            }
            else if (whiteBare && p is { R: 255, G: 255, B: 255 })
            {
                white++;
            }
            else if (blackBare && p is { R: 0, G: 0, B: 0 })
            {
                black++;
            }
            else
            {
                prints++;
            }
        }

        return (prints, white, black, transparent);
    }

    /// <summary>Pixels that differ, transparent to transparent excepted, their box and the largest difference of a channel.</summary>
    public static (long Pixels, int[]? Box, int Delta) Difference(int width, Rgba8[] a, Rgba8[] b)
    {
        long pixels = 0;
        int left = int.MaxValue, top = int.MaxValue, right = -1, bottom = -1, delta = 0;
        for (int i = 0; i < a.Length; i++)
        {
            if (a[i] == b[i] || (a[i].A == 0 && b[i].A == 0))
            {
                continue;
            }

            pixels++;
            (left, top) = (Math.Min(left, i % width), Math.Min(top, i / width));
            (right, bottom) = (Math.Max(right, i % width), Math.Max(bottom, i / width));
            int[] steps = [Math.Abs(a[i].R - b[i].R), Math.Abs(a[i].G - b[i].G), Math.Abs(a[i].B - b[i].B), Math.Abs(a[i].A - b[i].A)];
            delta = Math.Max(delta, steps.Max());
        }

        return (pixels, pixels == 0 ? null : [left, top, right - left + 1, bottom - top + 1], delta);
    }

    private static bool OnBorder(int i, int width, int height) => i % width == 0 || i % width == width - 1 || i < width || i >= width * (height - 1);

    private static IEnumerable<int> Neighbors(int i, int width, int height)
    {
        int x = i % width, y = i / width;
        if (x > 0)
        {
            yield return i - 1;
        }

        if (x < width - 1)
        {
            yield return i + 1;
        }

        if (y > 0)
        {
            yield return i - width;
        }

        if (y < height - 1)
        {
            yield return i + width;
        }
    }
}

/// <summary>One island of a mask.</summary>
internal sealed record Island(int Number, List<int> Pixels, int Width)
{
    /// <summary>x, y, width, height.</summary>
    public int[] Box
    {
        get
        {
            int left = Pixels.Min(i => i % Width), right = Pixels.Max(i => i % Width), top = Pixels.Min(i => i / Width), bottom = Pixels.Max(i => i / Width);
            return [left, top, right - left + 1, bottom - top + 1];
        }
    }
}
