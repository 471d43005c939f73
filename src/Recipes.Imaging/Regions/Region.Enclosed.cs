namespace Recipes.Imaging;

public sealed partial class Region
{
    /// <summary>Keeps those pixels of the region that are not outside in the art it was found in.</summary>
    /// <remarks>
    /// Outside is what a 4-connected walk from the border of the image reaches through transparent pixels (alpha 0) and
    /// pixels whose three channels are all at least 255 minus <paramref name="near"/>. Where over half of the border
    /// pixels, each counted once, are transparent, the walk passes transparent pixels only: then white at the border is
    /// art that was trimmed.
    /// </remarks>
    /// <param name="near">Levels, 0 to 255; 24 unless told otherwise.</param>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="near"/> is not 0 to 255.</exception>
    public Region Enclosed(int near = 24)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(near);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(near, 255);
        var passable = Find.Mask(FoundIn, LevelTest.Transparent);
        if (!MostlyTransparentBorder(FoundIn))
        {
            passable = Combine<UnionOperation>(passable, Find.Mask(FoundIn, LevelTest.AtLeast((byte)(255 - near))));
        }

        var walk = ConnectedRegions.Of(passable);
        var outside = walk.Keep(passable, walk.OnBorder());
        return With(Combine<ExceptOperation>(Coverage, outside));
    }

    internal static bool MostlyTransparentBorder(Plane<Rgba8> art)
    {
        int width = art.Width, height = art.Height;
        long border = 0, transparent = 0;
        void Look(int x, int y)
        {
            border++;
            transparent += art[x, y].IsTransparent ? 1 : 0;
        }

        for (int x = 0; x < width; x++)
        {
            Look(x, 0);
            if (height > 1)
            {
                Look(x, height - 1);
            }
        }

        for (int y = 1; y < height - 1; y++)
        {
            Look(0, y);
            if (width > 1)
            {
                Look(width - 1, y);
            }
        }

        return transparent * 2 > border;
    }
}
