namespace Recipes.Imaging;

public static partial class Find
{
    /// <summary>The code of near-white background, and of pale color that runs out into it.</summary>
    public const string NearWhiteBackground = "near-white-background";

    // Half the px that the rim of a pale shape is wide at most, soft and compressed. Ours.
    private const double Widest = 4;

    // Levels that four fifths of a fade spread over at least: noise of a scan is less. Ours.
    private const int LeastSpread = 8;

    // The whole parts of pale color of which more than crumbs lie outside of the ring.
    private static Region RunningOn(Region pale, Region ring)
    {
        var beyond = pale.Except(ring);
        if (beyond.IsEmpty)
        {
            return beyond;
        }

        var parts = ConnectedRegions.Of(pale.Coverage);
        var counts = parts.Counts(beyond.Coverage);
        return pale.With(parts.Keep(pale.Coverage, [.. counts.Select((count, number) => number > 0 && count >= FewPx)]));
    }

    // Of pale color that runs on, what is wide and no flat drawing, with its ends: a fade runs on to the paper's own color, so what is
    // about paper and hangs together with it belongs to it, over as much as noise reaches, and wherever noise of the art doesn't: the sky of a
    // photograph. On paper that is never its very color, a scan, there is no telling.
    private static Region Fades(Region pale, Rgba8 paper, PaperShades shades, double ringPx, Region? noise)
    {
        var wide = pale.Choke(Widest);
        if (wide.IsEmpty)
        {
            return wide;
        }

        var all = ConnectedRegions.Of(pale.Coverage);
        var fades = pale.With(all.Keep(pale.Coverage, Graded(all, pale.FoundIn, paper, all.Touching(wide.Coverage))));
        var about = shades.Of(PaperShade.Paper);
        if (fades.IsEmpty || about.Count > shades.Of(PaperShade.Exact, PaperShade.Clear).Count)
        {
            return fades;
        }

        var ends = about.Intersect(fades.Spread(Math.Max(ringPx, 2 * Block), where: about)).Union(fades);
        ends = noise is null ? ends : ends.Union(about.Except(noise));
        var parts = ConnectedRegions.Of(ends.Coverage);
        return ends.With(parts.Keep(ends.Coverage, parts.Touching(fades.Coverage)));
    }

    // Of the wanted parts those whose distances from the paper spread; in drawing, noisy or not, they are about one.
    private static bool[] Graded(ConnectedRegions parts, Plane<Rgba8> art, Rgba8 paper, bool[] wanted)
    {
        var levels = new Dictionary<int, int[]>();
        parts.Visit(art, (pixels, number) =>
        {
            if (wanted[number])
            {
                if (!levels.TryGetValue(number, out var counts))
                {
                    levels[number] = counts = new int[256];
                }

                foreach (var pixel in pixels)
                {
                    counts[pixel.WithAlpha(255).LargestDifference(paper)]++;
                }
            }
        });
        return [.. wanted.Select((want, number) => want && Level(levels[number], 0.9) - Level(levels[number], 0.1) >= LeastSpread)];

        static int Level(int[] counts, double share)
        {
            long wanted = (long)Math.Ceiling(share * counts.Sum(count => (long)count)), seen = 0;
            int level = 0;
            while ((seen += counts[level]) < wanted)
            {
                level++;
            }

            return level;
        }
    }
}
