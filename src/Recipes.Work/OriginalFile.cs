using System.Collections.Immutable;

namespace Recipes.Work;

/// <summary>The file that the customer sent, as it goes into a new work file.</summary>
/// <param name="Name">File name without folders.</param>
/// <param name="Bytes">Its bytes, at most 900 MB.</param>
/// <param name="Format">Format and mode, for instance <c>PNG, 8-bit RGBA</c>.</param>
/// <param name="Notes">What reading it did, for instance turning it upright.</param>
public sealed record OriginalFile(string Name, byte[] Bytes, string Format, ImmutableArray<string> Notes);
