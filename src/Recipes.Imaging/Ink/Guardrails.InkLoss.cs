using System.Collections.Immutable;
using System.Globalization;

namespace Recipes.Imaging;

public sealed partial class Guardrails
{
    // In pixels per inch, where neither the art nor the caller says how large it prints: common practice, no source.
    private const double UsualResolution = 300;

    // Of several large losses as many as a sentence holds.
    private const int MostNamed = 5;

    /// <summary>Judges lost ink alone: for what several recipes made together, where each lost less than is refused.</summary>
    /// <param name="before">The art before.</param>
    /// <param name="after">The art after; of another size, nothing of it is comparable and nothing trips.</param>
    /// <param name="leavesBare">What a recipe's schema says that it leaves bare on purpose; empty where that isn't what it is for.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="pixelsPerInch">How large a pixel prints; the art's own resolution, or else 300, where null.</param>
    public GuardResult JudgeLoss(Artwork before, Artwork after, string leavesBare, InkRules rules, double? pixelsPerInch = null)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        ArgumentNullException.ThrowIfNull(leavesBare);
        ArgumentNullException.ThrowIfNull(rules);
        var policy = this[InkMostlyLost];
        double ppi = pixelsPerInch ?? before.PixelsPerInch ?? UsualResolution, perCentimeter = ppi / 2.54, perArea = perCentimeter * perCentimeter;
        if (before.Grid != after.Grid || Between(null) is not { } loss)
        {
            return Clear(InkMostlyLost);
        }

        // Besides paper there may be other ground. It is looked for only where it decides.
        bool isGround = false;
        if (PaperGround.Marked(before, rules, ppi, loss.IsMost) is { IsEmpty: false } ground)
        {
            var less = Between(ground);
            // An old rim is nothing but paper. A sheet, checkers, or what of a frame is of paper's color may be art: that it goes is said, though it
            // isn't refused.
            isGround = less is null;
            if (isGround && before.Ground.IsCutOut && WhiteSheet.In(before.Flat) is null)
            {
                return Clear(InkMostlyLost);
            }

            // Without the ground it may be no more than a part that is named.
            loss = less is { IsMost: false } && loss.IsMost ? less : loss;
        }

        string large = Told(loss.Large, perArea);
        if (isGround)
        {
            long gone = loss.IsMost ? loss.Lost : loss.Large.Sum(part => part.Count);
            return new GuardResult(InkMostlyLost, policy, gone, GuardOutcome.Noted, loss.Box, string.Create(CultureInfo.InvariantCulture,
                $"{gone} of {loss.Printed} px that printed would stay bare, as ground: a sheet, checkers, or the paper's color inside the "
                    + $"art or at the edge of a frame.{large} Look whether it is."));
        }

        if (!loss.IsMost)
        {
            return new GuardResult(InkMostlyLost, policy, loss.Large.Sum(part => part.Count), GuardOutcome.Noted, loss.Large[0].Bounds,
                $"Ink goes that is neither ground in the paper's color nor black that drops.{large} Look whether it should.");
        }

        string why = string.Create(CultureInfo.InvariantCulture,
            $"{loss.Lost} of {loss.Printed} px that printed would stay bare, {100.0 * loss.Lost / loss.Printed:0.#}% and more than a quarter; ground in "
                + $"the paper's color and black that drops aren't counted.{large}");
        return leavesBare.Length > 0
            ? new GuardResult(InkMostlyLost, policy, loss.Lost, GuardOutcome.Allowed, loss.Box, $"{why} The recipe says so of itself: {leavesBare}")
            : new GuardResult(InkMostlyLost, policy, loss.Lost, policy == GuardPolicy.Allow ? GuardOutcome.Allowed : GuardOutcome.Refused, loss.Box, why);

        InkLoss? Between(Region? marked) => InkLoss.Between(before, after.Flat, rules,
            new(marked is null && before.Ground is { HasPaper: true } on ? on.Paper : null, marked), Math.Round(perArea, 6));
    }

    private static string Told(ImmutableArray<Island> large, double perArea)
    {
        return large switch
        {
            [] => "",
            [var one] => $" One connected area is {Area(one)}.",
            _ => string.Create(CultureInfo.InvariantCulture,
                $" {large.Length} connected areas are over 1 cm2{(large.Length > MostNamed ? ", the largest of them" : "")}: "
                + $"{string.Join("; ", large.Take(MostNamed).Select(Area))}."),
        };

        string Area(Island part) => string.Create(CultureInfo.InvariantCulture, $"{part.Count / perArea:0.00} cm2 in the box {part.Bounds} px");
    }

    private GuardResult JudgeNothing(Artwork before, Artwork after, InkRules rules)
    {
        var policy = this[NothingPrints];
        long printed = InkCount.Of(before.Flat, rules).Prints;
        if (printed == 0 || InkCount.Of(after.Flat, rules).Prints > 0)
        {
            return Clear(NothingPrints);
        }

        return new GuardResult(NothingPrints, policy, printed, policy == GuardPolicy.Allow ? GuardOutcome.Allowed : GuardOutcome.Refused,
            Find.Printing(before.Flat, rules).Bounds, $"{printed} px printed before, and nothing would print.");
    }
}
