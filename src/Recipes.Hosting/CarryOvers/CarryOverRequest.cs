using Recipes.Imaging;

namespace Recipes.Hosting.CarryOvers;

/// <summary>An art's steps that are to be replayed on the file that was sent instead.</summary>
/// <param name="OldPath">The art that the work was done on, or its work file.</param>
/// <param name="NewPath">The file that was sent instead.</param>
/// <param name="Folder">Where pictures of what needs an answer are written.</param>
public sealed record CarryOverRequest(string OldPath, string NewPath, string Folder)
{
    /// <summary>The garment setup, by name or file; null takes the earlier art's own or the chosen one.</summary>
    public string? Setup { get; init; }

    /// <summary>Answers and other values, as <c>recipe.name=value</c>, or <c>step.recipe.name=value</c> where several steps ran the recipe.</summary>
    public IReadOnlyList<string> Sets { get; init; } = [];

    /// <summary>A folder of recipes to look in first, or null.</summary>
    public string? RecipesFolder { get; init; }

    /// <summary>What may happen to printing.</summary>
    public Guardrails Guardrails { get; init; } = Guardrails.Default;

    /// <summary>The kind of art that the file is, where somebody says it.</summary>
    public ArtKind? Kind { get; init; }

    /// <summary>True: a question that is open after a step ends the replay, and nothing is kept.</summary>
    public bool Strict { get; init; }

    /// <summary>True: what fits is kept; false: it is only told what would be.</summary>
    public bool Keep { get; init; }

    /// <summary>Who keeps it, or null.</summary>
    public string? By { get; init; }

    /// <summary>True: the folder is replaced whoever wrote it.</summary>
    public bool Force { get; init; }

    /// <summary>True: the folder's report says how long each phase took, and is never twice the same.</summary>
    public bool Timed { get; init; }
}
