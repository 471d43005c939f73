using System.Runtime.InteropServices;
using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>The kinds of art that an order may honestly be judged to be.</summary>
[Flags]
internal enum Kinds
{
    CutOut = 1,
    OnPaper = 2,
    FullFrame = 4,
    Mixed = 8,
}

/// <summary>A drawing as it reached the shop.</summary>
/// <param name="Art">The drawing, cropped as the file is.</param>
/// <param name="Pixels">The file's pixels.</param>
/// <param name="Blur">How many px from an edge nothing is demanded.</param>
/// <param name="File">The file's own bytes where its pixels went through a lossy one.</param>
/// <param name="Grainy">The paper, where its grain hides what is of hardly another color; else null.</param>
internal sealed record Received(Rendering Art, Rgba8[] Pixels, double Blur, byte[]? File = null, Rgba8? Grainy = null)
{
    /// <summary>True where colors came through a lossy file, a lens or a resampling, and are known to some levels only.</summary>
    public bool IsLossy => Blur > 1.5;

    /// <summary>True where sharpening made edges of dark art darker than the art: no rim of any paper.</summary>
    public bool Overshoots { get; init; }
}

/// <summary>How a drawing came: cut out, on paper, through a scanner or a camera, resampled, badly cut.</summary>
internal sealed partial record Delivery(string Name, bool OnPaper, Func<Rendering, Received> Send)
{
    public static readonly Rgba8 WhitePaper = Rgba8.White, CreamPaper = new(250, 244, 226), GrayPaper = new(232, 232, 232);

    public static readonly Delivery CutOut = new("cut-out", false, art => new Received(art, art.Ideal, 1.5));

    /// <summary>Cropped to the smallest box around the ink.</summary>
    public static readonly Delivery Trimmed = new("trimmed", false, art => CutOut.Send(art.Crop(InkBox(art))));

    public static readonly Delivery Paper = On("paper", WhitePaper), OnCream = On("cream-paper", CreamPaper), OnGray = On("gray-paper", GrayPaper);

    /// <summary>As drawn: the art fills its frame.</summary>
    public static readonly Delivery AsDrawn = new("as-drawn", false, art => new Received(art, Over(art.Ideal, WhitePaper), 1.5));

    /// <summary>A scan on cream paper: softened by a px, uneven light, grain.</summary>
    public static readonly Delivery Scan = new("scan", true, art =>
    {
        var soft = Blurred(Over(art.Ideal, CreamPaper), art.Width, art.Height);
        var scanned = soft.Select((pixel, i) =>
        {
            int x = i % art.Width, y = i / art.Width;
            double light = (2.5 * (Shapes.Noise(71, x, y, 300) - 0.5)) + (5 * (Shapes.Chance(72, x, y) - 0.5));
            return new Rgba8(Lit(pixel.R), Lit(pixel.G), Lit(pixel.B));

            byte Lit(byte level) => (byte)Math.Clamp(Math.Round(level + light), 0, 255);
        });
        return new Received(art, [.. scanned], 2.5, Grainy: CreamPaper);
    });

    /// <summary>Smaller by a third and back, in straight lines between pixels.</summary>
    public static readonly Delivery Resized = new("resized", true, art => new Received(art, Resample(Over(art.Ideal, WhitePaper), art, 0.66), 3));

    public static readonly Delivery ResizedCutOut = new("resized-cut-out", false, art => new Received(art, Resample(art.Ideal, art, 0.66), 3));

    /// <summary>Colors stored as multiplied by their alpha, and read as if they weren't.</summary>
    public static readonly Delivery DarkRim = new("dark-rim", false, art => new Received(art,
        [.. art.Ideal.Select(pixel => new Rgba8((byte)(pixel.R * pixel.A / 255), (byte)(pixel.G * pixel.A / 255), (byte)(pixel.B * pixel.A / 255), pixel.A))],
            1.5));

    /// <summary>A JPEG on white paper with halved color, as most come.</summary>
    public static Delivery Jpeg(int quality) => new($"jpeg-{quality}", true, art => Compressed(art, Over(art.Ideal, WhitePaper), quality, 2.5));

    /// <summary>A small JPEG that somebody enlarged: both losses at once.</summary>
    public static Delivery EnlargedJpeg(int quality) => new($"enlarged-jpeg-{quality}", true, art =>
    {
        var received = Compressed(art, Over(art.Ideal, WhitePaper), quality, 3.5);
        return received with { Pixels = Resample(received.Pixels, art, 0.66), File = null };
    });

    public static Delivery AsDrawnJpeg(int quality) =>
        new($"as-drawn-jpeg-{quality}", false, art => Compressed(art, Over(art.Ideal, WhitePaper), quality, 2.5));

    /// <summary>Cut from white paper so many px outside the ink, by a hard mask or one that fades over as many px.</summary>
    public static Delivery OldRim(double wide, bool soft) => new($"rim-{(soft ? "soft" : "hard")}-{wide}", false, art =>
    {
        var far = Distances.To(art.Width, art.Height, (wide * 2) + 1, i => art.Ideal[i].A >= 128);
        var pixels = Over(art.Ideal, WhitePaper).Select((pixel, i) =>
        {
            double alpha = far[i] <= wide ? 1 : !soft || far[i] >= wide * 2 ? 0 : 2 - (far[i] / wide);
            return alpha == 0 ? default : pixel.WithAlpha((byte)Math.Round(255 * alpha));
        });
        return new Received(art, [.. pixels], 1.5);
    });

    public override string ToString() => Name;

    private static Delivery On(string name, Rgba8 paper) => new(name, true, art => new Received(art, Over(art.Ideal, paper), 1.5));

    private static Box InkBox(Rendering art)
    {
        var box = new Box(0, 0, 0, 0);
        for (int i = 0; i < art.Ideal.Length; i++)
        {
            if (art.Ideal[i].A != 0)
            {
                box = box.Around(new Box(i % art.Width, i / art.Width, 1, 1));
            }
        }

        return box;
    }

    // Source-over on an opaque backdrop (W3C Compositing and Blending Level 1).
    internal static Rgba8[] Over(Rgba8[] art, Rgba8 ground) => [.. art.Select(pixel => Over(pixel, ground))];

    internal static Rgba8 Over(Rgba8 pixel, Rgba8 ground)
    {
        return new Rgba8(Mix(pixel.R, ground.R), Mix(pixel.G, ground.G), Mix(pixel.B, ground.B));

        byte Mix(byte top, byte below) => (byte)(((top * pixel.A) + (below * (255 - pixel.A)) + 127) / 255);
    }

    private static Received Compressed(Rendering art, Rgba8[] pixels, int quality, double blur)
    {
        using var bitmap = Bitmap(pixels, art.Width, art.Height);
        using var map = bitmap.PeekPixels()!;
        using var data = map.Encode(new SKJpegEncoderOptions(quality, SKJpegEncoderDownsample.Downsample420, SKJpegEncoderAlphaOption.Ignore))!;
        using var decoded = SKBitmap.Decode(data, bitmap.Info.WithAlphaType(SKAlphaType.Opaque))!;
        return new Received(art, Pixels(decoded), blur, data.ToArray());
    }

    // Means of 3 x 3 px, for a lens.
    private static Rgba8[] Blurred(Rgba8[] pixels, int width, int height) => [.. pixels.Select((_, i) =>
    {
        int red = 0, green = 0, blue = 0, count = 0;
        for (int y = Math.Max(0, (i / width) - 1); y <= Math.Min(height - 1, (i / width) + 1); y++)
        {
            for (int x = Math.Max(0, (i % width) - 1); x <= Math.Min(width - 1, (i % width) + 1); x++)
            {
                var pixel = pixels[(y * width) + x];
                (red, green, blue, count) = (red + pixel.R, green + pixel.G, blue + pixel.B, count + 1);
            }
        }

        return new Rgba8((byte)(red / count), (byte)(green / count), (byte)(blue / count));
    })];

    // To a share of the size and back, bilinear, on multiplied colors.
    private static Rgba8[] Resample(Rgba8[] pixels, Rendering art, double share)
    {
        int width = (int)(art.Width * share), height = (int)(art.Height * share);
        return Bilinear(Bilinear(pixels, art.Width, art.Height, width, height), width, height, art.Width, art.Height);
    }

    private static Rgba8[] Bilinear(Rgba8[] pixels, int fromWidth, int fromHeight, int width, int height)
    {
        var made = new Rgba8[width * height];
        Parallel.For(0, made.Length, i =>
        {
            double x = (((i % width) + 0.5) * fromWidth / width) - 0.5, y = (((i / width) + 0.5) * fromHeight / height) - 0.5;
            int left = (int)Math.Floor(x), top = (int)Math.Floor(y);
            double red = 0, green = 0, blue = 0, alpha = 0;
            for (int k = 0; k < 4; k++)
            {
                int u = left + (k % 2), v = top + (k / 2);
                var pixel = pixels[(Math.Clamp(v, 0, fromHeight - 1) * fromWidth) + Math.Clamp(u, 0, fromWidth - 1)];
                double share = (1 - Math.Abs(x - u)) * (1 - Math.Abs(y - v)) * pixel.A;
                (red, green, blue, alpha) = (red + (share * pixel.R), green + (share * pixel.G), blue + (share * pixel.B), alpha + share);
            }

            if (Math.Round(alpha) > 0)
            {
                made[i] = new Rgba8((byte)Math.Round(red / alpha), (byte)Math.Round(green / alpha), (byte)Math.Round(blue / alpha), (byte)Math.Round(alpha));
            }
        });
        return made;
    }

    private static SKBitmap Bitmap(Rgba8[] pixels, int width, int height)
    {
        var bitmap = new SKBitmap(new SKImageInfo(width, height, SKColorType.Rgba8888, SKAlphaType.Unpremul));
        MemoryMarshal.AsBytes(pixels.AsSpan()).CopyTo(bitmap.GetPixelSpan());
        return bitmap;
    }

    private static Rgba8[] Pixels(SKBitmap bitmap) => MemoryMarshal.Cast<byte, Rgba8>(bitmap.GetPixelSpan()).ToArray();

    public static byte[] Png(Rgba8[] pixels, int width, int height)
    {
        using var bitmap = Bitmap(pixels, width, height);
        using var data = bitmap.Encode(SKEncodedImageFormat.Png, 100);
        return data.ToArray();
    }
}
