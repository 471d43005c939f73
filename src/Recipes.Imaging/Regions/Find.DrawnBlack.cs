namespace Recipes.Imaging;

public static partial class Find
{
    /// <summary>
    /// Judges near-black by its connected shapes, as an eye does, and not pixel by pixel: a JPEG makes a band of near-blacks of every black
    /// outline, and lets some of them be tinted.
    /// </summary>
    /// <remarks>
    /// A shape is what hangs together, at corners too, of pixels within the limits and of those within 2 px of them that are over the limits by
    /// no more than 7 L* and 5 of chroma. It is drawn where at least a fifth of it is within the limits, at least seven tenths of its edge (half of it where
    /// hardly any is slow) are
    /// crisp (the levels rise by 72 within 6 px, or have risen by 14 or more and stay), less than three twentieths is a slow rise that goes on, and it is
    /// hardly uneven deep inside, 8 px from its edge: eight tenths of those pixels within 12 levels of each other, where they make a tenth of it,
    /// or nine tenths of its edge crisp. A shape of at least 2000 px that isn't drawn, and even inside to 6 levels, runs into a fade. The figures are ours,
    /// from drawings and photographs whose truth is
    /// known. In art with noise, small or thin parts that are as dark and hang on what is drawn belong to it, whatever their tint.
    /// </remarks>
    /// <param name="art">Flattened art.</param>
    /// <param name="lightness">Largest L* (Lab D50), 0 or more; compared after rounding both to 1e-6.</param>
    /// <param name="chroma">Largest chroma, 0 or more; likewise.</param>
    /// <exception cref="ArgumentOutOfRangeException">A limit is negative or not a number.</exception>
    public static DrawnBlack DrawnBlack(Plane<Rgba8> art, double lightness, double chroma)
    {
        ArgumentNullException.ThrowIfNull(art);
        return BlackShapes.Judge(art, Limit(lightness, nameof(lightness)), Limit(chroma, nameof(chroma)));
    }
}
