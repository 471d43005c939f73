namespace Recipes.Imaging;

public static partial class Find
{
    /// <summary>Pixels of alpha 1 to 254; their coverage is their alpha.</summary>
    public static Region PartlyTransparent(Plane<Rgba8> art)
    {
        ArgumentNullException.ThrowIfNull(art);
        var none = Plane<byte>.OneValue(art.Width, art.Height, 0);
        return new Region(Plane<byte>.Build(art.Width, art.Height, none, (bounds, target) =>
        {
            var pixels = art.Tiles[art.Grid.IndexAt(bounds.X, bounds.Y)].Samples;
            for (int p = 0; p < target.Length; p++)
            {
                target[p] = Soft(pixels[p]);
            }
        }, tile => art.Tiles[tile] is { IsOneValue: true } one ? Tile<byte>.OneValue(one.Width, one.Height, Soft(one.Value))
            : TileSummary.Of(art.Tiles[tile]).IsHard ? none.Tiles[tile] : null), art);

        static byte Soft(Rgba8 pixel) => pixel.A == 255 ? (byte)0 : pixel.A;
    }
}
