using System.Runtime.InteropServices;
using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Shipped.Tests;

/// <summary>A drawing of shapes, thin lines and lettering by SkiaSharp's anti-aliasing rasterizer, which knows nothing of this project.</summary>
internal static class SkiaDrawing
{
    public const int Width = 320, Height = 240;

    /// <summary>Draws it in one color, on white and other grounds or, where there is no paper, on transparency. Alpha is straight.</summary>
    public static Rgba8[] Draw(Palette palette, Rgba8 color, bool paper)
    {
        return Draw(Width, Height, paper ? SKColors.White : SKColors.Transparent, canvas => Draw(canvas, palette, color, paper));
    }

    /// <summary>Anything on a ground. Alpha is straight.</summary>
    public static Rgba8[] Draw(int width, int height, SKColor ground, Action<SKCanvas> draw)
    {
        var info = new SKImageInfo(width, height, SKColorType.Rgba8888, SKAlphaType.Premul);
        using var surface = SKSurface.Create(info);
        surface.Canvas.Clear(ground);
        draw(surface.Canvas);
        surface.Canvas.Flush();

        var pixels = new Rgba8[width * height];
        var handle = GCHandle.Alloc(pixels, GCHandleType.Pinned);
        try
        {
            using var image = surface.Snapshot();
            image.ReadPixels(info.WithAlphaType(SKAlphaType.Unpremul), handle.AddrOfPinnedObject(), width * 4, 0, 0).ShouldBeTrue();
        }
        finally
        {
            handle.Free();
        }

        return pixels;
    }

    private static void Draw(SKCanvas canvas, Palette palette, Rgba8 color, bool paper)
    {
        if (paper)
        {
            Rect(canvas, new SKRect(160, 0, 320, 110), Palette.Night);
            Rect(canvas, new SKRect(160, 110, 320, 240), palette.Ground);
        }

        using var fill = Paint(color);
        using var kin = Paint(palette.Kin);
        canvas.DrawCircle(60.3f, 60.7f, 40, fill);
        canvas.DrawOval(110, 150, 30, 14.5f, fill);
        using (var star = new SKPathBuilder())
        {
            for (int k = 0; k < 5; k++)
            {
                double turn = (k * 4 * Math.PI / 5) - 1.4;
                var at = new SKPoint(230 + (float)(44 * Math.Cos(turn)), 176 + (float)(44 * Math.Sin(turn)));
                if (k == 0)
                {
                    star.MoveTo(at);
                }
                else
                {
                    star.LineTo(at);
                }
            }

            star.Close();
            using var path = star.Detach();
            canvas.DrawPath(path, fill);
        }

        if (paper)
        {
            Circle(canvas, 60.3f, 60.7f, 17, Rgba8.White);
        }

        canvas.DrawCircle(118, 92, 20, kin);
        canvas.DrawCircle(293.5f, 200.5f, 18, kin);
        Line(canvas, 14, 190, 130, 222, 3, palette.Kin);
        Line(canvas, 14, 180, 130, 212, 2.2f, color);
        foreach (var (x1, y1, x2, y2, width) in ((float, float, float, float, float)[])[(170, 12, 300, 30, 1), (170, 22, 240, 92, 1), (176, 98, 182, 34, 1), (210, 40, 310, 40, 1), (250, 60, 310, 52, 1.5f), (256, 100, 312, 70, 2)])
        {
            Line(canvas, x1, y1, x2, y2, width, color);
        }

        using var ring = Paint(color);
        ring.Style = SKPaintStyle.Stroke;
        ring.StrokeWidth = 1;
        canvas.DrawCircle(280, 150, 20, ring);
        canvas.DrawCircle(225, 76, 17, ring);
    }

    /// <summary>Through a JPEG of a quality and back.</summary>
    public static Rgba8[] Jpeg(Rgba8[] pixels, int width, int height, int quality)
    {
        var info = new SKImageInfo(width, height, SKColorType.Rgba8888, SKAlphaType.Opaque);
        using var bitmap = new SKBitmap(info);
        MemoryMarshal.AsBytes(pixels.AsSpan()).CopyTo(bitmap.GetPixelSpan());
        using var data = bitmap.Encode(SKEncodedImageFormat.Jpeg, quality);
        using var decoded = SKBitmap.Decode(data, info);
        return MemoryMarshal.Cast<byte, Rgba8>(decoded.GetPixelSpan()).ToArray();
    }

    private static SKPaint Paint(Rgba8 color) => new() { Color = new SKColor(color.R, color.G, color.B), IsAntialias = true };

    private static void Rect(SKCanvas canvas, SKRect rect, Rgba8 color)
    {
        using var paint = Paint(color);
        canvas.DrawRect(rect, paint);
    }

    private static void Circle(SKCanvas canvas, float x, float y, float radius, Rgba8 color)
    {
        using var paint = Paint(color);
        canvas.DrawCircle(x, y, radius, paint);
    }

    private static void Line(SKCanvas canvas, float x1, float y1, float x2, float y2, float width, Rgba8 color)
    {
        using var paint = Paint(color);
        paint.StrokeWidth = width;
        canvas.DrawLine(x1, y1, x2, y2, paint);
    }
}
