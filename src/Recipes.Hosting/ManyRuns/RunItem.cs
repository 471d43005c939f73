using System.Collections.Immutable;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.ManyRuns;

/// <summary>What became of one picture of many.</summary>
/// <param name="Art">The art.</param>
/// <param name="Order">The row of the list of orders that it is for, or null.</param>
/// <param name="Output">The picture that was written, or null.</param>
/// <param name="Report">The run, or null where it didn't come so far.</param>
/// <param name="Problems">Why nothing was written; none where something was.</param>
/// <param name="Json">Its record.</param>
public sealed record RunItem(string Art, Order? Order, string? Output, RunReport? Report, IReadOnlyList<Problem> Problems, JsonObject Json)
{
    /// <summary>What to know about a result that was written.</summary>
    public IReadOnlyList<Problem> Warnings { get; init; } = [];

    /// <summary>That the last print of the art was bad, to be said before all else.</summary>
    public IReadOnlyList<Problem> First { get; init; } = [];

    /// <summary>That print.</summary>
    public EarlierPrint? LastBad { get; init; }

    /// <summary>What the tick-off sheet tells of what is printed.</summary>
    public ImmutableArray<Finding> Findings { get; init; } = [];

    /// <summary>The effective resolution in words.</summary>
    public string? Resolution { get; init; }

    /// <summary>A small picture for the tick-off sheet.</summary>
    public Plane<Rgba8>? Small { get; init; }

    /// <summary>The journal's line, or null where nothing was written.</summary>
    internal JournalEntry? Entry { get; init; }

    /// <summary>What nobody answered: the proposals were taken.</summary>
    public IEnumerable<AskedQuestion> Questions => Output is null ? [] : Report?.OpenQuestions ?? [];

    /// <summary>A problem of one of many, which says of which: a recipe's own line doesn't tell.</summary>
    internal static Problem Named(string art, Order? order, Problem problem)
    {
        bool isHere = problem.Where is null || problem.Where.File == art || problem.Where.File == order?.PlaceOf("art").File;
        string message = isHere ? problem.Message : $"{problem.Message} ({problem.Where})";
        return problem with
        {
            Where = order?.PlaceOf("art") ?? new Place(art),
            Message = order is not null ? $"row {Numeral.Of(order.Number)}, {art}: {message}" : message,
        };
    }
}
