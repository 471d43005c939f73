using System.Globalization;
using System.Text;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>What came of the orders, as docs/known-orders.md tells it.</summary>
internal static class OrderTable
{
    private const string Begin = "<!-- made by OrderTests -->\n";

    /// <summary>The page in the repository.</summary>
    public static string File { get; } = Path.Combine(Root(AppContext.BaseDirectory), "docs", "known-orders.md");

    /// <summary>The page, its text by hand and the table anew.</summary>
    public static string Page(IReadOnlyList<Judgment> judged)
    {
        string text = System.IO.File.ReadAllText(File);
        int end = text.IndexOf(Begin, StringComparison.Ordinal) + Begin.Length;
        return text[..end] + Summary(judged) + Table(judged);
    }

    /// <summary>The largest ruined spots of each order, for whoever mends what ruins them.</summary>
    public static string Spots(IReadOnlyList<Judgment> judged) =>
        string.Concat(judged.Where(each => each.Spots.Length > 0 || each.Asked.Length > 0 || each.Rim > 0.5 || !each.KindIsRight).Select(each =>
        string.Create(CultureInfo.InvariantCulture,
            $"{each.Order.Name}: rim {each.Rim:0.0}, {each.Kind}{(each.KindIsRight ? "" : " WRONG")}, asked {string.Join(' ', each.Asked)} ({each.Needed} "
            + $"needed)\n")
        + string.Concat(each.Spots.OrderByDescending(spot => spot.By is null).ThenByDescending(spot => spot.Pixels).Take(5)
            .Select(spot => $"    {spot.Fault} {spot.Pixels} px at {spot.Box}: {spot.By ?? "SILENT"}\n"))));

    private static string Summary(IReadOnlyList<Judgment> judged)
    {
        int needless = judged.Count(each => each.Needed == 0), unasked = judged.Count(each => each.Needed == 0 && each.Asked.Length == 0);
        int[] asked = [.. judged.Select(each => each.Asked.Length).Order()];
        return string.Create(CultureInfo.InvariantCulture,
            $"\n{judged.Count} orders. Ruined in silence: {judged.Count(each => each.Silent.Any())}. Pale rim over 0.5 mm²: "
                + $"{judged.Count(each => each.Rim > 0.5)}. "
            + $"Kind misjudged: {judged.Count(each => !each.KindIsRight)}.\nQuestions: median {asked[asked.Length / 2]}, at most {asked[^1]}; {unasked} "
                + $"of {needless} orders that need none get none.\n\n");
    }

    /// <summary>Of each order the line that the page has.</summary>
    public static IEnumerable<string> Rows(IReadOnlyList<Judgment> judged) => judged.Select(each =>
    {
        int silent = each.Silent.Count();
        string kind = each.Kind + (each.KindIsRight ? "" : " (wrong)"), named = (each.Spots.Length - silent).ToString(CultureInfo.InvariantCulture);
        return string.Create(CultureInfo.InvariantCulture,
            $"| {each.Order.Scene} | {each.Order.Delivery} | {each.Order.Setup.Name} | {silent} | {named} | {each.Rim:0.0} | {each.Asked.Length} | "
                + $"{each.Needed} | {kind} |");
    });

    private static string Table(IReadOnlyList<Judgment> judged) =>
        "| drawing | how it came | garment | silent | named | rim, mm² | asked | needed | kind |\n|---|---|---|---|---|---|---|---|---|\n"
        + string.Concat(Rows(judged).Select(row => row + "\n"));

    private static string Root(string folder) => System.IO.File.Exists(Path.Combine(folder, "Recipes.sln")) ? folder : Root(Path.GetDirectoryName(folder)!);
}
