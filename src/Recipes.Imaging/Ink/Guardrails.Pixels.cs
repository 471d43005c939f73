namespace Recipes.Imaging;

public sealed partial class Guardrails
{
    private GuardResult JudgePixels(string name, Finding finding, Artwork before)
    {
        var policy = this[name];
        if (finding.Pixels == 0)
        {
            return Clear(name);
        }

        string what = name switch
        {
            LostToWhite => "that printed would stay bare, because they became pure white",
            LostToBlack => "that printed would stay bare, because they became pure black",
            LostToTransparent => "that printed would stay bare, because they became transparent",
            _ => "that stayed bare would print",
        };
        string why = $"{finding.Pixels} px {what}, and the recipe didn't declare it.";
        return policy switch
        {
            GuardPolicy.Allow => new GuardResult(name, policy, finding.Pixels, GuardOutcome.Allowed, finding.Box, why),
            GuardPolicy.Refuse => new GuardResult(name, policy, finding.Pixels, GuardOutcome.Refused, finding.Box, why),
            // Putting back a lot, or something at the border, would hide a mistake instead of mending a stray pixel.
            _ when finding.Pixels * 1000 > before.PixelCount => new GuardResult(name, policy, finding.Pixels, GuardOutcome.Refused, finding.Box,
                why + " That is more than 0.1% of the art, too much to put back silently."),
            _ when finding.OnBorder => new GuardResult(name, policy, finding.Pixels, GuardOutcome.Refused, finding.Box,
                why + " Some of them touch the border of the art."),
            _ => new GuardResult(name, policy, finding.Pixels, GuardOutcome.Protected, finding.Box, why + " The old pixels were put back."),
        };
    }

    private sealed record Finding(long Pixels, Box? Box, bool OnBorder);

    private static Finding[] Compare(Plane<Rgba8> before, Plane<Rgba8> after, Declaration declared, InkRules rules)
    {
        var gate = new Lock();
        var sums = new Finding[PixelGuards.Length];
        Array.Fill(sums, new Finding(0, null, false));
        Parallel.For(0, before.Tiles.Length, i =>
        {
            if (ReferenceEquals(before.Tiles[i], after.Tiles[i]))
            {
                return;
            }

            Span<long> counts = stackalloc long[PixelGuards.Length];
            Span<Box> boxes = stackalloc Box[PixelGuards.Length];
            Span<bool> borders = stackalloc bool[PixelGuards.Length];
            counts.Clear();
            boxes.Clear();
            borders.Clear();
            var bounds = before.Grid.Bounds(i);
            foreach (var run in new ChangedRuns(before.Tiles[i], after.Tiles[i]))
            {
                if (IsDeclared(run, i, declared, rules))
                {
                    continue;
                }

                for (int y = run.Box.Y; y < run.Box.Bottom; y++)
                {
                    for (int x = run.Box.X; x < run.Box.Right; x++)
                    {
                        int g = Tripped(run.Before, run.After, new(i, x, y), declared, rules);
                        if (g < 0)
                        {
                            continue;
                        }

                        int px = bounds.X + x, py = bounds.Y + y;
                        counts[g]++;
                        boxes[g] = boxes[g].Around(new Box(px, py, 1, 1));
                        borders[g] |= px == 0 || py == 0 || px == before.Width - 1 || py == before.Height - 1;
                    }
                }
            }

            lock (gate)
            {
                for (int g = 0; g < counts.Length; g++)
                {
                    if (counts[g] > 0)
                    {
                        sums[g] = new Finding(sums[g].Pixels + counts[g], sums[g].Box is { } box ? box.Around(boxes[g])
                            : boxes[g], sums[g].OnBorder || borders[g]);
                    }
                }
            }
        });
        return sums;
    }

    // A pixel of a tile.
    private readonly record struct TilePlace(int Tile, int X, int Y);

    // Whether no pixel of a run trips anything.
    private static bool IsDeclared(ChangedRun run, int tile, Declaration declared, InkRules rules)
    {
        InkState was = rules.StateOf(run.Before), now = rules.StateOf(run.After);
        if ((was == InkState.Prints) == (now == InkState.Prints))
        {
            return true;
        }

        var (one, other) = Allowing(was, now, declared);
        return SaysAll(one?.Tiles[tile], run.Box) || SaysAll(other?.Tiles[tile], run.Box);
    }

    // The index of the guardrail that this pixel trips, or -1.
    private static int Tripped(Rgba8 before, Rgba8 after, TilePlace at, Declaration declared, InkRules rules)
    {
        if (before == after)
        {
            return -1;
        }

        InkState was = rules.StateOf(before), now = rules.StateOf(after);
        if ((was == InkState.Prints) == (now == InkState.Prints))
        {
            return -1;
        }

        var (one, other) = Allowing(was, now, declared);
        return Says(one) || Says(other) ? -1 : now switch
        {
            InkState.BareWhite => 0,
            InkState.BareBlack => 1,
            InkState.Transparent => 2,
            _ => 3,
        };

        bool Says(Plane<byte>? coverage) => coverage is not null && coverage.Tiles[at.Tile][at.X, at.Y] != 0;
    }

    // What a recipe declares of pixels that go from one state to another.
    private static (Plane<byte>? One, Plane<byte>? Other) Allowing(InkState was, InkState now, Declaration declared) => now switch
    {
        InkState.Prints => (declared.Printable, was == InkState.BareBlack ? declared.PrintedBlack : null),
        InkState.BareBlack => (declared.Bare, declared.DroppedBlack),
        _ => (declared.Bare, null),
    };

    // Most of what a recipe changes it declares, so that whole runs need no look at their pixels.
    private static bool SaysAll(Tile<byte>? coverage, Box box)
    {
        if (coverage is null or { IsOneValue: true })
        {
            return coverage is { Value: not 0 };
        }

        for (int y = box.Y; y < box.Bottom; y++)
        {
            if (coverage.Samples.Slice((y * coverage.Width) + box.X, box.Width).Contains((byte)0))
            {
                return false;
            }
        }

        return true;
    }

    // One replace layer on top of the art that holds the old pixel wherever a protecting guardrail tripped.
    private static Artwork PutBack(Artwork before, Artwork after, Declaration declared, InkRules rules, bool[] putBack)
    {
        Plane<Rgba8> was = before.Flat, now = after.Flat;
        var empty = Plane<byte>.OneValue(before.Width, before.Height, 0);
        var coverage = Plane<byte>.Build(before.Width, before.Height, empty, (bounds, samples) =>
        {
            samples.Clear();
            int tile = before.Grid.IndexAt(bounds.X, bounds.Y);
            if (ReferenceEquals(was.Tiles[tile], now.Tiles[tile]))
            {
                return;
            }

            for (int p = 0; p < samples.Length; p++)
            {
                int x = p % bounds.Width, y = p / bounds.Width;
                int g = Tripped(was.Tiles[tile][x, y], now.Tiles[tile][x, y], new(tile, x, y), declared, rules);
                samples[p] = g >= 0 && putBack[g] ? (byte)255 : (byte)0;
            }
        });
        // Only tiles that cover something bring pixels, so that the layer costs no more than what it puts back.
        var clear = Plane<Rgba8>.OneValue(before.Width, before.Height, default);
        var pixels = clear.WithTiles([.. clear.Tiles.Select((tile, i) => coverage.Tiles[i].IsAll(0) ? tile : was.Tiles[i])]);
        return after.WithLayer(Layer.Replace("protected", LayerIntent.Protected, pixels, coverage));
    }
}
