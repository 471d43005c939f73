using System.Collections.Immutable;

namespace Recipes.Work;

/// <summary>The undo stack of one garment setup.</summary>
/// <param name="Setup">The garment setup's name.</param>
/// <param name="Head">The step that is the current state; 0 is the original.</param>
/// <param name="Steps">All steps by number, undone and abandoned ones too.</param>
/// <param name="Exports">Exported files by path.</param>
/// <param name="Prints">Real prints, in the order in which they were told.</param>
public sealed record WorkLine(
    string Setup, int Head, ImmutableArray<WorkStep> Steps, ImmutableArray<ExportRecord> Exports, ImmutableArray<PrintRecord> Prints);

/// <summary>What an undo or a redo did.</summary>
/// <param name="From">The current step before.</param>
/// <param name="To">The current step now.</param>
/// <param name="Outdated">Exported files that showed the current state before and no longer do.</param>
public sealed record HeadMove(int From, int To, ImmutableArray<ExportRecord> Outdated);
