namespace Recipes.Problems;

/// <summary>What the program's exit code means; part of the command-line contract.</summary>
public enum ExitCode
{
    /// <summary>Done.</summary>
    Done = 0,

    /// <summary>A test case of a recipe failed.</summary>
    TestFailed = 1,

    /// <summary>Unknown command, recipe or parameter, bad value, bad or missing setup.</summary>
    Usage = 2,

    /// <summary>The art can't be used, or a work file, chart or pack is damaged or of a newer version.</summary>
    Art = 3,

    /// <summary>The recipe is refused: it doesn't compile, or uses what recipes may not use.</summary>
    RecipeRefused = 4,

    /// <summary>The recipe failed, declined this art or setup, or went over its budget.</summary>
    RecipeFailed = 5,

    /// <summary>A guardrail or <c>--strict</c> stopped it.</summary>
    Guardrail = 6,

    /// <summary>Stale dry run, art changed, recipe already run, nothing to undo or redo, work file in use.</summary>
    Conflict = 7,

    /// <summary>Not approved, a signature or key that doesn't hold, or this machine can't confine it.</summary>
    NotApproved = 8,

    /// <summary>The output can't be written.</summary>
    Output = 9,

    /// <summary>A fault of the program itself.</summary>
    Fault = 70,

    /// <summary>Interrupted.</summary>
    Interrupted = 130,
}
