namespace Recipes.Jail;

/// <summary>The layers of the jail. The program always uses all that the machine has; tests leave one out to show that it matters.</summary>
[Flags]
internal enum JailLayers
{
    None = 0,
    Landlock = 1,
    CoarseFilter = 2,
    StrictFilter = 4,
    Limits = 8,
    All = Landlock | CoarseFilter | StrictFilter | Limits,
}
