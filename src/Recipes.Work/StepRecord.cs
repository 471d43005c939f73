using System.Collections.Immutable;

namespace Recipes.Work;

/// <summary>What a commit writes down about its run. Opaque to the work file: kept and given back as it came.</summary>
public sealed record StepRecord
{
    /// <summary>The recipe's name on the recipe path, or its file's stem.</summary>
    public required string Recipe { get; init; }

    /// <summary>The recipe's version, as it states it.</summary>
    public required int RecipeVersion { get; init; }

    /// <summary>Of the recipe's source and loaded snippets, lower-case hex.</summary>
    public required string RecipeSha256 { get; init; }

    /// <summary>What the recipe does, in a line.</summary>
    public required string RecipeTitle { get; init; }

    /// <summary>Every parameter as <c>--set</c> would give it; 64 KiB together.</summary>
    public required ImmutableSortedDictionary<string, string> Parameters { get; init; }

    /// <summary>The garment setup in full, as JSON; at most 256 KiB.</summary>
    public required string SetupJson { get; init; }

    /// <summary>The hash of the garment setup, lower-case hex.</summary>
    public required string SetupSha256 { get; init; }

    /// <summary>Who committed (<c>--by</c>), or null.</summary>
    public string? By { get; init; }

    /// <summary>When it was committed.</summary>
    public required DateTimeOffset At { get; init; }

    /// <summary>Counts and guardrails of the run, as JSON; at most 1 MiB.</summary>
    public required string ReportJson { get; init; }
}
