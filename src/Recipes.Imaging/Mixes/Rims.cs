namespace Recipes.Imaging;

/// <summary>What old backgrounds left around art.</summary>
public static class Rims
{
    // The share of an edge that is of one color where that is an old background's, and how many mm art on paper is blurred. Ours.
    private const double OfOneColor = 0.3, Blurred = 0.7;

    /// <summary>
    /// What is left of an old background around the art, as deep as it is: its own color in a strip along the figures, and mixes
    /// with the art behind. Told from all of the edge together, so that an edge that is clean, drawn or shaded stays as it is.
    /// </summary>
    /// <param name="outside">What is outside, from <see cref="Find.Outside(Plane{Rgba8}, Rgba8, Ground?, Region?)"/>.</param>
    /// <param name="background">The old background's color; its alpha is ignored.</param>
    /// <param name="search">How deep to look.</param>
    /// <exception cref="ArgumentOutOfRangeException">The depth is negative or not a number.</exception>
    public static Rim Of(Region outside, Rgba8 background, RimSearch search)
    {
        ArgumentNullException.ThrowIfNull(outside);
        ArgumentNullException.ThrowIfNull(search);
        background = background.WithAlpha(255);
        double most = Find.Limit(search.Deepest, nameof(search));
        var art = outside.FoundIn;
        var none = new Region(Plane<byte>.OneValue(art.Width, art.Height, 0), art);
        var edge = Contour.Of(outside.Coverage);
        if (most < 1 || edge.Length == 0)
        {
            return new Rim(background, none, none, 0);
        }

        // What paper lies around art on paper is for cleaning to find.
        var band = outside.Ground.HasPaper ? null : RimPaper.Of(outside, edge, background, search);
        bool taken = band is not null && (search.TakeBand ?? !band.IsDrawn);
        if (taken && band!.Holes?.Value is { } holes)
        {
            band = band with { Region = band.Region.Union(holes), IsDoubtful = true };
        }

        var paper = taken ? RimPaper.WithRest(outside, band!.Region, edge) : none;
        if (taken)
        {
            outside = outside.Union(paper);
            edge = Contour.Of(outside.Coverage);
        }
        else if (band is not null)
        {
            // A band that stays is the art's own edge, as clean as it is.
            edge = RimPaper.Beside(outside, band.Region, edge);
        }

        // Paper that lies around art fades into it no further than a lens or a file blurs it; what goes on is a wash or a glow.
        int deepest = (int)Math.Min(Math.Ceiling(outside.Ground.HasPaper ? Math.Min(most, Blurred * search.Millimeter) : most), 200);
        var evidence = RimEvidence.Of(outside, edge, background, deepest);
        if (taken && evidence.Cut == 0)
        {
            // Where the paper ends the art is mixed with it, if only by a px.
            evidence = evidence with { Cut = Math.Min(2, deepest), Reach = Math.Max(evidence.Reach, Math.Min(2, deepest)) };
        }

        if (evidence.Cut == 0 && !evidence.IsMatte)
        {
            return new Rim(background, none, none, 0) { Band = band };
        }

        var (mixed, rest, depth) = new RimMix(outside, background, evidence).Of(edge);
        if (outside.Ground.HasPaper)
        {
            var cuts = CutThrough(outside, background).Where(cut => !mixed.Contains(cut.At % art.Width, cut.At / art.Width));
            mixed = mixed.Union(SparseRegion.Of(art, [.. cuts]));
        }

        return new Rim(background, paper.Union(rest), mixed, (taken ? band!.Width : 0) + depth) { Band = band };
    }

    // Where the picture's edge cuts art off within its own edge, mixes lie along it and no paper does: paler than what lies 3 px further in, by an
    // edge's step and on its line.
    private static IEnumerable<(int At, byte Coverage)> CutThrough(Region outside, Rgba8 background)
    {
        const int Inside = 3;
        var art = outside.FoundIn;
        var old = Premultiplied.Of(background);
        var sides = Enumerable.Range(0, art.Width).SelectMany(x => new[] { (x, 0, x, Inside), (x, art.Height - 1, x, art.Height - 1 - Inside) })
            .Concat(Enumerable.Range(1, Math.Max(0, art.Height - 2))
                .SelectMany(y => new[] { (0, y, Inside, y), (art.Width - 1, y, art.Width - 1 - Inside, y) }));
        foreach (var (x, y, u, v) in sides)
        {
            if (art.Width <= 2 * Inside || art.Height <= 2 * Inside || outside.Contains(x, y) || outside.Contains(u, v))
            {
                continue;
            }

            var (seen, behind) = (Premultiplied.Of(art[x, y].WithAlpha(255)), Premultiplied.Of(art[u, v].WithAlpha(255)));
            var fit = seen.Between(behind, old);
            double far = Math.Sqrt((behind - old).Dot(behind - old));
            if (art[x, y].A >= RimProfile.Opaque && art[u, v].A >= RimProfile.Opaque && fit.Off <= 10 + (0.1 * far)
                && Math.Round((1 - fit.Share) * far, 6) >= RimProfile.LeastContrast)
            {
                yield return ((y * art.Width) + x, (byte)Math.Clamp(Math.Round(fit.Share * 255, MidpointRounding.AwayFromZero), 1, 254));
            }
        }
    }

    /// <summary>
    /// The rim of another background than one that was looked for: black, as files leave whose colors were multiplied by their
    /// alpha, or what pale color most of the edge has, or the clear pixels beside it. Null where there is none.
    /// </summary>
    /// <param name="outside">What is outside.</param>
    /// <param name="background">The background that was looked for.</param>
    /// <param name="search">How deep to look.</param>
    public static Rim? Other(Region outside, Rgba8 background, RimSearch search)
    {
        ArgumentNullException.ThrowIfNull(outside);
        ArgumentNullException.ThrowIfNull(search);
        if (!outside.Ground.IsCutOut)
        {
            return null;
        }

        var edge = Contour.Of(outside.Coverage);
        int deepest = (int)Math.Min(Math.Ceiling(Find.Limit(search.Deepest, nameof(search))), 200);
        foreach (var other in Others(outside, edge, background))
        {
            // Bands of other colors are drawn more often than not, and so are dark outlines.
            bool pale = other != Rgba8.Black;
            bool paper = pale && RimPaper.Of(outside, edge, other, search) is { IsDrawn: false, EndsSharply: true };
            if (paper || RimEvidence.Of(outside, edge, other, deepest).IsMatte)
            {
                var rim = Of(outside, other, search with { TakeBand = paper });
                if (!rim.IsEmpty)
                {
                    return rim with { IsMultiplied = !pale };
                }
            }
        }

        return null;
    }

    /// <summary>The old paper that was left around a cut-out, white or of another color, but for bands that look drawn.</summary>
    internal static Region OldPaper(Artwork art, InkRules rules, double pixelsPerInch)
    {
        var search = RimSearch.At(pixelsPerInch);
        var outside = Find.Outside(art.Flat, Rgba8.White, art.Ground, art.PrintedWhite(rules));
        var white = Of(outside, Rgba8.White, search);
        return white.Paper.IsEmpty && Other(outside, Rgba8.White, search) is { } other ? other.Paper : white.Paper;
    }

    private static IEnumerable<Rgba8> Others(Region outside, int[] edge, Rgba8 background)
    {
        var art = outside.FoundIn;
        var pale = new Dictionary<int, int>();
        foreach (int at in edge)
        {
            var pixel = art[at % art.Width, at / art.Width];
            if (pixel.A >= 128)
            {
                int bin = (pixel.R >> 3 << 10) | (pixel.G >> 3 << 5) | (pixel.B >> 3);
                pale[bin] = pale.GetValueOrDefault(bin) + 1;
            }
        }

        List<Rgba8> others = [Rgba8.Black];
        if (pale.Count > 0)
        {
            var (bin, count) = pale.OrderByDescending(pair => pair.Value).ThenBy(pair => pair.Key).First();
            var middle = new Rgba8(Center(bin >> 10), Center(bin >> 5), Center(bin));
            var lab = LabSpace.D50.Of(middle);
            if (count >= OfOneColor * edge.Length && Math.Round(lab.L, 6) >= 50 && Math.Round(lab.Chroma, 6) <= 25)
            {
                others.Add(middle);
            }
        }

        return others.Where(other => other.LargestDifference(background.WithAlpha(255)) > 12);

        static byte Center(int bin) => (byte)(((bin & 31) << 3) + 4);
    }

    /// <summary>
    /// What is left of the paper around holes that stay bare: nearly white in them, and its mixes with the art at their edge. Empty in a cut-out.
    /// </summary>
    /// <param name="bare">Some of each hole.</param>
    /// <param name="printing">White that prints; a hole with some of it stays as it is.</param>
    /// <param name="near">The levels with which they were found.</param>
    /// <param name="search">How deep to look.</param>
    public static Rim OfHoles(Region bare, Region printing, int near, RimSearch search)
    {
        ArgumentNullException.ThrowIfNull(bare);
        ArgumentNullException.ThrowIfNull(printing);
        if (bare.IsEmpty || bare.Ground.IsCutOut)
        {
            var none = bare.Except(bare);
            return new Rim(Rgba8.White, none, none, 0);
        }

        var passable = bare.Passable(near);
        var parts = ConnectedRegions.Of(passable.Coverage);
        bool[] prints = parts.Touching(printing.Coverage);
        var holes = passable.With(parts.Keep(passable.Coverage, [.. parts.Touching(bare.Coverage).Select((isBare, number) => isBare && !prints[number])]));
        var rim = Of(holes, Rgba8.White, search);
        if (rim.IsEmpty)
        {
            // What lies on paper is mixed with it by a px or two, even where its edges don't tell: those of thin outlines around white.
            var (mixed, rest, depth) = new RimMix(holes, Rgba8.White, new RimEvidence(2, false, 3, 3)).Of(Contour.Of(holes.Coverage));
            rim = new Rim(Rgba8.White, rest, mixed, depth);
        }

        return rim with { Paper = rim.Paper.Union(holes.Except(Find.PureWhite(bare.FoundIn)).Except(Find.Transparent(bare.FoundIn))) };
    }
}
