using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tickets;

/// <summary>A print that the work file or the journal remembers.</summary>
/// <param name="Setup">The garment setup's name.</param>
/// <param name="Print">What is remembered.</param>
public sealed record EarlierPrint(string Setup, PrintRecord Print)
{
    /// <summary>What the file was called then, where its name was another or its work file doesn't know of it; else null.</summary>
    public string? Art { get; init; }

    /// <summary>True where it was under another setup than is asked about.</summary>
    public bool OtherSetup { get; init; }

    /// <summary>
    /// The last print under the state's setup, where it was bad; else the last one of the same bytes, whatever they were called and under whatever setup,
    /// where that was. Null where a good one ended it, or none is remembered.
    /// </summary>
    /// <exception cref="ProblemException">R3009: the work file is damaged.</exception>
    public static EarlierPrint? LastBad(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        string sha256 = state.File.Sha256;
        return LastBad(state.File, state.OwnWork, state.Setup.Name, Journal.Holding(sha256, IsPrint));
    }

    /// <summary>The same of a file among many, with all prints that the journal has.</summary>
    /// <param name="file">The file.</param>
    /// <param name="own">Its work file, where it is of this very file.</param>
    /// <param name="setup">The garment setup's name.</param>
    /// <param name="journal">Prints of the journal, the oldest first.</param>
    /// <exception cref="ProblemException">R3009: the work file is damaged.</exception>
    public static EarlierPrint? LastBad(ArtFile file, WorkFile? own, string setup, IEnumerable<JournalEntry> journal)
    {
        ArgumentNullException.ThrowIfNull(file);
        if (own is not null && LastBad(own, setup) is { } known)
        {
            return known;
        }

        string name = JournalFile.NameOf(file.Path);
        // What the work file remembers itself comes last: of two at the same second it is the later.
        var noted = journal.Where(entry => IsPrint(entry) && entry.Art!.Sha256 == file.Sha256).Select(entry => Of(entry, name, setup));
        var all = noted.Concat(own is null ? [] : own.Setups.SelectMany(line => own.Line(line).Prints.TakeLast(1).Select(print =>
            new EarlierPrint(line, print) { OtherSetup = line != setup }))).OrderBy(print => print.Print.At).ToList();
        return new[] { all.LastOrDefault(print => !print.OtherSetup), all.LastOrDefault() }.FirstOrDefault(print => print is { Print.IsGood: false });
    }

    /// <summary>True for a print of a file under a setup.</summary>
    public static bool IsPrint(JournalEntry entry) =>
        entry is { Act: JournalAct.Print, Art: not null, Setup: not null } && (entry.Result == PrintJson.Word(true) || entry.Result == PrintJson.Word(false));

    private static EarlierPrint Of(JournalEntry entry, string name, string setup) => new(entry.Setup!, new PrintRecord
    {
        Step = entry.Step ?? 0, PixelsSha256 = "", IsGood = entry.Result == PrintJson.Word(true), Note = entry.Note ?? "", Cause = entry.Cause,
        SetupJson = "{}", By = entry.By, At = entry.At,
    })
    {
        Art = entry.Art!.Name == name ? null : entry.Art.Name,
        OtherSetup = entry.Setup != setup,
    };

    /// <summary>The last print under a setup, where it was bad, or null.</summary>
    /// <exception cref="ProblemException">R3009: the work file is damaged.</exception>
    public static EarlierPrint? LastBad(WorkFile work, string setup)
    {
        ArgumentNullException.ThrowIfNull(work);
        return work.Line(setup).Prints is [.., { IsGood: false } last] ? new EarlierPrint(setup, last) : null;
    }

    /// <summary>What it was called and under which setup, where either was another; then why it was bad, as one line, however it was written.</summary>
    public string WhyInWords() => (Art, OtherSetup) switch
    {
        (null, false) => Why(),
        (null, true) => $"under {CleanText.Line(Setup, 80)}, {Why()}",
        _ => $"as {CleanText.Line(Art, 80)} under {CleanText.Line(Setup, 80)}, {Why()}",
    };

    // Why, when, who said so, and what they noted.
    private string Why()
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
        Codes.LastPrintBad,
        $"The last print of this art{(Art is null ? "" : $", then called {CleanText.Line(Art, 80)},")} under {CleanText.Line(Setup, 80)} was bad: {Why()}",
        (PrintCauses.Known(Print.Cause)?.HelpsWith(artPath) is { } helps ? $"What helps: {helps}. " : "")
            + $"A good print ends this: recipes printed {ShellWord.Of(artPath)} --result good.",
        new Place(artPath), Severity.Warning);
}
