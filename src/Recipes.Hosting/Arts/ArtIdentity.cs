using System.Collections.Immutable;

namespace Recipes.Hosting.Arts;

/// <summary>The art that it ran on.</summary>
/// <param name="Path">As given on the command line.</param>
/// <param name="Sha256">Of the file's bytes, lower-case hex.</param>
/// <param name="Width">Width in px.</param>
/// <param name="Height">Height in px.</param>
/// <param name="PixelsPerInch">The file's own resolution, or null.</param>
/// <param name="Format">Format and mode, for instance <c>PNG, 8-bit RGBA</c>.</param>
/// <param name="Notes">What reading it did, for instance turning it upright.</param>
public sealed record ArtIdentity(string Path, string Sha256, int Width, int Height, double? PixelsPerInch, string Format, ImmutableArray<string> Notes);
