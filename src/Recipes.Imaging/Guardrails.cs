using System.Collections.Immutable;
using System.Globalization;

namespace Recipes.Imaging;

/// <summary>What a guardrail does when it trips.</summary>
public enum GuardPolicy
{
    /// <summary>Puts the old pixel back and reports; refuses where that would hide something large.</summary>
    Protect,
    /// <summary>Keeps nothing of the result.</summary>
    Refuse,
    /// <summary>Lets it pass and reports.</summary>
    Allow,
}

/// <summary>What a guardrail did.</summary>
public enum GuardOutcome
{
    /// <summary>It didn't trip.</summary>
    Clear,
    /// <summary>Old pixels were put back.</summary>
    Protected,
    /// <summary>It tripped and let the result pass.</summary>
    Allowed,
    /// <summary>It tripped; nothing of the result may be kept.</summary>
    Refused,
}

/// <summary>One guardrail after a run.</summary>
/// <param name="Name">The name in the command-line contract.</param>
/// <param name="Policy">The policy in force.</param>
/// <param name="Pixels">Pixels concerned; for <c>printed-box</c>, border pixels that print.</param>
/// <param name="Outcome">What it did.</param>
/// <param name="Box">Around the pixels concerned, or null where there are none.</param>
/// <param name="Why">A sentence for the technician, empty where it didn't trip.</param>
public sealed record GuardResult(string Name, GuardPolicy Policy, long Pixels, GuardOutcome Outcome, Box? Box, string Why);

/// <summary>What a recipe said it would do to printing, as coverage; null where it said nothing.</summary>
public sealed record Declaration(
    Plane<byte>? Printable = null,
    Plane<byte>? Bare = null,
    Plane<byte>? DroppedBlack = null,
    Plane<byte>? PrintedBlack = null,
    bool SizeChange = false)
{
    /// <summary>Nothing declared.</summary>
    public static Declaration Nothing { get; } = new();
}

/// <summary>The guarded result: the art that may be kept, and what each guardrail did.</summary>
public sealed record GuardedArt(Artwork Art, ImmutableArray<GuardResult> Guards)
{
    /// <summary>True where a guardrail refused; then nothing may be kept.</summary>
    public bool Refused => Guards.Any(guard => guard.Outcome == GuardOutcome.Refused);
}

/// <summary>
/// Compares the flattened art before and after, pixel by pixel, with what the recipe declared. The host judges, never
/// the recipe: a declaration says what may happen, the pixels say what did.
/// </summary>
public sealed class Guardrails
{
    /// <summary>A pixel that printed would stay bare because it became pure white, undeclared.</summary>
    public const string LostToWhite = "lost-to-white";
    /// <summary>A pixel that printed would stay bare because it became pure black, undeclared.</summary>
    public const string LostToBlack = "lost-to-black";
    /// <summary>A pixel that printed would stay bare because it became transparent, undeclared.</summary>
    public const string LostToTransparent = "lost-to-transparent";
    /// <summary>A bare pixel would print, undeclared.</summary>
    public const string AddedInk = "added-ink";
    /// <summary>Over half of the border would print and less did before, declared or not.</summary>
    public const string PrintedBox = "printed-box";
    /// <summary>Pixel size or resolution changes, undeclared.</summary>
    public const string SizeChange = "size-change";

    private static readonly string[] PixelGuards = [LostToWhite, LostToBlack, LostToTransparent, AddedInk];
    private static readonly string[] AllNames = [.. PixelGuards, PrintedBox, SizeChange];
    // In the order of the names.
    private readonly GuardPolicy[] policies;

    private Guardrails(GuardPolicy[] policies) => this.policies = policies;

    /// <summary>All names, in the order of reports.</summary>
    public static IReadOnlyList<string> Names { get; } = Array.AsReadOnly(AllNames);

    /// <summary>Protect for the four pixel guardrails, refuse for <c>printed-box</c> and <c>size-change</c>.</summary>
    public static Guardrails Default { get; } = new(
        Array.ConvertAll(AllNames, name => PixelGuards.Contains(name) ? GuardPolicy.Protect : GuardPolicy.Refuse));

    /// <summary>The policy in force.</summary>
    public GuardPolicy this[string name] => policies[Array.IndexOf(AllNames, name)];

    /// <summary>True where the guardrail knows the policy: nothing can be put back for a box or a size.</summary>
    public static bool Knows(string name, GuardPolicy policy) =>
        Names.Contains(name) && (policy != GuardPolicy.Protect || PixelGuards.Contains(name));

    /// <summary>The guardrails with one policy changed.</summary>
    public Guardrails With(string name, GuardPolicy policy)
    {
        if (!Knows(name, policy))
        {
            throw new ArgumentException($"'{name}' knows no such policy.", nameof(policy));
        }

        GuardPolicy[] changed = [.. policies];
        changed[Array.IndexOf(AllNames, name)] = policy;
        return new Guardrails(changed);
    }

    /// <summary>Judges a result.</summary>
    public GuardedArt Judge(Artwork before, Artwork after, Declaration declared, InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        ArgumentNullException.ThrowIfNull(declared);
        ArgumentNullException.ThrowIfNull(rules);
        if (before.Grid != after.Grid)
        {
            // Nothing is comparable pixel by pixel. Where the size stays, every pixel is, whatever was declared.
            return new GuardedArt(after,
                [
                    .. PixelGuards.Select(name => new GuardResult(name, this[name], 0, GuardOutcome.Clear, null, "")),
                    JudgeBox(before, after, rules),
                    JudgeSize(before, after, declared),
                ]);
        }

        var findings = Compare(before.Flat, after.Flat, declared, rules);
        var results = ImmutableArray.CreateBuilder<GuardResult>();
        var putBack = new bool[PixelGuards.Length];
        for (int g = 0; g < PixelGuards.Length; g++)
        {
            var result = JudgePixels(PixelGuards[g], findings[g], before);
            putBack[g] = result.Outcome == GuardOutcome.Protected;
            results.Add(result);
        }

        bool refused = results.Any(result => result.Outcome == GuardOutcome.Refused);
        var kept = !refused && putBack.Any(on => on) ? PutBack(before, after, declared, rules, putBack) : after;
        results.Add(JudgeBox(before, kept, rules));
        results.Add(JudgeSize(before, after, declared));
        return new GuardedArt(kept, results.ToImmutable());
    }

    private GuardResult JudgeSize(Artwork before, Artwork after, Declaration declared)
    {
        var policy = this[SizeChange];
        bool changes = before.Grid != after.Grid || !before.PixelsPerInch.Equals(after.PixelsPerInch);
        if (!changes || declared.SizeChange)
        {
            return new GuardResult(SizeChange, policy, 0, GuardOutcome.Clear, null, "");
        }

        string why = before.Grid == after.Grid
            ? string.Create(CultureInfo.InvariantCulture, $"The resolution would change from {before.PixelsPerInch} to {after.PixelsPerInch} pixels per inch, and the recipe didn't declare it.")
            : $"The size would change from {before.Width} x {before.Height} px to {after.Width} x {after.Height} px, and the recipe didn't declare it.";
        return new GuardResult(SizeChange, policy, after.PixelCount, policy == GuardPolicy.Allow ? GuardOutcome.Allowed : GuardOutcome.Refused, null, why);
    }

    private GuardResult JudgePixels(string name, Finding finding, Artwork before)
    {
        var policy = this[name];
        if (finding.Pixels == 0)
        {
            return new GuardResult(name, policy, 0, GuardOutcome.Clear, null, "");
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

    private GuardResult JudgeBox(Artwork before, Artwork after, InkRules rules)
    {
        var policy = this[PrintedBox];
        long was = PrintingBorder(before.Flat, rules), now = PrintingBorder(after.Flat, rules), border = BorderLength(after.Grid);
        // Shares are compared crosswise, since a declared size change also changes the border's length.
        bool tripped = now * 2 > border && now * BorderLength(before.Grid) > was * border;
        if (!tripped)
        {
            return new GuardResult(PrintedBox, policy, 0, GuardOutcome.Clear, null, "");
        }

        return new GuardResult(PrintedBox, policy, now, policy == GuardPolicy.Allow ? GuardOutcome.Allowed : GuardOutcome.Refused,
            new Box(0, 0, after.Width, after.Height),
            $"{now} of {border} border pixels would print and fewer did before: the background would print as a box.");
    }

    /// <summary>The number of pixels along the edge of the image, each counted once.</summary>
    public static long BorderLength(TileGrid grid) => grid.Width == 1 || grid.Height == 1
        ? (long)grid.Width * grid.Height
        : (2L * (grid.Width + grid.Height)) - 4;

    private static long PrintingBorder(Plane<Rgba8> flat, InkRules rules)
    {
        long count = 0;
        for (int x = 0; x < flat.Width; x++)
        {
            count += Prints(flat[x, 0]);
            count += flat.Height > 1 ? Prints(flat[x, flat.Height - 1]) : 0;
        }

        for (int y = 1; y < flat.Height - 1; y++)
        {
            count += Prints(flat[0, y]);
            count += flat.Width > 1 ? Prints(flat[flat.Width - 1, y]) : 0;
        }

        return count;

        int Prints(Rgba8 pixel) => rules.StateOf(pixel) == InkState.Prints ? 1 : 0;
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
                if ((rules.StateOf(run.Before) == InkState.Prints) == (rules.StateOf(run.After) == InkState.Prints))
                {
                    continue;
                }

                for (int y = run.Box.Y; y < run.Box.Bottom; y++)
                {
                    for (int x = run.Box.X; x < run.Box.Right; x++)
                    {
                        int g = Tripped(run.Before, run.After, i, x, y, declared, rules);
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
                        sums[g] = new Finding(sums[g].Pixels + counts[g], sums[g].Box is { } box ? box.Around(boxes[g]) : boxes[g], sums[g].OnBorder || borders[g]);
                    }
                }
            }
        });
        return sums;
    }

    // The index of the guardrail that this pixel trips, or -1.
    private static int Tripped(Rgba8 before, Rgba8 after, int tile, int x, int y, Declaration declared, InkRules rules)
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

        bool allowed = now switch
        {
            InkState.Prints => Says(declared.Printable) || (was == InkState.BareBlack && Says(declared.PrintedBlack)),
            InkState.BareBlack => Says(declared.Bare) || Says(declared.DroppedBlack),
            _ => Says(declared.Bare),
        };
        return allowed ? -1 : now switch
        {
            InkState.BareWhite => 0,
            InkState.BareBlack => 1,
            InkState.Transparent => 2,
            _ => 3,
        };

        bool Says(Plane<byte>? coverage) => coverage is not null && coverage.Tiles[tile][x, y] != 0;
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
                int g = Tripped(was.Tiles[tile][x, y], now.Tiles[tile][x, y], tile, x, y, declared, rules);
                samples[p] = g >= 0 && putBack[g] ? (byte)255 : (byte)0;
            }
        });
        // Only tiles that cover something bring pixels, so that the layer costs no more than what it puts back.
        var clear = Plane<Rgba8>.OneValue(before.Width, before.Height, default);
        var pixels = clear.WithTiles([.. clear.Tiles.Select((tile, i) => coverage.Tiles[i].IsAll(0) ? tile : was.Tiles[i])]);
        return after.WithLayer(Layer.Replace("protected", LayerIntent.Protected, pixels, coverage));
    }
}
