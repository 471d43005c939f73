namespace Recipes.Imaging;

public static partial class Find
{
    /// <summary>
    /// The straight-sided opaque white sheet behind the art of a cut-out, upright or turned, also where the canvas cuts its corners off, and where some of
    /// the art runs over its sides. Null where there is none.
    /// </summary>
    /// <param name="art">Flattened art.</param>
    internal static WhiteSheet? Sheet(Plane<Rgba8> art) => WhiteSheet.In(art);
}
