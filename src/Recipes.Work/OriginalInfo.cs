using System.Collections.Immutable;

namespace Recipes.Work;

/// <summary>What a work file knows about the customer's file.</summary>
/// <param name="Name">File name without folders.</param>
/// <param name="Sha256">Of the file's bytes, lower-case hex.</param>
/// <param name="Format">Format and mode, for instance <c>PNG, 8-bit RGBA</c>.</param>
/// <param name="Notes">What reading it did, for instance turning it upright.</param>
/// <param name="Width">Width in px.</param>
/// <param name="Height">Height in px.</param>
/// <param name="PixelsPerInch">The file's own resolution, or null.</param>
public sealed record OriginalInfo(
    string Name, string Sha256, string Format, ImmutableArray<string> Notes, int Width, int Height, double? PixelsPerInch);
