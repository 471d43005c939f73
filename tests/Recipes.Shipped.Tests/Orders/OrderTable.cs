using System.Globalization;
using System.Text;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>The table of docs/known-orders.md.</summary>
internal static class OrderTable
{
    public static string Of(IReadOnlyList<Judgment> judged)
    {
        var table = new StringBuilder();
        table.AppendLine("| drawing | how it came | garment | silent | named | rim mm2 | asked | needed | kind |");
        table.AppendLine("|---|---|---|---|---|---|---|---|---|");
        foreach (var each in judged)
        {
            int silent = each.Silent.Count();
            table.AppendLine(CultureInfo.InvariantCulture,
                $"| {each.Order.Scene} | {each.Order.Delivery} | {each.Order.Setup.Name} | {silent} | {each.Spots.Length - silent} | {each.Rim:0.0} | {each.Asked.Length} | {each.Needed} | {each.Kind}{(each.KindIsRight ? "" : " (wrong)")} |");
        }

        return table.ToString();
    }

    /// <summary>The largest ruined spots of each order, for whoever mends what ruins them.</summary>
    public static string Spots(IReadOnlyList<Judgment> judged) => string.Concat(judged.Where(each => each.Spots.Length > 0 || each.Asked.Length > 0 || each.Rim > 0.5 || !each.KindIsRight).Select(each =>
        string.Create(CultureInfo.InvariantCulture, $"{each.Order.Name}: rim {each.Rim:0.0}, {each.Kind}{(each.KindIsRight ? "" : " WRONG")}, asked {string.Join(' ', each.Asked)} ({each.Needed} needed)\n")
        + string.Concat(each.Spots.OrderByDescending(spot => spot.By is null).ThenByDescending(spot => spot.Pixels).Take(5).Select(spot => $"    {spot.Fault} {spot.Pixels} px at {spot.Box}: {spot.By ?? "SILENT"}\n"))));
}
