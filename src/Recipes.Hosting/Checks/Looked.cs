using Recipes.Hosting.Reports;
using Recipes.Imaging;

namespace Recipes.Hosting.Checks;

/// <summary>What a check looks at.</summary>
/// <param name="Art">The art.</param>
/// <param name="Setup">The garment setup.</param>
/// <param name="Decisions">What was decided before.</param>
internal sealed record Looked(Artwork Art, GarmentSetup Setup, Decisions Decisions)
{
    /// <summary>Pixels per printed inch.</summary>
    public double Ppi { get; } = Setup.ResolutionFor(Art);

    /// <summary>What prints.</summary>
    public Region Printed { get; } = Find.Printing(Art.Flat, Setup.Ink);
}
