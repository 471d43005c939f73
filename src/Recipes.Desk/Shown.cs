using System.Collections.Immutable;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Runs;
using Recipes.Imaging;

namespace Recipes.Desk;

/// <summary>A state of an art as the page shows it. It never changes: what is kept later is another one.</summary>
/// <param name="Token">What the page calls it.</param>
/// <param name="Art">The art's file.</param>
/// <param name="State">Its pixels under a garment setup; the work file is closed.</param>
/// <param name="Json">What the page is told of it, without the token.</param>
internal sealed record ShownState(string Token, ShelvedArt Art, ArtState State, JsonObject Json) : IShown
{
    /// <summary>How it was asked for.</summary>
    public required ArtReference Reference { get; init; }

    /// <inheritdoc/>
    public Pictures Pictures { get; } = new(null, State.Art.Flat, State.Setup);
}

/// <summary>What a recipe would make of a state.</summary>
/// <param name="Token">What the page calls it.</param>
/// <param name="Of">What it was tried on.</param>
/// <param name="Request">What was tried.</param>
/// <param name="Run">The run.</param>
/// <param name="Listed">What came out.</param>
internal sealed record ShownTry(string Token, ShownState Of, TryRequest Request, ReadyRun Run, ListResult Listed) : IShown
{
    /// <inheritdoc/>
    public Pictures Pictures { get; } = new(Of.Pictures, Listed.Whole.After.Flat, Of.State.Setup);

    /// <summary>The tiles that it changes; empty where it has another size.</summary>
    public ImmutableArray<int> ChangedTiles()
    {
        Plane<Rgba8> before = Of.Pictures.Flat, after = Pictures.Flat;
        return before.Grid != after.Grid ? [] : [.. Enumerable.Range(0, after.Tiles.Length).Where(i => !before.Tiles[i].SameSamples(after.Tiles[i]))];
    }
}

/// <summary>What the page can show.</summary>
internal interface IShown
{
    /// <summary>What the page calls it.</summary>
    string Token { get; }

    /// <summary>Its pictures.</summary>
    Pictures Pictures { get; }
}
