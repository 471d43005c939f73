namespace Recipes.Imaging;

/// <summary>Regions of few pixels, given one by one.</summary>
internal static class SparseRegion
{
    /// <summary>A region of pixels, each as y x width + x with its coverage; a pixel given twice has one of its coverages.</summary>
    public static Region Of(Plane<Rgba8> art, IReadOnlyList<(int At, byte Coverage)> pixels)
    {
        var none = Plane<byte>.OneValue(art.Width, art.Height, 0);
        var byTile = pixels.ToLookup(pixel => art.Grid.IndexAt(pixel.At % art.Width, pixel.At / art.Width));
        return new Region(Plane<byte>.Build(art.Width, art.Height, none, (bounds, samples) =>
        {
            samples.Clear();
            foreach (var (at, coverage) in byTile[art.Grid.IndexAt(bounds.X, bounds.Y)])
            {
                samples[(((at / art.Width) - bounds.Y) * bounds.Width) + (at % art.Width) - bounds.X] = coverage;
            }
        }, tile => byTile.Contains(tile) ? null : none.Tiles[tile]), art);
    }
}
