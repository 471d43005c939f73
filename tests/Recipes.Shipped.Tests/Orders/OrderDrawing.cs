using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>What a place of a drawing is to the print. The one who draws says it; nothing is found from pixels.</summary>
internal enum Part : byte
{
    /// <summary>Nothing was drawn here: cloth shows.</summary>
    Ground,
    /// <summary>Drawn: it must print.</summary>
    Ink,
    /// <summary>Drawn in black: it prints, or is the cloth where black stays bare.</summary>
    Black,
    /// <summary>Either will do: the end of a fade, the edge between two parts.</summary>
    Any,
}

/// <summary>What even a technician can't know from the picture alone, once it lies on paper or on contrasting cloth.</summary>
[Flags]
internal enum Doubt : byte
{
    None = 0,
    /// <summary>White or ground that art surrounds: a belly, the hole of a ring, a counter.</summary>
    Enclosed = 1,
    /// <summary>White of the art that runs off the picture.</summary>
    Edge = 2,
    /// <summary>Color that runs out into the paper.</summary>
    Fade = 4,
    /// <summary>A band of even width around the art.</summary>
    Band = 8,
    /// <summary>A straight-sided ground that may or may not be meant: a sheet, checkers, a photograph's box.</summary>
    Sheet = 16,
    /// <summary>Numerous or periodic small marks.</summary>
    Texture = 32,
    /// <summary>Near-black that runs into a gradient.</summary>
    Dark = 64,
}

/// <summary>A drawing as pixels, and what each of them is.</summary>
/// <param name="Ideal">The art cut out: color, and as alpha how much of the pixel is art.</param>
/// <param name="Parts"><see cref="Part.Any"/> where a pixel holds several.</param>
internal sealed record Rendering(int Width, int Height, Rgba8[] Ideal, Part[] Parts, Doubt[] Doubts)
{
    public Rendering Crop(Box box)
    {
        return new Rendering(box.Width, box.Height, Cut(Ideal), Cut(Parts), Cut(Doubts));

        T[] Cut<T>(T[] all) => [.. Enumerable.Range(0, box.Width * box.Height).Select(i => all[((box.Y + (i / box.Width)) * Width) + box.X + (i % box.Width)])];
    }
}

/// <summary>
/// Draws vectors with 4 x 4 samples a pixel: SkiaSharp says hard which samples a shape covers, and a plain mean makes the pixels.
/// Places are px; shapes are SVG path data.
/// </summary>
/// <param name="change">How the whole drawing lies, and in which colors.</param>
internal sealed class OrderDrawing(Change change)
{
    public const int Samples = 4;

    // Neutral and at most this light is black: L* 5 to 13 and chroma 3 are what the trade drops, office black 35,31,32 included
    // (common practice, no source).
    private const int Blackest = 35, Tint = 4;

    // Up to here the dark of a gradient is hardly lighter than black cloth.
    private const int Faintest = 45;

    private readonly int width = change.Width, height = change.Height, across = change.Width * Samples;
    private readonly Rgba8[] colors = new Rgba8[change.Width * change.Height * Samples * Samples];
    private readonly Part[] parts = new Part[change.Width * change.Height * Samples * Samples];
    private readonly Doubt[] doubts = new Doubt[change.Width * change.Height * Samples * Samples];

    public void Fill(string shape, Rgba8 color, Doubt doubt = Doubt.None) => Lay(Covered(shape, null), (_, _) => color, doubt);

    public void Stroke(string shape, double thick, Rgba8 color, Doubt doubt = Doubt.None) => Lay(Covered(shape, thick), (_, _) => color, doubt);

    /// <summary>The same with ends that stand out by half the pen, so that a wider stroke below a thinner one runs around its ends.</summary>
    public void StrokeOver(string shape, double thick, Rgba8 color, Doubt doubt = Doubt.None) =>
        Lay(Covered(shape, thick, SKStrokeCap.Square), (_, _) => color, doubt);

    /// <summary>The same by a rule for each place.</summary>
    public void PaintStroke(string shape, double thick, Func<double, double, Rgba8> ink, Doubt doubt = Doubt.None) =>
        Lay(Covered(shape, thick, SKStrokeCap.Square), ink, doubt);

    /// <summary>Fills a shape by a rule for each place; soft samples go over what is there.</summary>
    public void Paint(string shape, Func<double, double, Rgba8> ink, Doubt doubt = Doubt.None, Part? part = null) =>
        Lay(Covered(shape, null), ink, doubt, part);

    /// <summary>The same on the whole picture.</summary>
    public void Paint(Func<double, double, Rgba8> ink, Doubt doubt = Doubt.None, Part? part = null) =>
        Lay(Enumerable.Range(0, colors.Length), ink, doubt, part);

    /// <summary>Takes everything away again: a hole.</summary>
    public void Erase(string shape, Doubt doubt = Doubt.None) => Erase(Covered(shape, null), doubt);

    public void EraseStroke(string shape, double thick, Doubt doubt = Doubt.None) => Erase(Covered(shape, thick), doubt);

    /// <summary>Says that a shape is in doubt, whatever is drawn there.</summary>
    public void Mark(string shape, Doubt doubt)
    {
        foreach (int i in Covered(shape, null))
        {
            doubts[i] |= doubt;
        }
    }

    public Rendering Render()
    {
        var ideal = new Rgba8[width * height];
        var part = new Part[ideal.Length];
        var doubt = new Doubt[ideal.Length];
        Parallel.For(0, height, y =>
        {
            for (int x = 0; x < width; x++)
            {
                (ideal[(y * width) + x], part[(y * width) + x], doubt[(y * width) + x]) = Mean(x, y);
            }
        });
        return new Rendering(width, height, ideal, part, doubt);
    }

    private (Rgba8, Part, Doubt) Mean(int x, int y)
    {
        int red = 0, green = 0, blue = 0, alpha = 0;
        var doubt = Doubt.None;
        var part = parts[(y * Samples * across) + (x * Samples)];
        for (int row = 0; row < Samples; row++)
        {
            for (int column = 0; column < Samples; column++)
            {
                int i = (((y * Samples) + row) * across) + (x * Samples) + column;
                var color = colors[i];
                (red, green, blue, alpha) = (red + (color.R * color.A), green + (color.G * color.A), blue + (color.B * color.A), alpha + color.A);
                doubt |= doubts[i];
                part = part == parts[i] ? part : Part.Any;
            }
        }

        return alpha == 0 ? (default, part, doubt)
            : (new Rgba8(Mix(red), Mix(green), Mix(blue), (byte)((alpha + (Samples * Samples / 2)) / (Samples * Samples))), part, doubt);

        byte Mix(int sum) => (byte)((sum + (alpha / 2)) / alpha);
    }

    private void Lay(IEnumerable<int> samples, Func<double, double, Rgba8> ink, Doubt doubt, Part? part = null)
    {
        foreach (int i in samples)
        {
            var (x, y) = change.Drawn(((i % across) + 0.5) / Samples, ((i / across) + 0.5) / Samples);
            var color = change.Color(ink(x, y));
            if (color.A == 0)
            {
                continue;
            }

            colors[i] = Over(color, colors[i]);
            parts[i] = part ?? PartOf(color, parts[i], doubt);
            doubts[i] = color.A < 255 ? doubts[i] | doubt : doubt;
        }
    }

    private void Erase(IEnumerable<int> samples, Doubt doubt)
    {
        foreach (int i in samples)
        {
            (colors[i], parts[i], doubts[i]) = (default, Part.Ground, doubt);
        }
    }

    // Soft ink counts as ink from an eighth on; less may print or not. The dark of a gradient may drop or not, but for black itself.
    private static Part PartOf(Rgba8 color, Part below, Doubt doubt)
    {
        if (color.A < 32)
        {
            return below == Part.Ground ? Part.Any : below;
        }

        int lightest = Math.Max(color.R, Math.Max(color.G, color.B)), darkest = Math.Min(color.R, Math.Min(color.G, color.B));
        if (doubt.HasFlag(Doubt.Dark) && lightest is > 0 and <= Faintest)
        {
            return Part.Any;
        }

        return lightest <= Blackest && lightest - darkest <= Tint ? Part.Black : Part.Ink;
    }

    // Source-over, straight alpha (W3C Compositing and Blending Level 1).
    private static Rgba8 Over(Rgba8 top, Rgba8 below)
    {
        if (top.A == 255 || below.A == 0)
        {
            return top;
        }

        double over = top.A / 255.0, under = below.A / 255.0 * (1 - over), all = over + under;
        return new Rgba8(Mix(top.R, below.R), Mix(top.G, below.G), Mix(top.B, below.B), (byte)Math.Round(all * 255));

        byte Mix(byte one, byte other) => (byte)Math.Round(((one * over) + (other * under)) / all);
    }

    private List<int> Covered(string shape, double? thick, SKStrokeCap ends = SKStrokeCap.Butt)
    {
        using var path = SKPath.ParseSvgPathData(shape) ?? throw new ArgumentException(shape, nameof(shape));
        path.FillType = SKPathFillType.EvenOdd;
        path.Transform(change.Matrix);
        int margin = (int)Math.Ceiling((thick ?? 0) * change.Scale * 2) + 1;
        var bounds = path.Bounds;
        int left = Math.Clamp((int)bounds.Left - margin, 0, width), top = Math.Clamp((int)bounds.Top - margin, 0, height);
        int right = Math.Clamp((int)bounds.Right + margin + 1, left, width), bottom = Math.Clamp((int)bounds.Bottom + margin + 1, top, height);
        var covered = new List<int>();
        if (right == left || bottom == top)
        {
            return covered;
        }

        using var mask = new SKBitmap(new SKImageInfo((right - left) * Samples, (bottom - top) * Samples, SKColorType.Alpha8, SKAlphaType.Premul));
        mask.Erase(SKColors.Transparent);
        using (var canvas = new SKCanvas(mask))
        using (var paint = new SKPaint { Color = SKColors.Black, IsAntialias = false })
        {
            if (thick is { } pen)
            {
                (paint.Style, paint.StrokeWidth, paint.StrokeCap) = (SKPaintStyle.Stroke, (float)(pen * change.Scale), ends);
                (paint.StrokeJoin, paint.StrokeMiter) = (SKStrokeJoin.Miter, 2);
            }

            canvas.Scale(Samples);
            canvas.Translate(-left, -top);
            canvas.DrawPath(path, paint);
        }

        var bits = mask.GetPixelSpan();
        for (int y = 0; y < mask.Height; y++)
        {
            for (int x = 0; x < mask.Width; x++)
            {
                if (bits[(y * mask.RowBytes) + x] != 0)
                {
                    covered.Add((((top * Samples) + y) * across) + (left * Samples) + x);
                }
            }
        }

        return covered;
    }
}
