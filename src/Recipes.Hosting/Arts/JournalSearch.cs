using Recipes.Hosting.Journals;
using Recipes.Problems;

namespace Recipes.Hosting.Arts;

/// <summary>What is looked for in the house's journal; null takes anything.</summary>
public sealed record JournalSearch
{
    /// <summary>What was done to this art: to what has its content now, wherever it lay and whatever it was called; or to files of its name.</summary>
    public string? ArtPath { get; init; }

    /// <summary>The garment setup's name.</summary>
    public string? Setup { get; init; }

    /// <summary>A recipe that had a part in it.</summary>
    public string? Recipe { get; init; }

    /// <summary>From when on.</summary>
    public DateTimeOffset? Since { get; init; }

    /// <summary>Who did it, however written large or small.</summary>
    public string? By { get; init; }

    /// <summary>Searches the journal.</summary>
    /// <exception cref="ProblemException">R3 codes, R6105, R6302: the art, the house's configuration or the journal can't be read.</exception>
    public JournalReading Find()
    {
        string? name = ArtPath is null ? null : JournalFile.NameOf(ArtPath);
        string? sha256 = File.Exists(ArtPath) ? ArtFile.Read(ArtPath).Sha256 : null;
        return Journal.Read(entry =>
            (name is null || Is(entry.Art) || Is(entry.File))
            && (Setup is null || entry.Setup == Setup)
            && (Recipe is null || entry.Concerns(Recipe))
            && (Since is null || entry.At >= Since)
            && (By is null || string.Equals(entry.By, By, StringComparison.OrdinalIgnoreCase)));

        bool Is(JournalFile? file) => file is not null && (file.Name == name || file.Sha256 == sha256);
    }
}
