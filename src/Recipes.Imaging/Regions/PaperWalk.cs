namespace Recipes.Imaging;

/// <summary>How far from the paper's color a background may be.</summary>
/// <param name="Background">Levels in some channel, everywhere, where the channels lie at most half of that apart.</param>
/// <param name="NearArt">Levels in some channel within the ring around art.</param>
/// <param name="RingPx">Width of the ring in px, Euclidean between pixel centers; 0 for none.</param>
public sealed record PaperTolerance(int Background, int NearArt, double RingPx)
{
    /// <summary>The trade's: 8 levels, 23 within 1.5 mm of the art. Common practice, no source.</summary>
    /// <param name="pixelsPerInch">Pixels per inch of the art.</param>
    public static PaperTolerance At(double pixelsPerInch) => new(8, 23, 1.5 / 25.4 * pixelsPerInch);
}

/// <summary>The paper around a figure, as a walk from the picture's edge reaches it.</summary>
/// <param name="Reached">All that it reached: paper, dust on it and clear pixels.</param>
/// <param name="Edge">
/// Of it, the parts that touch the picture's edge and hold no corner of it, nor one where other paper holds most: paper between
/// things, or white of a figure that runs off.
/// </param>
/// <param name="Fade">Pale color beside the paper that stays, since it runs on beyond the ring around the art: a vignette, a wash, a soft shadow.</param>
public sealed record PaperWalk(Region Reached, Region Edge, Region Fade)
{
    /// <summary>The rectangle of a photograph on the paper, which is all that isn't paper; null where there is none.</summary>
    public Box? Photograph { get; init; }

    /// <summary>All that a walk could pass, in its connected parts; null where there is no paper.</summary>
    internal (Region Passable, ConnectedRegions Parts)? Parts { get; init; }

    /// <summary>What it could pass and doesn't reach, since art surrounds it; null where there is no paper.</summary>
    internal Region? Enclosed => Parts is var (passable, _) ? passable.Except(Reached) : null;

    /// <summary>The same around a photograph: nothing in its rectangle is paper.</summary>
    internal PaperWalk Around(Box photograph)
    {
        var outside = Find.Outside(Reached.FoundIn, photograph);
        return this with { Reached = Reached.Intersect(outside), Edge = Edge.Intersect(outside), Fade = Fade.Intersect(outside), Photograph = photograph };
    }

    /// <summary>The parts that share a pixel with a region, reached or not: the hole of a ring with the dust in it.</summary>
    internal Region PartsAt(Region region) => Parts is not var (passable, parts) ? region.Except(region)
        : passable.With(parts.Keep(passable.Coverage, parts.Touching(region.Coverage)));
}
