using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tickets;

/// <summary>A print that the work file remembers.</summary>
/// <param name="Setup">The garment setup's name.</param>
/// <param name="Print">What is remembered.</param>
public sealed record EarlierPrint(string Setup, PrintRecord Print)
{
    /// <summary>The last print under the state's setup, where it was bad; null where a good one ended that, or none is remembered.</summary>
    /// <exception cref="ProblemException">R3009: the work file is damaged.</exception>
    public static EarlierPrint? LastBad(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        return state.OwnWork is { } work ? LastBad(work, state.Setup.Name) : null;
    }

    /// <summary>The last print under a setup, where it was bad, or null.</summary>
    /// <exception cref="ProblemException">R3009: the work file is damaged.</exception>
    public static EarlierPrint? LastBad(WorkFile work, string setup)
    {
        ArgumentNullException.ThrowIfNull(work);
        return work.Line(setup).Prints is [.., { IsGood: false } last] ? new EarlierPrint(setup, last) : null;
    }

    /// <summary>Why it was bad, when, who said so, and what they noted: one line, however it was written.</summary>
    public string WhyInWords()
    {
        string? what = PrintCauses.Known(Print.Cause)?.What.TrimEnd('.');
        string cause = Print.Cause is null ? "" : $"{Print.Cause}{(what is null ? "" : $" ({char.ToLowerInvariant(what[0])}{what[1..]})")}, ";
        string when = Print.At.ToUniversalTime().ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture) + " UTC";
        string by = Print.By is null ? "" : $", by {CleanText.Line(Print.By, 40)}";
        return $"{cause}{when}{by}{(Print.Note.Length == 0 ? "" : $": {CleanText.Line(Print.Note, 200)}")}";
    }

    /// <summary>What whoever prints it again has to know first.</summary>
    /// <param name="artPath">The art.</param>
    public Problem Warning(string artPath) => new(
        Codes.LastPrintBad, $"The last print of this art under {CleanText.Line(Setup, 80)} was bad: {WhyInWords()}",
        (PrintCauses.Known(Print.Cause)?.HelpsWith(artPath) is { } helps ? $"What helps: {helps}. " : "")
            + $"A good print ends this: recipes printed {ShellWord.Of(artPath)} --result good.",
        new Place(artPath), Severity.Warning);
}
