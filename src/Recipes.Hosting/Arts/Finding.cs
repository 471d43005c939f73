using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Arts;

/// <summary>Something about an art that the technician should know before it prints.</summary>
/// <param name="Code">A stable name, for instance <c>near-white-background</c>.</param>
/// <param name="Message">What it is and what it would do on the garment.</param>
/// <param name="Pixels">Pixels concerned; 0 where it isn't about pixels.</param>
/// <param name="Box">The smallest box around them, or null.</param>
/// <param name="Recipe">The recipe that mends it, or null.</param>
/// <param name="Set">The parameter that it needs for that, as <c>--set</c> takes it, or null.</param>
public sealed record Finding(string Code, string Message, long Pixels, Box? Box, string? Recipe, string? Set = null)
{
    /// <summary>The pixels concerned, to be marked in a picture; null where the box or the whole picture is all there is to show.</summary>
    public Region? Where { get; init; }

    /// <summary>What to type after a command that runs a recipe: the recipe, the art, and the parameter where it needs one.</summary>
    public string Typed(string art) => $"{Recipe} {ShellWord.Of(art)}{(Set is null ? "" : $" --set {Set}")}";
}
