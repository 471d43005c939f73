namespace Recipes.Work;

/// <summary>A handover note on an art: what whoever comes next has to know.</summary>
/// <param name="Text">What it says; at most 4 KiB.</param>
/// <param name="By">Who wrote it (<c>--by</c>), or null.</param>
/// <param name="At">When.</param>
public sealed record ArtNote(string Text, string? By, DateTimeOffset At);
