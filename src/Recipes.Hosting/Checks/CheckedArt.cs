using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Shops;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Checks;

/// <summary>An art that was looked at.</summary>
/// <param name="State">The art.</param>
/// <param name="Chosen">The garment setup, and whether somebody chose it.</param>
/// <param name="Check">What was found.</param>
/// <param name="Export">Of an export of ours, whether it is still current; else null.</param>
public sealed record CheckedArt(ArtState State, ChosenSetup Chosen, ArtCheck Check, ExportStatus? Export)
{
    /// <summary>The handover notes on the art, the oldest first.</summary>
    public ImmutableArray<ArtNote> Notes { get; init; } = [];

    /// <summary>The setup that would be taken where none is named; what is advised for another one must name it.</summary>
    public required string UsualSetup { get; init; }

    /// <summary>Looks at an art, and goes on while its work file is open.</summary>
    /// <exception cref="ProblemException">R3 codes the art can't be read; R1006, R1007 no such setup; R3009, R3010 the work file can't be read.</exception>
    public static T Look<T>(Shop shop, ArtReference art, Func<CheckedArt, T> then)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(then);
        using var open = OpenArt.Of(shop, art);
        var state = open.State(shop.Workers);
        var check = shop.Progress.During("Looking", () => shop.Timings.Measure("check", () => ArtCheck.Of(state)));
        var export = ExportStatus.Of(shop, open.File, state.Provenance);
        if (export is { Current: false })
        {
            check = check with { Findings = check.Findings.Add(new Finding("outdated-export", export.Message, 0, null, null)) };
        }

        return then(new CheckedArt(state, open.Chosen, check, export)
        {
            Notes = [.. state.OwnWork?.Notes ?? []], UsualSetup = ChosenSetup.NameWithout(open.Work),
        });
    }
}
