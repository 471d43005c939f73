using System.Collections.Immutable;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Tickets;

/// <summary>Something that a ticket says of the order, as whoever takes it wrote it.</summary>
/// <param name="Name">Its name: small letters, digits and hyphens.</param>
/// <param name="Value">One line of clean text.</param>
public sealed record TicketField(string Name, string Value)
{
    /// <summary>The most fields, and the longest value: what a sheet has room for.</summary>
    public const int Most = 8, Longest = 80;

    private const int LongestName = 24;

    private static readonly ImmutableDictionary<string, string> Known = ImmutableDictionary.CreateRange(StringComparer.Ordinal,
    [
        KeyValuePair.Create("order", "Order number"), KeyValuePair.Create("reference", "Customer's reference"), KeyValuePair.Create("quantity", "Quantity"),
        KeyValuePair.Create("sizes", "Garment sizes"),
    ]);

    /// <summary>The names that a sheet has words of its own for, in the order in which it says them.</summary>
    public static ImmutableArray<string> KnownNames { get; } = ["order", "reference", "quantity", "sizes"];

    /// <summary>The name in words.</summary>
    public string Label => Known.GetValueOrDefault(Name) ?? char.ToUpperInvariant(Name[0]) + Name[1..].Replace('-', ' ');

    /// <summary>Reads fields as <c>NAME=VALUE</c>; the known ones come first, then the others as they were given.</summary>
    /// <exception cref="ProblemException">R1001: one is no field, is given twice, or there are too many.</exception>
    public static ImmutableArray<TicketField> Read(IReadOnlyCollection<string> texts)
    {
        ArgumentNullException.ThrowIfNull(texts);
        TicketField[] fields = [.. texts.Select(Read)];
        if (fields.GroupBy(field => field.Name).FirstOrDefault(same => same.Count() > 1) is { } twice)
        {
            throw Bad($"The field '{twice.Key}' is given twice.", "Give each field once.");
        }

        return fields.Length > Most ? throw Bad($"A ticket takes at most {Most} fields, not {fields.Length}.", "Leave out what the press doesn't need.")
            : [.. fields.OrderBy(field => KnownNames.IndexOf(field.Name) is var at and >= 0 ? at : KnownNames.Length)];
    }

    private static TicketField Read(string text)
    {
        string[] parts = text.Split('=', 2);
        string name = parts[0], value = parts.Length == 2 ? CleanText.Line(parts[1], int.MaxValue).Trim() : "";
        if (parts.Length < 2 || name.Length > LongestName || !PlainName.Is(name))
        {
            throw Bad($"'{CleanText.Line(text, 60)}' is no field NAME=VALUE with a name of small letters, digits and hyphens, at most {LongestName}.",
                "Write order=H-1042, for instance; order, reference, quantity and sizes have words of their own.");
        }

        if (value.Length is 0 or > Longest)
        {
            throw Bad($"The field '{name}' takes 1 to {Longest} characters.", "Shorten it, or leave it out.");
        }

        return name != "quantity" || PieceCount.Is(value, out _)
            ? new TicketField(name, value)
            : throw Bad($"The field 'quantity' takes a whole number from 1 to {PieceCount.Most}, not '{CleanText.Line(value, 40)}'.",
                "Write quantity=24, for instance.");
    }

    private static ProblemException Bad(string message, string hint) => new(Codes.BadUsage, message, hint);
}
