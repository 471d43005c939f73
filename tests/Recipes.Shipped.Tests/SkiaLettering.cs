using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Shipped.Tests;

/// <summary>Small lettering at 300 ppi by SkiaSharp's anti-aliasing rasterizer in the fonts of Debian's fonts-dejavu-core.</summary>
internal static class SkiaLettering
{
    public const int Width = 760, Height = 300;

    private const string Folder = "/usr/share/fonts/truetype/dejavu";

    public static readonly string[] Fonts = ["DejaVuSerif", "DejaVuSerif-Bold", "DejaVuSans", "DejaVuSans-Bold"];

    private static readonly string[] Lines =
    [
        "Harbor Fun Run, 5 km; i j: \u00e4\u00f6\u00fc \u00e9\u00e8\u00ea \u00e5\u00f1.", "\u201cReady\u201d... it\u2019s jiggling! (10:30)",
            "\u0130stanbul \u00cf\u00d1\u00c5 % @ & # = a.b-c", "eaosg ge8690 B & ;:,.'\"",
    ];

    public static void SkipWithoutFonts()
    {
        if (!File.Exists($"{Folder}/{Fonts[0]}.ttf"))
        {
            Environment.GetEnvironmentVariable("RECIPES_CI").ShouldNotBe("1", "fonts-dejavu-core is missing");
            Assert.Skip("Needs Debian's fonts-dejavu-core.");
        }
    }

    /// <summary>Lettering of a size in points, in one color on another; over it, dabs of either color. A ground of null is transparency.</summary>
    public static Rgba8[] Draw(string font, float points, Rgba8 color, Rgba8? ground, params (float X, float Y, float Radius, Rgba8 Color)[] dabs)
    {
        using var typeface = SKTypeface.FromFile($"{Folder}/{font}.ttf");
        using var set = new SKFont(typeface, points * 300 / 72) { Edging = SKFontEdging.Antialias, Subpixel = true, Hinting = SKFontHinting.None };
        using var paint = new SKPaint { Color = Of(color), IsAntialias = true };
        return SkiaDrawing.Draw(Width, Height, ground is { } paper ? Of(paper) : SKColors.Transparent, canvas =>
        {
            // Each line begins at another part of a px.
            float y = 20;
            for (int i = 0; y < Height - 70; i++)
            {
                y += (points * 300 / 72 * 1.2f) + 0.37f;
                canvas.DrawText(Lines[i % Lines.Length], 20 + (i * 0.29f), y, SKTextAlign.Left, set, paint);
            }

            foreach (var dab in dabs)
            {
                using var brush = new SKPaint { Color = Of(dab.Color), IsAntialias = true };
                canvas.DrawCircle(dab.X, dab.Y, dab.Radius, brush);
            }
        });
    }

    private static SKColor Of(Rgba8 color) => new(color.R, color.G, color.B, color.A);
}
