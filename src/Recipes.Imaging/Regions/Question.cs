using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>Something that a recipe had to guess and a person may know: what it is about, what is done unless told otherwise, and how to tell.</summary>
/// <param name="Code">The code of the finding that it is about, for instance <c>edge-white</c>.</param>
/// <param name="Message">The question in one sentence of the trade.</param>
/// <param name="Regions">What it is about; numbers are those of the recipe's list of regions.</param>
/// <param name="Proposal">What is done unless answered, in a few words: <c>stays bare</c>.</param>
/// <param name="Answer">The parameter that gives another answer, as <c>name=value</c> of the recipe that asks: <c>also=8</c>.</param>
/// <param name="Decided">True where the run's parameters have answered it already.</param>
public sealed record Question(string Code, string Message, ImmutableArray<Island> Regions, string Proposal, string Answer, bool Decided = false)
{
    /// <summary>The question as answered, where the technician named one of its regions or named all that are meant; else itself.</summary>
    /// <param name="only">Regions named as the only ones.</param>
    /// <param name="except">Regions named as left out.</param>
    /// <param name="also">Regions named as added.</param>
    public Question AnsweredBy(IReadOnlyList<int> only, IReadOnlyList<int> except, IReadOnlyList<int> also)
    {
        ArgumentNullException.ThrowIfNull(only);
        return only.Count > 0 || Regions.Any(region => except.Contains(region.Number) || also.Contains(region.Number)) ? this with { Decided = true } : this;
    }
}
