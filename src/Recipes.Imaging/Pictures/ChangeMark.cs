using System.Numerics;

namespace Recipes.Imaging.Pictures;

/// <summary>
/// The marks of a difference picture: a color and a pattern for each kind of change. A pattern alternates between two
/// shades of its mark, so a changed pixel never looks like an unchanged one, which is always gray.
/// </summary>
/// <remarks>The colors are those of Okabe and Ito, from memory; the second shades and the pale green are our own choice.</remarks>
public static class ChangeMark
{
    private static readonly Rgba8[] Grounds =
        [default, new(0x00, 0x72, 0xB2), new(0xD5, 0x5E, 0x00), new(0xF0, 0xE4, 0x42), new(0xCC, 0x79, 0xA7), new(0xE2, 0xED, 0xE6)];

    private static readonly Rgba8[] Patterns =
        [default, new(0x8F, 0xCF, 0xF5), new(0xFF, 0xD2, 0xA6), new(0x5E, 0x52, 0x00), new(0x6E, 0x1F, 0x4E), new(0xB4, 0xD2, 0xC0)];

    // An ordered order of the 4 x 4 dots of a block, each 2 px wide: every further dot lies far from the ones before.
    private static ReadOnlySpan<byte> DotOrder => [0, 8, 2, 10, 12, 4, 14, 6, 3, 11, 1, 9, 15, 7, 13, 5];

    /// <summary>The color of a mark.</summary>
    public static Rgba8 ColorOf(ChangeKind kind) => Grounds[(int)kind];

    /// <summary>The second shade, in which the pattern is drawn.</summary>
    public static Rgba8 PatternOf(ChangeKind kind) => Patterns[(int)kind];

    /// <summary>
    /// The mark at a place. Ink gained has stripes, ink lost a crosshatch, another alpha checks; what stays bare has a pale,
    /// sparse grid, since nobody will see it on the garment. A changed color has dots:
    /// one in a block of 8 x 8 px where it changed by one level, and one more for every doubling, up to eight.
    /// </summary>
    /// <param name="kind">What happened.</param>
    /// <param name="delta">The largest difference of any channel, 1 to 255 levels.</param>
    /// <param name="x">Column in the art.</param>
    /// <param name="y">Row in the art.</param>
    public static Rgba8 At(ChangeKind kind, int delta, int x, int y)
    {
        bool pattern = kind switch
        {
            ChangeKind.InkGained => ((x + y) & 7) < 3,
            ChangeKind.InkLost => ((x + y) & 7) < 2 || ((x - y) & 7) < 2,
            ChangeKind.Color => DotOrder[((y >> 1 & 3) * 4) + (x >> 1 & 3)] <= BitOperations.Log2((uint)delta),
            ChangeKind.Bare => (x & 7) == 0 || (y & 7) == 0,
            _ => ((x ^ y) & 4) != 0,
        };
        return pattern ? Patterns[(int)kind] : Grounds[(int)kind];
    }

    /// <summary>A sample of a mark for a legend.</summary>
    public static Plane<Rgba8> Sample(ChangeKind kind, int width, int height) =>
        Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            for (int i = 0; i < samples.Length; i++)
            {
                samples[i] = At(kind, SampleDelta, bounds.X + (i % bounds.Width), bounds.Y + (i / bounds.Width));
            }
        });

    /// <summary>The change in levels that a legend's sample of <see cref="ChangeKind.Color"/> shows.</summary>
    internal const int SampleDelta = 8;
}
