using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>More ways that files come: through old programs, phones and background removers.</summary>
internal sealed partial record Delivery
{
    /// <summary>Taken from a JPEG on white with a mask that fits exactly: what a background remover gives.</summary>
    public static Delivery JpegCut(int quality) => new($"cut-from-jpeg-{quality}", false, art =>
    {
        var compressed = Compressed(art, Over(art.Ideal, WhitePaper), quality, 2.5);
        return compressed with { Pixels = [.. compressed.Pixels.Select((pixel, i) => pixel.WithAlpha(art.Ideal[i].A))], File = null };
    });

    public static Delivery CreamJpeg(int quality) =>
        new($"cream-jpeg-{quality}", true, art => Compressed(art, Over(art.Ideal, CreamPaper), quality, 2.5));

    /// <summary>To half its size and back.</summary>
    public static readonly Delivery HalvedCutOut = new("halved-cut-out", false, art => new Received(art, Resample(art.Ideal, art, 0.5), 3.5));

    /// <summary>Sharpened on white paper: edges overshoot on both sides.</summary>
    public static readonly Delivery Sharpened = new("sharpened", true, art =>
    {
        var plain = Over(art.Ideal, WhitePaper);
        var soft = Blurred(plain, art.Width, art.Height);
        return new Received(art, [.. plain.Select((pixel, i) => new Rgba8(Sharp(pixel.R, soft[i].R), Sharp(pixel.G, soft[i].G), Sharp(pixel.B,
            soft[i].B)))], 2.5) { Overshoots = true };

        static byte Sharp(byte one, byte mean) => (byte)Math.Clamp(one + ((one - mean) * 4 / 5), 0, 255);
    });

    /// <summary>White paper of a cheap scanner: 251 to 255, grain of its own in each channel.</summary>
    public static readonly Delivery Speckled = new("speckled-paper", true, art => new Received(art, [.. Over(art.Ideal, WhitePaper).Select((pixel, i) =>
        new Rgba8(Less(pixel.R, 74, i), Less(pixel.G, 75, i), Less(pixel.B, 76, i)))], 1.5, Grainy: WhitePaper));

    /// <summary>Cut from black paper so many px outside the ink.</summary>
    public static Delivery BlackRim(double wide) => new($"rim-black-{wide}", false, art =>
    {
        var far = Distances.To(art.Width, art.Height, wide + 1, i => art.Ideal[i].A >= 128);
        return new Received(art, [.. Over(art.Ideal, Rgba8.Black).Select((pixel, i) => far[i] <= wide ? pixel : default)], 1.5);
    });

    /// <summary>Of 32 levels a channel and no half-transparency, on white where it was: an old web picture.</summary>
    public static readonly Delivery Web = new("web", false, art => new Received(art, [.. art.Ideal.Select(pixel => pixel.A < 128 ? default
        : Coarse(Over(pixel, WhitePaper)))], 1.5));

    private static byte Less(byte level, int seed, int i) => (byte)Math.Max(0, level - (int)(5 * Shapes.Chance(seed, i)));

    private static Rgba8 Coarse(Rgba8 pixel)
    {
        return new Rgba8(Step(pixel.R), Step(pixel.G), Step(pixel.B));

        static byte Step(byte level) => (byte)Math.Round(Math.Round(level / 255.0 * 31) / 31 * 255);
    }
}
