namespace Recipes.Imaging;

/// <summary>Ground that no guardrail counts as lost: what paper leaves of itself around art and within.</summary>
internal static class PaperGround
{
    /// <summary>
    /// Ground as paper leaves it: what a 4-connected walk from the border reaches through transparent pixels and pixels near the
    /// paper's color. Whites that an earlier step made printable are art, and so is pure white on colored paper: the walk doesn't pass them.
    /// </summary>
    /// <param name="art">The art.</param>
    /// <param name="paper">The paper's color; its alpha is ignored.</param>
    /// <param name="near">Levels by which each channel may differ from the paper's, 0 to 255.</param>
    /// <param name="rules">What stays bare.</param>
    public static Region Of(Artwork art, Rgba8 paper, int near, InkRules rules)
    {
        var flat = art.Flat;
        var passable = new Region(Find.Mask(flat, LevelTest.Around(paper, near)), flat);
        if (TileSummary.Of(flat).Transparent > 0)
        {
            passable = passable.Union(Find.Transparent(flat));
        }

        if (Ground.IsColored(paper))
        {
            passable = passable.Except(Find.PureWhite(flat));
        }

        if (art.PrintedWhite(rules) is { } printed)
        {
            passable = passable.Except(Find.Covered(printed));
        }

        return passable.OnBorder();
    }

    /// <summary>
    /// Ground that is no paper around the art, and told from art all the same: checkers, a sheet behind a cut-out, old paper around one, what is of
    /// paper's color at the edge of a full frame, and paper that isn't white where art surrounds it. Null where there is none.
    /// </summary>
    /// <param name="art">The art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="pixelsPerInch">The resolution that it prints at.</param>
    /// <param name="most">Whether to look for old paper and for a frame's edge too.</param>
    public static Region? Marked(Artwork art, InkRules rules, double pixelsPerInch, bool most)
    {
        var (flat, ground) = (art.Flat, art.Ground);
        if (ground.IsCutOut)
        {
            return WhiteSheet.In(flat) is { } sheet ? sheet.Of(Of(art, Rgba8.White, InkLoss.NearPaper, rules))
                : most ? Rims.OldPaper(art, rules, pixelsPerInch) : null;
        }

        if (Find.Checkers(flat, ground.Edge) is { } checkers)
        {
            var tolerance = new PaperTolerance(InkLoss.NearPaper, InkLoss.NearPaper, 0);
            return Find.Background(flat, ground with { Kind = ArtKind.OnPaper }, art.PrintedWhite(rules), tolerance, checkers).Reached;
        }

        if (ground.HasPaper)
        {
            return ground.Paper == Rgba8.White ? null : PaperInside(art, rules, pixelsPerInch);
        }

        return !most || Ground.PaperAt(flat, ground.Edge) is not { } paper ? null
            : Of(art, paper, InkLoss.NearPaper, rules);
    }

    // Paper around the art and wherever art surrounds it, as clean-background tells it.
    private static Region PaperInside(Artwork art, InkRules rules, double pixelsPerInch)
    {
        var (flat, ground) = (art.Flat, art.Ground);
        var around = Of(art, ground.Paper, InkLoss.NearPaper, rules);
        var walk = Find.Background(flat, ground, art.PrintedWhite(rules), PaperTolerance.At(pixelsPerInch));
        return walk.Enclosed is { } inside ? around.Union(inside) : around;
    }

    /// <summary>How many pixels print that the walk of <see cref="Of"/> may pass: no more can be ground.</summary>
    public static long CountPassable(Plane<Rgba8> art, Rgba8 paper, int near, InkRules rules)
    {
        if (!rules.TransparentBare)
        {
            // The walk passes clear pixels of any color, and here they print.
            return InkCount.Of(art, rules).Prints;
        }

        var around = LevelTest.Around(paper, near);
        var test = around with { Least = around.Least.WithAlpha(1) };
        long count = 0;
        Parallel.For(0, art.Tiles.Length, () => new byte[TileGrid.Side * TileGrid.Side], (i, _, scratch) =>
        {
            var tile = art.Tiles[i];
            var ink = InkCount.Of(TileSummary.Of(tile), rules);
            if (ink.Prints > 0)
            {
                var mask = scratch.AsSpan(0, tile.Count);
                if (tile.IsOneValue)
                {
                    mask.Fill(test.Holds(tile.Value) ? (byte)255 : (byte)0);
                }
                else
                {
                    test.Mask(tile.Samples, mask);
                }

                Interlocked.Add(ref count,
                    tile.Count - mask.Count((byte)0) - (test.Holds(Rgba8.White) ? ink.BareWhite : 0) - (test.Holds(Rgba8.Black) ? ink.BareBlack : 0));
            }

            return scratch;
        }, _ => { });
        return count;
    }
}
