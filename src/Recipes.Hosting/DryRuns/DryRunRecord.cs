using System.Text.Json.Nodes;

namespace Recipes.Hosting.DryRuns;

/// <summary>
/// What a dry run's report says: how <c>commit --dry-run</c> finds the inputs again, and how it sees early that one has
/// changed. Only the digest decides; everything else is a hint.
/// </summary>
public sealed record DryRunRecord
{
    /// <summary>The digest of everything that decided the result.</summary>
    public required string Digest { get; init; }

    /// <summary>The hash of the result's pixels.</summary>
    public required string ResultSha256 { get; init; }

    /// <summary>The art's path, whole.</summary>
    public required string Art { get; init; }

    /// <summary>The art's hash.</summary>
    public required string? ArtSha256 { get; init; }

    /// <summary>The recipe's path, whole.</summary>
    public required string Recipe { get; init; }

    /// <summary>The recipe's hash.</summary>
    public required string? RecipeSha256 { get; init; }

    /// <summary>The folder of the work file, whole, or null for beside the art.</summary>
    public required string? WorkFolder { get; init; }

    /// <summary>The setup's name, or its file's path, whole.</summary>
    public required string Setup { get; init; }

    /// <summary>True where nobody had chosen the setup.</summary>
    public required bool SetupIsFallback { get; init; }

    /// <summary>True where the dry run looked at the file itself.</summary>
    public required bool Original { get; init; }

    /// <summary>The kind of art, as <c>--kind</c> gave it, or null.</summary>
    public required string? Kind { get; init; }

    /// <summary>The parameters, as <c>--set</c> takes them.</summary>
    public required IReadOnlyList<string> Sets { get; init; }

    /// <summary>The guardrails' policies, as <c>--guard</c> takes them.</summary>
    public required IReadOnlyList<string> Guards { get; init; }

    /// <summary>The whole report.</summary>
    public required JsonObject Report { get; init; }

    /// <summary>Whether its files are as this user's program wrote them. Hashing them goes on beside other work.</summary>
    public required Task<bool> IsOwn { get; init; }
}
