using System.Collections.Immutable;
using Recipes.Imaging;

namespace Recipes.Hosting.Reports;

/// <summary>What differs between two states of an art, or between two arts.</summary>
/// <param name="Pixels">The exact difference of the flattened states; null where they differ in size.</param>
/// <param name="Ink">What prints on both sides.</param>
/// <param name="Moves">The main color moves, most pixels first; none where they differ in size.</param>
/// <param name="White">Where other white ink is in force afterwards, which no comparison of colors sees: how many pixels get any; else null.</param>
/// <param name="Resolution">Both resolutions where they differ, which no comparison of pixels sees; else null.</param>
public sealed record ArtChange(ArtworkDiff? Pixels, InkChange Ink, ImmutableArray<ColorMove> Moves, long? White, ResolutionChange? Resolution)
{
    /// <summary>Compares two states.</summary>
    public static ArtChange Between(Artwork before, Artwork after, InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        Plane<Rgba8> was = before.Flat, now = after.Flat;
        bool sized = was.Grid != now.Grid;
        return new ArtChange(
            sized ? null : ArtworkDiff.Between(was, now), InkChange.Between(was, now, rules), sized ? [] : ColorMoves.Of(was, now),
            before.LaysSameWhite(after) ? null : after.Underbase is { } laid ? new Region(laid, now).Count : 0,
            Artwork.IsSameResolution(before.PixelsPerInch, after.PixelsPerInch) ? null : new ResolutionChange(before.PixelsPerInch, after.PixelsPerInch));
    }
}

/// <summary>Another resolution, pixels per inch; null where none is stated.</summary>
public sealed record ResolutionChange(double? Before, double? After);
