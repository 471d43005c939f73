namespace Recipes.Work;

/// <summary>Where a step stands on its line.</summary>
public enum StepState
{
    /// <summary>Part of the current state.</summary>
    Done,

    /// <summary>Undone; redo reaches it.</summary>
    Undone,

    /// <summary>Undone, and a later commit took another way.</summary>
    Abandoned,
}

/// <summary>One step of a line.</summary>
/// <param name="Number">From 1; never used twice within a line.</param>
/// <param name="Parent">The step that it started from; 0 is the original.</param>
/// <param name="State">Where it stands.</param>
/// <param name="Record">What the commit wrote down.</param>
public sealed record WorkStep(int Number, int Parent, StepState State, StepRecord Record);
