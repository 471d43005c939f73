namespace Recipes.Work;

/// <summary>A file that was exported from a line.</summary>
/// <param name="Path">Where it was written; the same path again replaces the record.</param>
/// <param name="Sha256">Of the file's bytes, lower-case hex.</param>
/// <param name="Step">The step that it shows; 0 is the original.</param>
/// <param name="At">When.</param>
public sealed record ExportRecord(string Path, string Sha256, int Step, DateTimeOffset At);
