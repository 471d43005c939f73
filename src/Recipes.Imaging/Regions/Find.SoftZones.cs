namespace Recipes.Imaging;

public static partial class Find
{
    // The soft band of an edge is at most 4 px wide: in a wider one some pixel has none that is opaque or clear within 2 px.
    // And how far around such a pixel its zone reaches. Ours; no source.
    private const int SoftBand = 2, SoftReach = 4;

    // Levels of alpha from clear, and from opaque, that are hardly seen to go: 3%. Art that was saved a little less than
    // opaque is no soft zone.
    private const int HardlySoft = 8;

    // Levels from the garment's color up to which a mix is hardly seen.
    private const int HardlyShown = 23;

    /// <summary>
    /// Where partial alpha is wider than the soft band of an edge, which anti-aliasing and resampling make up to 4 px wide:
    /// shadows, glows, fades, tints. Pixels within 3% of clear or of opaque make none.
    /// </summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="setup">What stays bare, and the garment's color, which decide what is seen.</param>
    public static SoftZones SoftZones(Plane<Rgba8> art, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        var soft = PartlyTransparent(art);
        var core = (soft.IsEmpty ? soft : Found(art, new LevelTest(new Rgba8(0, 0, 0, HardlySoft), Rgba8.White.WithAlpha(255 - HardlySoft)))).Choke(SoftBand);
        var all = core.IsEmpty ? core : soft.Intersect(core.Spread(SoftReach, where: soft));
        if (all.IsEmpty)
        {
            return new SoftZones(all, all);
        }

        // What shows only where an edge borders on the zone is the edge.
        var shown = Found(art, new ShownTest(setup.Ink, setup.Garment, HardlyShown));
        return new SoftZones(all, core.Intersect(shown).IsEmpty ? core.Except(core) : all.Intersect(shown));
    }

    private readonly struct ShownTest(InkRules rules, Rgba8 garment, int hardly) : IPixelTest
    {
        public bool Holds(Rgba8 pixel) =>
            rules.StateOf(pixel) == InkState.Prints && pixel.WithAlpha(255).LargestDifference(garment.WithAlpha(255)) * pixel.A > hardly * 255;
    }
}
