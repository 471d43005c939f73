using System.Buffers;
using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>How much of what printed no longer does, counted from pixels alone, whatever was declared.</summary>
/// <remarks>
/// Not counted is ground: what a walk from the border reaches of the paper's color (<see cref="PaperGround.Of"/>), or other ground that is told from art
/// (<see cref="PaperGround.Marked"/>), neither as lost nor as having printed. Near-black that becomes pure black where that stays
/// bare isn't lost either, though it printed. A pixel that was less than half opaque counts as neither: it printed as a speckle, and a shadow
/// that becomes dots keeps its tone. For the same reason other pixels count as much as they are opaque, and what of them goes is made up for by what
/// becomes opaque within the same tile.
/// </remarks>
/// <param name="Printed">Pixels that printed before, at least half opaque and each as much as it was, without ground.</param>
/// <param name="Lost">Those of them that stay bare now and count.</param>
/// <param name="Box">Around the lost ones; null where there are none.</param>
/// <param name="Large">The 4-connected parts of the lost ones that are larger than asked, the largest first.</param>
internal sealed record InkLoss(long Printed, long Lost, Box? Box, ImmutableArray<Island> Large)
{
    /// <summary>How far ground may lie from the paper's color, in levels of each channel: as far as clean-background takes it beside art.</summary>
    public const int NearPaper = 23;

    /// <summary>Up to which L* and chroma (Lab D50) black may drop: the limits of pure-black, 13 and 3, and the noise of a JPEG around them.</summary>
    public const double BlackLightness = 20, BlackChroma = 8;

    private const byte Half = 128;

    /// <summary>True where over a quarter is lost.</summary>
    public bool IsMost => Lost * 4 > Printed;

    /// <summary>Counts; null where neither over a quarter nor a large part is lost.</summary>
    /// <remarks>The ground is looked for only where it could decide, since that needs a walk over the whole art.</remarks>
    /// <param name="before">The art before.</param>
    /// <param name="after">The flattened art after, of the same size.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="known">What is known of the ground, if anything is.</param>
    /// <param name="large">From above how many px a connected part is told.</param>
    public static InkLoss? Between(Artwork before, Plane<Rgba8> after, InkRules rules, LossGround? known, double large)
    {
        var paper = known?.Paper;
        var was = before.Flat;
        long printed = InkCount.Of(was, rules).Prints;
        var test = new LossTest(rules, paper);
        // What tiles print less than before is lost for certain, and known without a look at pixels. Where that is much already, as on a
        // cleaned scan, they are looked at once, outside of the ground.
        long drawn = 0, pale = AtLeast(was, after, rules);
        if (pale <= large)
        {
            (drawn, pale) = Count(was, after, test);
        }

        long lost = drawn + pale;
        // What doesn't count as lost doesn't count as printed either, or a large glow would hide the loss of all that is solid.
        printed -= lost == 0 ? 0 : Clearness(was, rules);
        long near = lost == 0 || paper is null ? 0 : PaperGround.CountPassable(was, paper.Value, NearPaper, rules);
        bool few = lost <= large;
        if (few && lost * 4 <= printed - near)
        {
            return null;
        }

        var ground = near > 0 && (pale > 0 || lost * 4 > printed - near) ? PaperGround.Of(before, paper!.Value, NearPaper, rules)
            : known?.Marked;
        printed -= ground is null ? 0 : Printing(ground, rules);
        var region = new Region(Mask(was, after, test, ground), was);
        var parts = few || region.Count <= large ? null : ConnectedRegions.Of(region.Coverage);
        var loss = new InkLoss(printed, region.Count - MadeUp(region, after, rules), region.Bounds, parts is null ? [] :
            [.. Enumerable.Range(1, parts.Count).Where(number => parts.Size(number) > large).OrderByDescending(parts.Size).Select(number => parts[number])]);
        return loss.IsMost || loss.Large.Length > 0 ? loss : null;
    }

    // Of lost pixels what wasn't ink, since they were partly transparent, and what such pixels beside them gained as they became opaque.
    private static long MadeUp(Region lost, Plane<Rgba8> now, InkRules rules)
    {
        var was = lost.FoundIn;
        long levels = 0;
        Parallel.For(0, was.Tiles.Length, i =>
        {
            // What was opaque was all ink, and gains none.
            if (ReferenceEquals(was.Tiles[i], now.Tiles[i]) || TileSummary.Of(was.Tiles[i]).IsHard)
            {
                return;
            }

            var (before, after, covered) = (was.Tiles[i], now.Tiles[i], lost.Coverage.Tiles[i]);
            long clear = 0, ink = 0, gained = 0;
            for (int p = 0; p < before.Count; p++)
            {
                var pixel = before.IsOneValue ? before.Value : before.Samples[p];
                if (pixel.A is < Half or 255 || rules.StateOf(pixel) != InkState.Prints)
                {
                    continue;
                }

                bool isLost = (covered.IsOneValue ? covered.Value : covered.Samples[p]) != 0;
                var left = after.IsOneValue ? after.Value : after.Samples[p];
                clear += isLost ? 255 - pixel.A : 0;
                ink += isLost ? pixel.A : 0;
                gained += !isLost && left.A == 255 && rules.StateOf(left) == InkState.Prints ? 255 - pixel.A : 0;
            }

            Interlocked.Add(ref levels, clear + Math.Min(ink, gained));
        });
        return (levels + 254) / 255;
    }

    // How much of what prints doesn't count, in whole pixels: those that are less than half opaque, and of others what is clear of them.
    private static long Clearness(Plane<Rgba8> was, InkRules rules)
    {
        long levels = 0;
        Parallel.For(0, was.Tiles.Length, i => Interlocked.Add(ref levels, Clearness(was.Tiles[i], rules)));
        return (levels + 254) / 255;
    }

    private static long Clearness(Tile<Rgba8> tile, InkRules rules)
    {
        if (tile.IsOneValue)
        {
            return (long)Clearness(tile.Value, rules) * tile.Count;
        }

        if (TileSummary.Of(tile).Opaque == tile.Count)
        {
            return 0;
        }

        long levels = 0;
        foreach (var pixel in tile.Samples)
        {
            levels += pixel.A == 255 ? 0 : Clearness(pixel, rules);
        }

        return levels;
    }

    private static int Clearness(Rgba8 pixel, InkRules rules) => rules.StateOf(pixel) != InkState.Prints ? 0 : pixel.A < Half ? 255 : 255 - pixel.A;

    // Ink that a tile gained hides some of what it lost; all black that is bare there now may have dropped.
    private static long AtLeast(Plane<Rgba8> was, Plane<Rgba8> now, InkRules rules)
    {
        long lost = 0;
        Parallel.For(0, was.Tiles.Length, i =>
        {
            if (!ReferenceEquals(was.Tiles[i], now.Tiles[i]))
            {
                InkCount before = InkCount.Of(TileSummary.Of(was.Tiles[i]), rules), after = InkCount.Of(TileSummary.Of(now.Tiles[i]), rules);
                Interlocked.Add(ref lost, Math.Max(0, before.Prints - after.Prints - after.BareBlack));
            }
        });
        return lost;
    }

    // What is lost and no black that drops; apart by whether it may be ground.
    private static (long Drawn, long Pale) Count(Plane<Rgba8> was, Plane<Rgba8> now, LossTest test)
    {
        long drawn = 0, pale = 0;
        Parallel.For(0, was.Tiles.Length, i =>
        {
            if (!test.MayLose(was.Tiles[i], now.Tiles[i]))
            {
                return;
            }

            long far = 0, near = 0;
            foreach (var run in new ChangedRuns(was.Tiles[i], now.Tiles[i]))
            {
                if (test.Loses(run.Before, run.After))
                {
                    bool isNear = test.IsNearPaper(run.Before);
                    near += isNear ? run.Pixels : 0;
                    far += isNear ? 0 : run.Pixels;
                }
            }

            Interlocked.Add(ref drawn, far);
            Interlocked.Add(ref pale, near);
        });
        return (drawn, pale);
    }

    private static Plane<byte> Mask(Plane<Rgba8> was, Plane<Rgba8> now, LossTest test, Region? ground)
    {
        var none = Plane<byte>.OneValue(was.Width, was.Height, 0);
        return Plane<byte>.Build(was.Width, was.Height, none, (bounds, mask) =>
        {
            mask.Clear();
            int i = was.Grid.IndexAt(bounds.X, bounds.Y);
            foreach (var run in new ChangedRuns(was.Tiles[i], now.Tiles[i]))
            {
                if (test.Loses(run.Before, run.After))
                {
                    for (int y = run.Box.Y; y < run.Box.Bottom; y++)
                    {
                        mask.Slice((y * bounds.Width) + run.Box.X, run.Box.Width).Fill(255);
                    }
                }
            }

            if (ground?.Coverage.Tiles[i] is { } covered && !covered.IsAll(0))
            {
                byte[] rented = ArrayPool<byte>.Shared.Rent(covered.Count);
                covered.CopyTo(rented);
                SetOperations.InVectors<ExceptOperation>(mask, rented.AsSpan(0, covered.Count));
                ArrayPool<byte>.Shared.Return(rented);
            }
        }, i => test.MayLose(was.Tiles[i], now.Tiles[i]) && ground?.Coverage.Tiles[i].IsAll(255) != true ? null : none.Tiles[i]);
    }

    // Of a region what prints, each pixel as it counts.
    private static long Printing(Region region, InkRules rules)
    {
        long levels = 0;
        var art = region.FoundIn;
        var prints = LevelTests.Prints(rules);
        Parallel.For(0, art.Tiles.Length, i =>
        {
            var (tile, covered) = (art.Tiles[i], region.Coverage.Tiles[i]);
            long here = InkCount.Of(TileSummary.Of(tile), rules).Prints;
            if (here == 0 || covered.IsAll(0))
            {
                return;
            }

            here = (here * 255) - Clearness(tile, rules);
            if (!covered.IsOneValue && !tile.IsOneValue && TileSummary.Of(tile).Opaque == tile.Count)
            {
                byte[] rented = ArrayPool<byte>.Shared.Rent(tile.Count);
                var mask = rented.AsSpan(0, tile.Count);
                prints.Mask(tile.Samples, mask);
                SetOperations.InVectors<IntersectOperation>(mask, covered.Samples);
                here = (mask.Length - mask.Count((byte)0)) * 255L;
                ArrayPool<byte>.Shared.Return(rented);
            }
            else if (!covered.IsOneValue)
            {
                here = 0;
                var coverage = covered.Samples;
                for (int p = 0; p < coverage.Length; p++)
                {
                    var pixel = tile.IsOneValue ? tile.Value : tile.Samples[p];
                    here += coverage[p] != 0 && rules.StateOf(pixel) == InkState.Prints ? 255 - Clearness(pixel, rules) : 0;
                }
            }

            Interlocked.Add(ref levels, here);
        });
        return levels / 255;
    }

    private readonly struct LossTest(InkRules rules, Rgba8? paper)
    {
        // Its memory is only taken where black can drop.
        private readonly Lazy<MemoTest> nearBlack = new(() => Find.NearBlackTest(BlackLightness, BlackChroma));
        private readonly LevelTest nearPaper = paper is { } color ? LevelTest.Around(color, NearPaper) : default;

        public bool IsNearPaper(Rgba8 pixel) => paper is not null && (pixel.IsTransparent || nearPaper.Holds(pixel));

        public bool MayLose(Tile<Rgba8> was, Tile<Rgba8> now) => !ReferenceEquals(was, now)
            && InkCount.Of(TileSummary.Of(was), rules).Prints > 0 && InkCount.Of(TileSummary.Of(now), rules).Prints < now.Count;

        public bool Loses(Rgba8 was, Rgba8 now)
        {
            if (was.A < Half || rules.StateOf(was) != InkState.Prints)
            {
                return false;
            }

            var state = rules.StateOf(now);
            return state != InkState.Prints && !(state == InkState.BareBlack && nearBlack.Value.Holds(was));
        }
    }
}

/// <summary>What lost ink may have lain on.</summary>
/// <param name="Paper">The paper's color; null where there is none: a cut-out's alpha and its rim say what is ground, and full-frame art has none.</param>
/// <param name="Marked">What is ground in place of paper (<see cref="PaperGround.Marked"/>); null where there is none, or it isn't known.</param>
internal sealed record LossGround(Rgba8? Paper, Region? Marked = null);
