namespace Recipes.Imaging;

/// <summary>
/// Whether the edge of art holds some of an old background, and how deep. Told from all of the edge together: one pale pixel may be
/// drawn, but an edge that everywhere is paler than the art right behind it, by shares that come and go, was mixed.
/// </summary>
/// <param name="Cut">How many px of opaque mixes there are between the outside and the art; 0 where there are none.</param>
/// <param name="IsMatte">True where partly transparent pixels hold as much of the background as they are transparent.</param>
/// <param name="Reach">How deep mixes can lie, px from the outside.</param>
/// <param name="Deepest">How deep was looked, px.</param>
internal readonly record struct RimEvidence(int Cut, bool IsMatte, int Reach, int Deepest)
{
    // Enough of an edge to judge by. Art with more is sampled.
    private const int Most = 8000, Fewest = 12;

    // Ours, from art whose truth is known: the mean share of background that makes an edge mixed, how much more than the art's own
    // shading, how many alike colors make it drawn, and from how many
    // levels on those aren't the background's own.
    private const double LeastShare = 0.06, MoreThanShading = 3, Alike = 0.6;
    private const int AlikeLevels = 6, Tinted = 24, Colored = 20;

    public static RimEvidence Of(Region outside, ReadOnlySpan<int> edge, Rgba8 background, int deepest)
    {
        int every = Math.Max(1, edge.Length / Most), width = outside.FoundIn.Width;
        var places = new List<int>();
        for (int i = 0; i < edge.Length; i += every)
        {
            places.Add(edge[i]);
        }

        var read = new RimProfile?[places.Count];
        Parallel.For(0, read.Length, i => read[i] = RimProfile.At(outside, background, places[i] % width, places[i] / width, (3 * deepest) + 2));
        RimProfile[] profiles = [.. read.OfType<RimProfile>().Where(profile => profile.First >= 0 && profile.First <= deepest + 1)];
        if (profiles.Length < Fewest)
        {
            return default;
        }

        int cut = CutOf(profiles, background, deepest);
        bool matte = IsMatteOf(profiles, Math.Max(2, cut));
        int[] ends = [.. profiles.Select(profile => EndOf(profile, Math.Max(1, cut))).Order()];
        int reach = ends[ends.Length * 3 / 4] + 1;
        // At corners a fade is deeper.
        return new RimEvidence(cut, matte, Math.Min(deepest + 1, Math.Max(2, reach >= 5 ? reach * 3 / 2 : reach)), deepest);
    }

    // Behind which pixel nothing is mixed.
    private static int EndOf(RimProfile profile, int scale)
    {
        int core = profile.Core(profile.First, (2 * scale) + 1), end = core;
        while (end > profile.First && (profile.Share(end - 1, core) ?? 0) < 0.08)
        {
            end--;
        }

        return end;
    }

    // The smallest scale at which opaque pixels at the edge are mixed, and behind which the art doesn't go on in the same way.
    private static int CutOf(RimProfile[] profiles, Rgba8 background, int deepest)
    {
        for (int scale = 2; ; scale = Math.Min(scale * 2, deepest))
        {
            if (IsCut(profiles, background, scale))
            {
                return scale;
            }

            if (scale >= deepest)
            {
                return 0;
            }
        }
    }

    private static bool IsCut(RimProfile[] profiles, Rgba8 background, int scale)
    {
        var shares = new List<Mix>();
        double behind = 0, ascent = 0, level = 0;
        int controls = 0, pale = 0;
        foreach (var profile in profiles)
        {
            int start = profile.Start, core = profile.Core(start, scale);
            if (profile.Share(start, core) is not { } share)
            {
                pale++;
                continue;
            }

            shares.Add(new Mix(share, profile.Pixels[start], Rise(1), Rise(Math.Max(2, scale / 4))));
            double Rise(int steps) => (profile.Far(Math.Min(profile.Count - 1, start + steps)) - profile.Far(start)) / profile.Far(core);
            int next = start + scale + 1;
            if (profile.Count > next + (scale / 2))
            {
                behind += profile.Share(next, profile.Core(next, scale)) ?? 0;
                ascent += profile.Far(next + (scale / 2)) - profile.Far(next);
                level += profile.Far(next);
                controls++;
            }
        }

        // Where most of the edge has no ink behind it, that edge is pale art.
        if (shares.Count < Fewest || pale > 2 * shares.Count)
        {
            return false;
        }

        double mean = Math.Round(shares.Average(one => one.Share), 6);
        if (mean < LeastShare || (controls > 0 && mean < Math.Round((MoreThanShading * behind / controls) + 0.02, 6)))
        {
            return false;
        }

        // What goes on further in is shading, or a rim that is deeper.
        return !(controls * 2 > shares.Count && ascent > 0.05 * level) && !IsDrawn(shares, background, scale);
    }

    // An edge of one color was drawn in it, unless that is nearly the background's and fades into the art, or it is no wider than the
    // mix of a hard edge is.
    private static bool IsDrawn(List<Mix> shares, Rgba8 background, int scale)
    {
        Mix[] mixed = [.. shares.Where(one => one.Share > 0.08)];
        if (mixed.Length == 0)
        {
            return true;
        }

        Rgba8[] colors = [.. mixed.Select(one => one.Color)];
        var middle = new Rgba8(Median(colors, pixel => pixel.R), Median(colors, pixel => pixel.G), Median(colors, pixel => pixel.B));
        bool hard = scale <= 2 && mixed.Count(one => one.Color.A >= RimProfile.Opaque) * 10 >= mixed.Length * 9
            && Math.Round(mixed.Average(one => one.Step), 6) >= 0.2;
        // A drawing may end in a few colors, cream and white for instance; mixes are of many.
        Rgba8[] colored = [.. colors.Where(pixel => pixel.WithAlpha(255).LargestDifference(background) >= Colored)];
        int common = colored.GroupBy(pixel => (pixel.R / 8, pixel.G / 8, pixel.B / 8)).Select(group => group.Count()).OrderDescending().Take(2).Sum();
        if (!hard && colored.Length * 4 >= colors.Length && common * 5 >= colored.Length * 4)
        {
            return true;
        }

        bool alike = !hard && colors.Count(pixel => pixel.WithAlpha(255).LargestDifference(middle) <= AlikeLevels) > Alike * colors.Length;
        return alike && (middle.LargestDifference(background) > Tinted || Math.Round(mixed.Average(one => one.Rise), 6) < 0.08);
    }

    // What was seen where the art begins to be opaque: its share of background, its color, and which
    // part of the way to the art a px further in has gone, and a few px.
    private readonly record struct Mix(double Share, Rgba8 Color, double Step, double Rise);

    // Thin, half and nearly opaque pixels must each say so: the faintest ones of any dark shadow look like black at the edge.
    private static bool IsMatteOf(RimProfile[] profiles, int scale)
    {
        Span<long> mixed = stackalloc long[3], clean = stackalloc long[3];
        foreach (var profile in profiles)
        {
            int core = profile.Core(profile.First, scale);
            for (int t = 0; t < profile.First; t++)
            {
                int alpha = profile.Pixels[t].A;
                if (alpha >= 13 && profile.Matte(t, core) is { } matte)
                {
                    (matte ? mixed : clean)[alpha * 3 / 256]++;
                }
            }
        }

        int agreed = 0;
        for (int i = 0; i < mixed.Length; i++)
        {
            if (mixed[i] <= 2 * clean[i] && clean[i] > 0)
            {
                return false;
            }

            agreed += mixed[i] >= 3 ? 1 : 0;
        }

        return agreed >= 2 || (agreed == 1 && mixed[0] == 0);
    }

    private static byte Median(Rgba8[] pixels, Func<Rgba8, byte> channel)
    {
        byte[] values = [.. pixels.Select(channel)];
        Array.Sort(values);
        return values[values.Length / 2];
    }
}
