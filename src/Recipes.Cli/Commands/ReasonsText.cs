using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>history --reasons</c>: what bad prints have in common.</summary>
internal static class ReasonsText
{
    public static Outcome Run(Session session, string[] paths, PrintFilter filter)
    {
        if (paths.Length == 0)
        {
            throw new ProblemException(
                Codes.BadUsage, "'history --reasons' takes ARTs, or folders in which work files lie.", "For instance: recipes history --reasons orders");
        }

        var reasons = PrintReasons.Of(session.Shop, paths, filter);
        var fields = new JsonObject { ["arts"] = reasons.Arts };
        AddTo(fields, reasons.All);
        fields["since"] = filter.Since?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        fields["reasons"] = new JsonObject([.. reasons.Groups.Select(group => KeyValuePair.Create(
            group.By, (JsonNode?)new JsonArray([.. group.Counts.Select(count =>
        {
            var of = new JsonObject { ["name"] = count.Name };
            AddTo(of, count);
            return (JsonNode)of;
        })])))]);
        return new Outcome(fields, text => Write(text, reasons, filter)) { Problems = reasons.LeftOut };
    }

    private static void AddTo(JsonObject fields, ReasonCount count)
    {
        fields["bad"] = count.Bad;
        fields["prints"] = count.Prints;
        fields["costs"] = new JsonArray([.. count.Costs.Select(cost => (JsonNode)PrintJson.Of(cost))]);
    }

    private static void Write(TextWriter text, PrintReasons reasons, PrintFilter filter)
    {
        var all = reasons.All;
        string since = filter.Since is { } day ? $" since {day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)}" : "";
        string arts = reasons.Arts == 1 ? "1 art" : $"{Numeral.Of(reasons.Arts)} arts";
        string such = string.Concat(Said(" under ", filter.Setup), Said(" with ", filter.Recipe), Said(" told by ", filter.By));
        text.WriteLine(all.Prints == 0 ? $"No print{such} is remembered{since}."
            : $"{Numeral.Of(all.Bad)} of {Numeral.Of(all.Prints)} {(all.Prints == 1 ? "print" : "prints")} "
                + $"of {arts}{since} {(all.Bad == 1 ? "was" : "were")} bad{Cost(all, ", cost ")}.");
        foreach (var group in reasons.Groups.Where(group => !group.Counts.IsEmpty))
        {
            text.WriteLine($"by {group.By}");
            foreach (var count in group.Counts)
            {
                string of = group.By == "cause" ? Numeral.Of(count.Bad) : $"{Numeral.Of(count.Bad)} of {Numeral.Of(count.Prints)}";
                text.WriteLine($"  {count.Name ?? group.None,-28} {of,10}{Cost(count, "  ")}");
            }
        }
    }

    private static string Said(string how, string? name) => name is null ? "" : how + name;

    // Amounts in different currencies stand apart.
    private static string Cost(ReasonCount count, string before) => count.Costs.IsEmpty ? "" : $"{before}{string.Join(" + ", count.Costs)}";
}
