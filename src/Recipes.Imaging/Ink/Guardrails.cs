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
    /// <summary>It didn't trip, but saw something that somebody should look at.</summary>
    Noted,
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
/// <param name="Why">A sentence for the technician, empty where there is nothing to say.</param>
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

    /// <summary>What the recipe leaves bare on purpose, as its schema says it, not its run; empty where that isn't what it is for.</summary>
    public string LeavesBare { get; init; } = "";
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
public sealed partial class Guardrails
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
    /// <summary>Something printed before and nothing does after, declared or not.</summary>
    public const string NothingPrints = "nothing-prints";
    /// <summary>
    /// Over a quarter of what printed goes, declared or not, but for ground in the paper's color and near-black that drops;
    /// passes where the recipe's schema says that it leaves bare on purpose. Notes every connected loss over 1 cm2.
    /// </summary>
    public const string InkMostlyLost = "ink-mostly-lost";

    private static readonly string[] PixelGuards = [LostToWhite, LostToBlack, LostToTransparent, AddedInk];
    private static readonly string[] AllNames = [.. PixelGuards, PrintedBox, SizeChange, NothingPrints, InkMostlyLost];
    // In the order of the names.
    private readonly GuardPolicy[] policies;

    private Guardrails(GuardPolicy[] policies) => this.policies = policies;

    /// <summary>All names, in the order of reports.</summary>
    public static IReadOnlyList<string> Names { get; } = Array.AsReadOnly(AllNames);

    /// <summary>Protect for the four pixel guardrails, refuse for the others.</summary>
    public static Guardrails Default { get; } = new(
        Array.ConvertAll(AllNames, name => PixelGuards.Contains(name) ? GuardPolicy.Protect : GuardPolicy.Refuse));

    /// <summary>The policy in force.</summary>
    public GuardPolicy this[string name] => policies[Array.IndexOf(AllNames, name)];

    /// <summary>True where the guardrail knows the policy: only single pixels can be put back.</summary>
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
    /// <param name="before">The art before.</param>
    /// <param name="after">What the recipe made of it.</param>
    /// <param name="declared">What the recipe said it would do.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="pixelsPerInch">How large a pixel prints; the art's own resolution, or else 300, where null.</param>
    public GuardedArt Judge(Artwork before, Artwork after, Declaration declared, InkRules rules, double? pixelsPerInch = null)
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
                    .. PixelGuards.Select(Clear),
                    JudgeBox(before, after, rules),
                    JudgeSize(before, after, declared),
                    JudgeNothing(before, after, rules),
                    Clear(InkMostlyLost),
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
        results.Add(JudgeNothing(before, kept, rules));
        results.Add(JudgeLoss(before, kept, declared.LeavesBare, rules, pixelsPerInch));
        return new GuardedArt(kept, results.ToImmutable());
    }

    private GuardResult Clear(string name) => new(name, this[name], 0, GuardOutcome.Clear, null, "");

    private GuardResult JudgeSize(Artwork before, Artwork after, Declaration declared)
    {
        var policy = this[SizeChange];
        bool changes = before.Grid != after.Grid || !before.PixelsPerInch.Equals(after.PixelsPerInch);
        if (!changes || declared.SizeChange)
        {
            return Clear(SizeChange);
        }

        string why = before.Grid == after.Grid
            ? string.Create(CultureInfo.InvariantCulture,
                $"The resolution would change from {before.PixelsPerInch} to {after.PixelsPerInch} pixels per inch, and the recipe didn't declare it.")
            : $"The size would change from {before.Width} x {before.Height} px to {after.Width} x {after.Height} px, and the recipe didn't declare it.";
        return new GuardResult(SizeChange, policy, after.PixelCount, policy == GuardPolicy.Allow ? GuardOutcome.Allowed : GuardOutcome.Refused, null, why);
    }

    private GuardResult JudgeBox(Artwork before, Artwork after, InkRules rules)
    {
        var policy = this[PrintedBox];
        long was = PrintingBorder(before.Flat, rules), now = PrintingBorder(after.Flat, rules), border = BorderLength(after.Grid);
        // Shares are compared crosswise, since a declared size change also changes the border's length.
        bool tripped = now * 2 > border && now * BorderLength(before.Grid) > was * border;
        if (!tripped)
        {
            return Clear(PrintedBox);
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
}
