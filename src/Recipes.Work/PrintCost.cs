using System.Collections.Immutable;
using System.Globalization;
using System.Text.RegularExpressions;

namespace Recipes.Work;

/// <summary>What a bad print cost.</summary>
/// <param name="Amount">From 0 to <see cref="Most"/>, with at most two decimals.</param>
/// <param name="Currency">The currency as the shop calls it, in capital letters; null where it has only one and doesn't say.</param>
public sealed partial record PrintCost(decimal Amount, string? Currency)
{
    /// <summary>The highest amount.</summary>
    public const int Most = 1_000_000;

    /// <summary>What can be read, for people.</summary>
    public static string Takes => $"an amount from 0 to {Most} with a point and at most two decimals, and after a space a currency of at most 8 letters";

    /// <summary>Reads <c>12.50</c> or <c>12.50 EUR</c>; null where it is neither.</summary>
    public static PrintCost? Read(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return Form().Match(text) is { Success: true } match
            && decimal.TryParse(match.Groups["amount"].ValueSpan, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out decimal amount)
            && amount <= Most
            ? new PrintCost(amount, match.Groups["currency"] is { Success: true } currency ? currency.Value.ToUpperInvariant() : null) : null;
    }

    /// <summary>The sums of costs, one for each currency, in its order; what names none comes first.</summary>
    public static ImmutableArray<PrintCost> Sums(IEnumerable<PrintCost> costs) =>
    [
        .. costs.GroupBy(cost => cost.Currency).Select(same => new PrintCost(same.Sum(cost => cost.Amount), same.Key))
            .OrderBy(sum => sum.Currency, StringComparer.Ordinal),
    ];

    /// <summary>With two decimals and the currency where there is one, as <see cref="Read"/> takes it.</summary>
    public override string ToString() =>
        string.Create(CultureInfo.InvariantCulture, $"{Amount:0.00}{(Currency is null ? "" : " ")}{Currency}");

    [GeneratedRegex(@"\A(?<amount>[0-9]{1,7}(?:\.[0-9]{1,2})?)(?: (?<currency>[A-Za-z]{1,8}))?\z", RegexOptions.CultureInvariant)]
    private static partial Regex Form();
}
