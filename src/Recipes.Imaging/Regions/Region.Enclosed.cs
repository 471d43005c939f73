namespace Recipes.Imaging;

public sealed partial class Region
{
    /// <summary>Keeps those pixels of the region that are not outside in the art it was found in.</summary>
    /// <remarks>
    /// Outside is what a 4-connected walk from the border of the image reaches through transparent pixels (alpha 0) and
    /// pixels whose three channels are all at least 255 minus <paramref name="near"/>. In a cut-out, as <see cref="Ground"/>
    /// says, the walk passes transparent pixels only: then white at the border is art that was trimmed. On paper that isn't white it
    /// passes what is so near to the paper's color, and no pure white: that is drawn.
    /// </remarks>
    /// <param name="near">Levels, 0 to 255; 24 unless told otherwise.</param>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="near"/> is not 0 to 255.</exception>
    public Region Enclosed(int near = 24)
    {
        var passable = Passable(near);
        var walk = ConnectedRegions.Of(passable.Coverage);
        return Except(passable.With(walk.Keep(passable.Coverage, walk.OnBorder())));
    }

    /// <summary>What that walk passes.</summary>
    internal Region Passable(int near)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(near);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(near, 255);
        var clear = Find.Transparent(FoundIn).Coverage;
        return Ground.IsCutOut ? With(clear)
            : !Ground.HasColoredPaper ? With(Combine<UnionOperation>(clear, Find.Mask(FoundIn, LevelTest.AtLeast((byte)(255 - near)))))
            : With(Combine<UnionOperation>(clear, Find.Mask(FoundIn, LevelTest.Around(Ground.Paper, near)))).Except(Find.PureWhite(FoundIn));
    }
}
