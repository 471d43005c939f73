namespace Recipes.Imaging;

public static partial class Find
{
    /// <summary>
    /// Printed islands smaller than an area that stand alone on bare ground and are no pattern. Periods, dots on letters and
    /// details beside the art stay out, and so do dots of a halftone and grain.
    /// </summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="areaPx">The area in px2, 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">The area is negative or not a number.</exception>
    /// <seealso cref="Dirt"/>
    public static Region Specks(Plane<Rgba8> art, InkRules rules, double areaPx) => Dirt(art, rules, areaPx).Specks;

    /// <summary>
    /// Bare holes smaller than an area in printed art, 4-connected, that stand alone and are no pattern. Strokes and counters of
    /// small lettering stay out, and so do highlights that run into shading.
    /// </summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="areaPx">The area in px2, 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">The area is negative or not a number.</exception>
    /// <seealso cref="Dirt"/>
    public static Region Pinholes(Plane<Rgba8> art, InkRules rules, double areaPx) => Dirt(art, rules, areaPx).Pinholes;
}
