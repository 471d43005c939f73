using Recipes.Hosting.Arts;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Imaging;

namespace Recipes.Hosting.ManyRuns;

/// <summary>How many pictures are run at once.</summary>
/// <param name="Folder">Where <c>STEM.png</c> and <c>STEM.json</c> of each are written.</param>
public sealed record ManyRunsRequest(string Folder)
{
    /// <summary>True: replaces what others wrote, but never an art.</summary>
    public bool Force { get; init; }

    /// <summary>Who does it, for the journal.</summary>
    public string? By { get; init; }

    /// <summary>Parameters that hold for all, as <c>--set</c> takes them.</summary>
    public IReadOnlyList<string> Sets { get; init; } = [];

    /// <summary>The folder to look for recipes in first, or null.</summary>
    public string? RecipesFolder { get; init; }

    /// <summary>The garment setup, by name or file, or null.</summary>
    public string? Setup { get; init; }

    /// <summary>The garment of the stock that names the setup, instead of one; it is looked for once a picture needs it.</summary>
    public string? Garment { get; init; }

    // R1013 where the stock doesn't list the garment.
    internal string? SetupName => Garment is { } garment ? GarmentStock.Find(garment).Name : Setup;

    /// <summary>What may happen to printing.</summary>
    public Guardrails Guardrails { get; init; } = Guardrails.Default;

    /// <summary>The kind of art, where somebody says it.</summary>
    public ArtKind? Kind { get; init; }

    /// <summary>True: a picture with an open question isn't written.</summary>
    public bool Strict { get; init; }

    /// <summary>True: records say how long each phase took, and are never twice the same.</summary>
    public bool Timed { get; init; }
}

/// <summary>One picture to make.</summary>
/// <param name="Art">The art.</param>
/// <param name="Recipes">What runs on it, with its parameters.</param>
/// <param name="Setup">The garment setup.</param>
/// <param name="Stem">What its files are called.</param>
/// <param name="Order">The row of the list of orders that it is for, or null.</param>
internal sealed record ToRun(string Art, ReadyRecipes Recipes, ChosenSetup Setup, string Stem, Order? Order);
