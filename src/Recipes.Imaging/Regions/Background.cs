namespace Recipes.Imaging;

public static partial class Find
{
    // Compression noise reaches one 16x16 block from an edge, so what is even and thicker than a block is drawing.
    private const int Block = 16;

    /// <summary>
    /// The background as a walk from the border of the image reaches it: near-white dust included, pale shapes and
    /// highlights not. Exact white and transparent background pixels are part of the result.
    /// </summary>
    /// <remarks>
    /// A pixel's distance from white is the largest of 255-R, 255-G, 255-B. The walk is 4-connected and passes
    /// transparent pixels; pixels within <paramref name="background"/> that are neutral, their channels at most half of
    /// <paramref name="background"/> apart; and, in the ring around art, pixels within <paramref name="nearArt"/>. Art is
    /// what has alpha above 0 and is further from white than <paramref name="nearArt"/>; what was made printable earlier;
    /// and pale drawing: among pixels within twice <paramref name="nearArt"/> that the walk couldn't pass outside the
    /// ring, those that are <see cref="Region.Flat"/>, in islands over 16 px thick somewhere. What was made printable
    /// and pale drawing are never passed; thinner pale strokes beside art are not told from compression noise.
    /// </remarks>
    /// <param name="art">Flattened art.</param>
    /// <param name="printedWhite">Whites that an earlier step made printable, which never change back; none where null.</param>
    /// <param name="background">Largest distance from white, in levels, everywhere in the background.</param>
    /// <param name="nearArt">Largest distance from white, in levels, in the ring.</param>
    /// <param name="ringPx">Width of the ring in px, Euclidean between pixel centers.</param>
    /// <exception cref="ArgumentException"><paramref name="printedWhite"/> differs from the art in size.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Levels are not 0 to 255, or the ring is negative or not a number.</exception>
    public static Region Background(Plane<Rgba8> art, Region? printedWhite, int background, int nearArt, double ringPx)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentOutOfRangeException.ThrowIfNegative(background);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(background, 255);
        ArgumentOutOfRangeException.ThrowIfNegative(nearArt);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(nearArt, 255);

        var paper = Found(art, new PaperTest(background));
        var tinted = Found(art, new TintedTest(background, nearArt));
        var kept = PaleDrawing(Found(art, new TintedTest(background, Math.Min(255, 2 * nearArt))));
        if (printedWhite is not null)
        {
            kept = kept.Union(Covered(printedWhite));
        }

        var ring = Found(art, new FarTest(nearArt)).Union(kept).Spread(ringPx);
        return tinted.Intersect(ring).Union(paper).Except(kept).Union(Transparent(art)).OnBorder();
    }

    /// <summary>What is drawn rather than paper: alpha above 0, and further from white than so many levels in some channel.</summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="near">Largest distance of paper from white, in levels.</param>
    public static Region Drawn(Plane<Rgba8> art, int near) => Found(art, new FarTest(near));

    private static Region PaleDrawing(Region pale)
    {
        var flat = pale.Flat();
        var thick = flat.Choke(Block / 2);
        if (thick.IsEmpty)
        {
            return thick;
        }

        var parts = ConnectedRegions.Of(flat.Coverage);
        return flat.With(parts.Keep(flat.Coverage, parts.Touching(thick.Coverage)));
    }

    private static Region Covered(Region region) => region.With(Plane<byte>.Build(region.Coverage.Width, region.Coverage.Height, region.Coverage, (bounds, target) =>
    {
        region.Coverage.Tiles[region.Coverage.Grid.IndexAt(bounds.X, bounds.Y)].CopyTo(target);
        foreach (ref byte coverage in target)
        {
            coverage = coverage == 0 ? (byte)0 : (byte)255;
        }
    }));

    // How far a pixel lies from white, in levels.
    private static int FromWhite(Rgba8 p) => 255 - Math.Min(p.R, Math.Min(p.G, p.B));

    private static bool IsPaper(Rgba8 p, int background) => FromWhite(p) <= background
        && (Math.Max(p.R, Math.Max(p.G, p.B)) - Math.Min(p.R, Math.Min(p.G, p.B))) * 2 <= background;

    private readonly struct PaperTest(int background) : IPixelTest
    {
        public bool Holds(Rgba8 pixel) => pixel.A != 0 && IsPaper(pixel, background);
    }

    private readonly struct TintedTest(int background, int nearArt) : IPixelTest
    {
        public bool Holds(Rgba8 pixel) => pixel.A != 0 && FromWhite(pixel) <= nearArt && !IsPaper(pixel, background);
    }

    private readonly struct FarTest(int nearArt) : IPixelTest
    {
        public bool Holds(Rgba8 pixel) => pixel.A != 0 && FromWhite(pixel) > nearArt;
    }
}
